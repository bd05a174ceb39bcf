"""Build sheets: a robot's outline, zones, instruments and parts with their specifications, from
TOML."""

import hashlib
from dataclasses import dataclass, field, replace
from pathlib import PurePosixPath
from typing import Any

from pitcrew.base.accuracy import Accuracy
from pitcrew.base.entries import canonical
from pitcrew.base.errors import BadInput, nearest
from pitcrew.domain.robot.climbparts import ClimbParts, read_climb
from pitcrew.domain.robot.hold_path import HoldPathTable, read_hold_path
from pitcrew.domain.robot.instruments import american, instrument_fields, plain_numbers
from pitcrew.domain.robot.kindshape import PartKind
from pitcrew.domain.robot.mistakes import NOTHING, Mistake, Mistakes, Words
from pitcrew.domain.robot.oddnumbers import tell_of_numbers
from pitcrew.domain.robot.partkinds import KINDS, PART_FIELDS
from pitcrew.domain.robot.partwords import wrong_words
from pitcrew.domain.robot.tables import Field, read_table
from pitcrew.domain.robot.translation import new_form, translated
from pitcrew.engineering.chainsizes import caliper_pitches
from pitcrew.engineering.plates import unknown_layers

ENERGIES = ("battery", "springs", "raised lift", "air", "ratchet under load")
SHEET_FIELDS = (
    Field("robot", "table", "the robot itself"),
    Field(
        "instruments",
        "table",
        "expanded uncertainty (k = 2) of each instrument",
        required=False,
        default={},
    ),
    Field(
        "lowering", "table", "how the robot comes down from the climb", required=False, default={}
    ),
    Field("hold_path", "table", "what holds the robot up after a climb", required=False),
    Field("climb", "table", "the older form of hold_path, for a winch", required=False),
    Field("zone", "tables", "the places on the robot", required=False, default=[]),
    Field("part", "tables", "the parts with their specifications", required=False, default=[]),
)
ROBOT_FIELDS = (
    Field("label", "text", "the robot's name on screen and paper"),
    Field("length", "length", "outline seen from above, front to back", least=0.05, most=5),
    Field("width", "length", "outline seen from above, side to side", least=0.05, most=5),
    Field("mass", "any", "the mass as it climbs, in three parts: chassis, bumpers, battery"),
)
MASS_FIELDS = (
    Field("chassis", "mass", "the robot without bumpers and battery", least=0.1, most=200),
    Field("bumpers", "mass", "the bumpers (0 kg without)", least=0, most=50),
    Field("battery", "mass", "the battery", least=0, most=50),
)
ZONE_FIELDS = (
    Field("id", "id", "short name that parts refer to"),
    Field("label", "text", "the name on the robot map"),
    Field("box", "box", "left, top, width, height in percent of the outline, front edge up"),
    Field(
        "energies", "texts", "stored energies: " + ", ".join(ENERGIES), required=False, default=()
    ),
    Field("release", "texts", "how each is released, one step a text", required=False, default=()),
)
LOWERING_FIELDS = (
    Field(
        "steps", "texts", "how the robot is lowered, one step a text", required=False, default=()
    ),
    Field("people", "texts", "who does what, one person a text", required=False, default=()),
)
MASS_REASON = (
    "three masses in [robot.mass]: chassis, bumpers, battery. A rule weight is without bumpers and"
    " battery and would flatter every hold margin by about 30 %"
)


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
    the file."""

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
    robot = read_table(about, ROBOT_FIELDS, "robot", mistakes)
    mass = _read_mass(about, mistakes)
    zones = _read_zones(sheet.get("zone", []), mistakes)
    parts = _read_parts(sheet.get("part", []), zones, mistakes)
    climb, path = _read_climbs(sheet, parts, mistakes)
    for part in path.parts if path else ():
        # the climb hangs on it, marked or not
        parts[part] = replace(parts[part], climb_critical=True)
    _tell_of_joints(parts, mistakes)
    tell_of_numbers(parts, mistakes)
    accuracies = read_table(
        american(sheet.get("instruments", {})), instrument_fields(), "instruments", mistakes
    )
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
    )
    return found, mistakes.marked(climb=_may_hang(sheet, table, parts))


def _may_hang(sheet: dict[str, Any], table: dict[str, Any], parts: dict[str, Part]) -> bool:
    """Whether a climb may hang on what the sheet says: a part that could not be read counts."""
    lost = len(parts) < len(sheet.get("part", [None]))
    hangs = "climb" in table or "hold_path" in table
    return lost or hangs or any(part.climb_critical for part in parts.values())


_WANT_LAYERS = {
    "thread-locker": "Thread-locker cracks polycarbonate, ABS and acrylic",
    "none": "Polycarbonate bears little, and the torque is worked out as if all were metal",
}


def _tell_of_joints(parts: dict[str, Part], mistakes: Mistakes) -> None:
    """A nylon nut used twice in the hold path is a mistake; a thread-locked joint had better say
    what it clamps."""
    for part in parts.values() if parts else ():
        place = f"part {part.id}"
        if part.climb_critical and part.specs.get("nut", "new") != "new":
            right = "new: what the robot hangs on gets a new nylon nut each time it comes off"
            mistakes.add(f"{place}, nut", part.specs["nut"], right)
        locking = str(part.specs.get("locking"))
        if locking in _WANT_LAYERS and "layers" not in part.specs:
            right = f"layers: what the bolts clamp. {_WANT_LAYERS[locking]}"
            mistakes.notice(f"{place}, layers", NOTHING, right, 'layers = "6061-T6; steel"')
        elif locking == "thread-locker":
            _tell_of_layers(place, part.specs["layers"], mistakes)


def _tell_of_layers(place: str, layers: object, mistakes: Mistakes) -> None:
    """A layer that no one here knows is not taken as one that thread-locker leaves alone."""
    unknown = unknown_layers(layers)
    if unknown:
        right = (
            f"a material known here instead of {' and '.join(unknown)}, such as steel, 6061-T6 or"
            " polycarbonate. Thread-locker cracks polycarbonate, ABS and acrylic: keep it off what"
            " may be one"
        )
        mistakes.notice(f"{place}, layers", layers, right)


def _read_climbs(
    sheet: dict[str, Any], parts: dict[str, Part], mistakes: Mistakes
) -> tuple[ClimbParts | None, HoldPathTable | None]:
    """The hold path; the older `[climb]` table is read and translated where it stands alone, and a
    notice shows the new form."""
    kinds = {part.id: part.kind for part in parts.values()}
    if "hold_path" in sheet:
        if "climb" in sheet:
            mistakes.notice(
                "climb",
                Words("a [climb] table beside [hold_path]"),
                "[hold_path] alone; [climb] is not read any more",
            )
        return None, read_hold_path(sheet["hold_path"], kinds, mistakes)
    climb = read_climb(sheet.get("climb"), kinds, mistakes)
    if climb is None:
        return None, None
    path = translated(climb, parts)
    mistakes.notice(
        "climb",
        Words("the older [climb] table"),
        "a [hold_path] table; read as the lines below",
        new_form(path),
    )
    return climb, path


def _read_mass(about: dict[str, Any], mistakes: Mistakes) -> dict[str, float]:
    """The three masses. One bare mass is refused with the reason; a missing one is named by the
    robot's own fields."""
    mass = about.get("mass", {})
    if isinstance(mass, dict):
        return read_table(mass, MASS_FIELDS, "robot.mass", mistakes) if "mass" in about else {}
    mistakes.add("robot, mass", mass, MASS_REASON)
    return {}


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
    values = _read_values(table, kind, place, mistakes)
    if "id" not in values:
        return None
    if "." not in values["id"]:
        mistakes.add(f"{place}, id", values["id"], "two or more dotted words, such as lift.chain")
    zone = values.get("zone", "")
    if zone and zone not in zones:
        mistakes.add(
            f"{place}, zone", zone, "the id of a zone of this build sheet", nearest(zone, zones)
        )
    specs = {
        field.name: values[field.name]
        for field in (kind.fields if kind else ())
        if field.name in values
    }
    typed = {name: str(table[name]) for name in specs if name in table}
    if kind and kind.name == "roller-chain" and "pitches" not in table:
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
    return Part(
        values["id"], label, zone, values.get("kind", ""), _critical(table, values), specs, typed
    )


def _read_values(
    table: dict[str, Any], kind: PartKind | None, place: str, mistakes: Mistakes
) -> dict[str, Any]:
    """The fields of a part; those that every part has where its kind is not known."""
    if kind is not None:
        return read_table(table, (*PART_FIELDS, *kind.fields), place, mistakes)
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
