"""Build sheets: a robot's outline, zones, instruments and parts with their specifications, from
TOML."""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import PurePosixPath
from typing import Any

from pitcrew.base.accuracy import Accuracy
from pitcrew.base.entries import canonical
from pitcrew.base.errors import BadInput, nearest
from pitcrew.domain.robot.climbparts import ClimbParts, read_climb
from pitcrew.domain.robot.hold_path import HoldPathTable, read_hold_path
from pitcrew.domain.robot.instruments import american, instrument_fields, plain_numbers
from pitcrew.domain.robot.jointlayers import tell_of_joints
from pitcrew.domain.robot.kindshape import PartKind
from pitcrew.domain.robot.mistakes import Mistake, Mistakes, Words
from pitcrew.domain.robot.notknown import (
    UNKNOWN,
    is_assumed,
    not_asked,
    open_fields,
    parted,
    read_stated,
    tell_open,
)
from pitcrew.domain.robot.oddnumbers import tell_of_numbers
from pitcrew.domain.robot.openpath import stated_path
from pitcrew.domain.robot.partkinds import KINDS, PART_FIELDS
from pitcrew.domain.robot.partwords import wrong_words
from pitcrew.domain.robot.repeated import spread
from pitcrew.domain.robot.sheetfields import (
    ENERGIES,
    LOWERING_FIELDS,
    MASS_FIELDS,
    MASS_REASON,
    ROBOT_FIELDS,
    SHEET_FIELDS,
    ZONE_FIELDS,
)
from pitcrew.domain.robot.tables import read_table
from pitcrew.domain.robot.translation import new_form, translated
from pitcrew.engineering.chainsizes import caliper_pitches


@dataclass(frozen=True)
class Zone:
    """A place on the robot; `box` is left, top, width, height in percent of the outline."""

    id: str
    label: str
    box: tuple[float, float, float, float]
    energies: tuple[str, ...] = ()
    release: tuple[str, ...] = ()


@dataclass(frozen=True)
class Part:
    """One part; `specs` holds its specification in SI (and words), `typed` the same as it stands in
    the file, and also what is not known or only assumed."""

    id: str
    label: str
    zone: str
    kind: str
    climb_critical: bool = False
    specs: dict[str, float | int | str | bool] = field(default_factory=dict)
    typed: dict[str, str] = field(default_factory=dict)

    @property
    def subsystem(self) -> str:
        """The first word of the id."""
        return self.id.partition(".")[0]

    @property
    def open(self) -> dict[str, str]:
        """The fields that no one has stated: `not known`, or `only assumed, 4 mm`."""
        return open_fields(self.typed)


@dataclass(frozen=True)
class Lowering:
    """The lowering card: steps and the people who do them."""

    steps: tuple[str, ...] = ()
    people: tuple[str, ...] = ()


@dataclass(frozen=True)
class Robot:
    """One robot. Lengths in m, masses in kg; a mass that could not be read is None.

    `climb` is what is in the older `[climb]` table; `hold_path` is then its translation.
    """

    name: str
    file: str
    label: str
    length: float
    width: float
    mass_chassis: float | None
    mass_bumpers: float | None
    mass_battery: float | None
    instruments: dict[str, float]
    zones: dict[str, Zone]
    parts: dict[str, Part]
    lowering: Lowering
    digest: str
    climb: ClimbParts | None = None
    hold_path: HoldPathTable | None = None
    accuracies: dict[str, Accuracy] = field(default_factory=dict)
    open: tuple[str, ...] = ()
    """What a climb rests on and no one has stated, beside the parts' own fields."""
    not_sized: tuple[str, ...] = ()
    """What of its outline is not known; the map is drawn with usual sizes."""

    @property
    def mass(self) -> float | None:
        """The mass as it climbs: chassis, bumpers and battery together, kg."""
        parts = (self.mass_chassis, self.mass_bumpers, self.mass_battery)
        return (
            None
            if any(mass is None for mass in parts)
            else sum(mass for mass in parts if mass is not None)
        )


def bare_robot(name: str) -> Robot:
    """A robot of which nothing but its name is known."""
    return Robot(name, "", name, 0.8, 0.8, None, None, None, {}, {}, {}, Lowering(), "")


def parse_build_sheet(table: dict[str, Any], file: str) -> tuple[Robot | None, list[Mistake]]:
    """The robot of a build sheet, and what in it could not be used. None when there is no robot to
    show at all."""
    mistakes = Mistakes(file)
    sheet = read_table(table, SHEET_FIELDS, "file", mistakes)
    about = sheet.get("robot")
    if about is None:
        return None, mistakes.marked(climb=True)
    robot, not_sized = _read_outline(about, mistakes)
    mass, open_masses = _read_mass(about, mistakes)
    zones = _read_zones(sheet.get("zone", []), mistakes)
    tables = spread(sheet.get("part", []), mistakes)
    parts = _read_parts(tables, zones, mistakes)
    climb, path, open_path = _read_climbs(sheet, parts, mistakes)
    parts |= _hung_on(path, parts)
    tell_of_joints(parts, mistakes)
    tell_of_numbers(parts, mistakes)
    accuracies = _read_accuracies(sheet, mistakes)
    name = PurePosixPath(file).stem
    found = Robot(
        name,
        file,
        robot.get("label", name),
        robot.get("length", 0.8),
        robot.get("width", 0.8),
        mass.get("chassis"),
        mass.get("bumpers"),
        mass.get("battery"),
        plain_numbers(accuracies),
        zones,
        parts,
        Lowering(**read_table(sheet.get("lowering", {}), LOWERING_FIELDS, "lowering", mistakes)),
        hashlib.sha256(canonical(table)).hexdigest(),
        climb,
        path,
        accuracies,
        (*open_masses, *open_path),
        not_sized,
    )
    return found, mistakes.marked(
        climb=_may_hang(len(tables) if "part" in sheet else 1, table, parts)
    )


def _read_outline(
    about: dict[str, Any], mistakes: Mistakes
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Label and size of the robot, and which sizes are not known."""
    given = parted(about, ROBOT_FIELDS)
    fields = not_asked(ROBOT_FIELDS, given.unknown)
    values = read_table(given.plain, fields, "robot", mistakes)
    return values, tuple(sorted(given.unknown & {"length", "width"}))


def _read_accuracies(sheet: dict[str, Any], mistakes: Mistakes) -> dict[str, Accuracy]:
    """How far each instrument may be off, by its American name."""
    table = american(sheet.get("instruments", {}))
    return read_table(table, instrument_fields(), "instruments", mistakes)


def _hung_on(path: HoldPathTable | None, parts: dict[str, Part]) -> dict[str, Part]:
    """The parts of the hold path: the climb hangs on them, marked or not."""
    on_path = path.parts if path else ()
    return {part: _only_stated(replace(parts[part], climb_critical=True)) for part in on_path}


def _may_hang(tables: int, table: dict[str, Any], parts: dict[str, Part]) -> bool:
    """Whether a climb may hang on what the sheet says: a part that could not be read counts."""
    lost = len(parts) < tables
    hangs = "climb" in table or "hold_path" in table
    return lost or hangs or any(part.climb_critical for part in parts.values())


def _read_climbs(
    sheet: dict[str, Any], parts: dict[str, Part], mistakes: Mistakes
) -> tuple[ClimbParts | None, HoldPathTable | None, tuple[str, ...]]:
    """The hold path, and what in it is not stated; the older `[climb]` table is read and translated
    where it stands alone, and a notice shows the new form."""
    kinds = {part.id: part.kind for part in parts.values()}
    if "hold_path" in sheet:
        if "climb" in sheet:
            mistakes.notice(
                "climb",
                Words("a [climb] table beside [hold_path]"),
                "[hold_path] alone; [climb] is not read any more",
            )
        stated, found = stated_path(sheet["hold_path"], mistakes)
        return None, read_hold_path(stated, kinds, mistakes), found
    climb = read_climb(sheet.get("climb"), kinds, mistakes)
    if climb is None:
        return None, None, ()
    path = translated(climb, parts)
    mistakes.notice(
        "climb",
        Words("the older [climb] table"),
        "a [hold_path] table; read as the lines below",
        new_form(path),
    )
    return climb, path, ()


def _read_mass(
    about: dict[str, Any], mistakes: Mistakes
) -> tuple[dict[str, float], tuple[str, ...]]:
    """The three masses, and which are not stated: a climb takes no assumed one. One bare mass is
    refused with the reason; a missing one is named by the robot's own fields."""
    mass = about.get("mass", {})
    if mass == UNKNOWN or is_assumed(mass):
        return {}, ("robot.mass: not known",)
    if isinstance(mass, dict):
        return (
            read_stated(mass, MASS_FIELDS, "robot.mass", mistakes) if "mass" in about else ({}, ())
        )
    mistakes.add("robot, mass", mass, MASS_REASON)
    return {}, ()


def _read_zones(tables: list[dict[str, Any]], mistakes: Mistakes) -> dict[str, Zone]:
    zones: dict[str, Zone] = {}
    for number, table in enumerate(tables, 1):
        place = f"zone {table.get('id', number)}"
        values = read_table(table, ZONE_FIELDS, place, mistakes)
        for energy in values.get("energies", ()):
            if energy not in ENERGIES:
                mistakes.add(
                    f"{place}, energies",
                    energy,
                    "one of " + ", ".join(ENERGIES),
                    nearest(energy, ENERGIES),
                )
        if "id" not in values:
            continue
        if values["id"] in zones:
            mistakes.add(place, Words("the same id twice"), "an id of its own for each zone")
            continue
        # a zone whose box is wrong is drawn over the whole outline, so that its parts can still be
        # walked
        zones[values["id"]] = Zone(
            **{"label": values["id"], "box": (0.0, 0.0, 100.0, 100.0), **values}
        )
    return zones


def _read_parts(
    tables: list[dict[str, Any]], zones: dict[str, Zone], mistakes: Mistakes
) -> dict[str, Part]:
    parts: dict[str, Part] = {}
    for number, table in enumerate(tables, 1):
        part = _read_part(table, f"part {table.get('id', number)}", zones, mistakes)
        if part is not None and part.id in parts:
            mistakes.add(
                f"part {part.id}", Words("the same id twice"), "an id of its own for each part"
            )
        elif part is not None:
            parts[part.id] = part
    return parts


def _pitches(specs: dict[str, Any]) -> int:
    """Over how many pitches a chain's wear is measured where its sheet does not say: what the
    caliper in the box can reach."""
    try:
        return max(6, caliper_pitches(str(specs.get("size", ""))))
    except BadInput:
        return 16


def _read_part(
    table: dict[str, Any], place: str, zones: dict[str, Zone], mistakes: Mistakes
) -> Part | None:
    kind = KINDS.get(str(table.get("kind")))
    fields = kind.fields if kind else ()
    given = parted(table, fields)
    table = given.plain
    values = _read_values(table, kind, given.open, place, mistakes)
    if "id" not in values:
        return None
    if "." not in values["id"]:
        mistakes.add(f"{place}, id", values["id"], "two or more dotted words, such as lift.chain")
    zone = values.get("zone", "")
    if zone and zone not in zones:
        mistakes.add(
            f"{place}, zone", zone, "the id of a zone of this build sheet", nearest(zone, zones)
        )
    specs = {field.name: values[field.name] for field in fields if field.name in values}
    typed = {name: str(table[name]) for name in specs if name in table} | given.typed
    if kind and kind.name == "roller-chain" and not {"pitches"} & {*table, *given.open}:
        specs["pitches"] = _pitches(specs)
    for key, right, close in (
        wrong_words(kind.name, specs, {item.name: item.meaning for item in kind.fields})
        if kind
        else ()
    ):
        mistakes.add(f"{place}, {key}", table.get(key), right, close)
    label = values.get("label", values["id"])
    # a part whose kind is wrong keeps it, so that the part stays on the list and no check is made
    # from a guess
    part = Part(
        values["id"], label, zone, values.get("kind", ""), _critical(table, values), specs, typed
    )
    for item in fields:
        if item.name in part.open:
            tell_open(item, place, mistakes, typed[item.name])
    return _only_stated(part) if part.climb_critical else part


def _only_stated(part: Part) -> Part:
    """A part that the robot hangs on, without what is only assumed of it."""
    stated = {name: value for name, value in part.specs.items() if name not in part.open}
    return replace(part, specs=stated)


def _read_values(
    table: dict[str, Any],
    kind: PartKind | None,
    open_names: Iterable[str],
    place: str,
    mistakes: Mistakes,
) -> dict[str, Any]:
    """The fields of a part; those that every part has where its kind is not known. What the sheet
    says is not known is no mistake."""
    if kind is not None:
        fields = (*PART_FIELDS, *not_asked(kind.fields, open_names))
        return read_table(table, fields, place, mistakes)
    common = {field.name for field in PART_FIELDS}
    known = {key: value for key, value in table.items() if key in common}
    values = read_table(known, PART_FIELDS, place, mistakes)
    if "kind" in table:
        mistakes.add(
            f"{place}, kind",
            table["kind"],
            "a part kind of the format's page",
            nearest(str(table["kind"]), KINDS),
        )
    return values


def _critical(table: dict[str, Any], values: dict[str, Any]) -> bool:
    """Whether the climb hangs on it; a mark that could not be read counts as yes."""
    return bool(values.get("climb_critical", "climb_critical" in table))
