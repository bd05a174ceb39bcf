"""Checklists: what is looked at or measured, when, how, and by what rule it is judged, from TOML.

This module reads and checks only the file; `limits.py` applies its checks to the parts of a robot.
"""

from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import PurePosixPath
from typing import Any

from pitcrew.base.errors import BadInput, nearest
from pitcrew.base.kinds.kind import VERDICTS
from pitcrew.base.units import dimension_of, unit_name
from pitcrew.base.unittable import UNITS
from pitcrew.domain.checks.duewords import CLIMB_WORDS, DueRule, read_due
from pitcrew.domain.checks.fields import (
    BOUNDS,
    CHECK_FIELDS,
    FILE_FIELDS,
    INPUT_FIELDS,
    LIST_FIELDS,
    QUANTITIES,
    WITNESSED,
)
from pitcrew.domain.checks.limitrules import LimitRule, read_limit_rule
from pitcrew.domain.holding.ownparts import holding_part, part_of
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.hold_path import DEVICES
from pitcrew.domain.robot.mistakes import NOTHING, Mistake, Mistakes, Words
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.domain.robot.tables import read_table

YES_NO = ("yes", "no")
HOLD_TEST = "hold-test"
"""How the ids of hold tests begin; each is a climb that the robot was seen to hold."""


@dataclass(frozen=True)
class Input:
    """One answer that a check asks for. `least` and `most` are in `unit`; `options` maps an answer
    to its verdict."""

    name: str
    label: str
    kind: str
    unit: str = ""
    least: float | None = None
    most: float | None = None
    options: dict[str, str] = field(default_factory=dict)
    required: bool = True


@dataclass(frozen=True)
class Check:
    """One thing to look at or measure, on every part that its pattern or kind names.

    `broken` reports a mistake in its table: the check is on the list, but nothing can be
    judged by it.
    """

    id: str
    checklist: str
    label: str
    part_pattern: str
    kind: str
    ask: str
    inputs: tuple[Input, ...]
    minutes: float
    power: str
    due: tuple[DueRule, ...]
    limit_rule: LimitRule
    must: bool = False
    two_names: bool = False
    witness: bool = False
    measures: dict[str, str] = field(default_factory=dict)
    how: str = ""
    drawing: str = "look"
    hands: int = 1
    cautions: tuple[str, ...] = ()
    where: dict[str, Any] = field(default_factory=dict)
    on_path: bool | None = None
    holds: tuple[str, ...] = ()
    broken: str = ""

    def applies_to(self, part: Part, robot: Robot) -> bool:
        """Whether this check is made on `part`: by pattern, kind, place in the hold path, and what
        `where` asks of its specification."""
        if self.on_path is not None and self.on_path != on_path(robot, part):
            return False
        if self.holds and device_at(robot, part) not in self.holds:
            return False
        if self.part_pattern and not fnmatchcase(part.id, self.part_pattern):
            return False
        if self.kind and part.kind != self.kind:
            return False
        lacks = self.lacks(part)
        return all(
            name in lacks or _fits(part.specs.get(name), asked)
            for name, asked in self.where.items()
        )

    def lacks(self, part: Part) -> frozenset[str]:
        """The fields that `where` asks a certain value of and that the part's sheet does not give:
        no one knows whether the check fits, so it is made and cannot be judged."""
        fields = {item.name for item in KINDS[part.kind].fields} if part.kind in KINDS else set()
        return frozenset(
            name
            for name, asked in self.where.items()
            if name in fields and name not in part.specs and (asked != "*" or name in part.open)
        )

    @property
    def for_climb(self) -> bool:
        """Whether it is made for the climb: it has a due word of the climb."""
        return any(rule.word in CLIMB_WORDS for rule in self.due)

    @property
    def is_hold_test(self) -> bool:
        """Whether it hangs the robot with the power off and times it."""
        return self.id.startswith(HOLD_TEST)


@dataclass(frozen=True)
class Checklist:
    """One file of checks; `lost` names those that could not be loaded at all."""

    name: str
    label: str
    file: str
    checks: tuple[Check, ...]
    lost: tuple[str, ...] = ()


def on_path(robot: Robot, part: Part) -> bool:
    """Whether the climb hangs on a part: the hold path names it; where there is none, it is
    marked."""
    if robot.hold_path is None:
        return part.climb_critical
    return part.id in {part_of(item) for item in robot.hold_path.items}


def device_at(robot: Robot, part: Part) -> str:
    """The word for what holds without power, if that is this part; where there is no hold path, by
    its kind."""
    if robot.hold_path is not None:
        return robot.hold_path.device if part.id == holding_part(robot) else ""
    fitting = (
        word for word, kinds in DEVICES.items() if part.climb_critical and part.kind in kinds
    )
    return next(fitting, "")


def parse_checklist(table: dict[str, Any], file: str) -> tuple[Checklist, list[Mistake]]:
    """The checks of a checklist file, and what in it could not be used.

    A check with a mistake stays on the list as one that cannot be judged, where enough of it can be
    read to show it.
    """
    mistakes = Mistakes(file)
    values = read_table(table, FILE_FIELDS, "file", mistakes)
    about = (
        read_table(values["checklist"], LIST_FIELDS, "checklist", mistakes)
        if "checklist" in values
        else {}
    )
    name = about.get("name", PurePosixPath(file).stem)
    checks: dict[str, Check] = {}
    lost = []
    for number, item in enumerate(values.get("check", []), 1):
        check = _read_check(item, f"check {item.get('id', number)}", name, mistakes)
        if check is None:
            lost.append(str(item.get("id", number)))
        elif check.id in checks:
            mistakes.add(
                f"check {check.id}", Words("the same id twice"), "an id of its own for each check"
            )
        else:
            checks[check.id] = check
    climb = (
        bool(lost)
        or "check" not in values
        or any(check.for_climb or check.broken for check in checks.values())
    )
    return Checklist(
        name, about.get("label", name), file, tuple(checks.values()), tuple(lost)
    ), mistakes.marked(climb)


_NEEDED = ("id", "label", "ask", "power")
_KEPT = (
    "id",
    "label",
    "ask",
    "how",
    "drawing",
    "hands",
    "power",
    "cautions",
    "must",
    "two_names",
    "witness",
    "measures",
    "where",
    "on_path",
    "holds",
)


def _read_check(
    table: dict[str, Any], place: str, checklist: str, mistakes: Mistakes
) -> Check | None:
    before = len(mistakes.found)
    values = read_table(table, CHECK_FIELDS, place, mistakes)
    inputs = _read_inputs(values.get("input", []), place, mistakes)
    kind = values.get("kind", "")
    _check_aim(values, place, mistakes)
    _check_device(values, place, mistakes)
    units = {item.name: item.unit for item in inputs}
    texts = (values.get("ask", ""), values.get("how", ""), *values.get("cautions", ()))
    rule = read_limit_rule(values.get("limit", {}), units, kind, f"{place}, limit", mistakes, texts)
    due = tuple(
        word
        for text in values.get("due", ())
        if (word := read_due(text, f"{place}, due", mistakes)) is not None
    )
    _check_judged(inputs, rule, place, mistakes)
    values["witness"] = values.get("witness", str(values.get("id", "")).startswith(WITNESSED))
    values["measures"] = _read_measures(
        values.get("measures", {}), inputs, f"{place}, measures", mistakes
    )
    aimed = "part" in values or kind in KINDS or values.get("holds")
    if any(name not in values for name in _NEEDED) or not aimed:
        return None
    broken = mistakes.found[before].sentence if len(mistakes.found) > before else ""
    return Check(
        checklist=checklist,
        part_pattern=values.get("part", ""),
        kind=kind,
        inputs=inputs,
        minutes=values.get("minutes", 1),
        due=due if not broken else (*due, DueRule("every match")),
        limit_rule=rule,
        broken=broken,
        **{"must": True, **{name: values[name] for name in _KEPT if name in values}},
    )


def _check_aim(values: dict[str, Any], place: str, mistakes: Mistakes) -> None:
    kind = values.get("kind")
    if kind is None and "part" not in values and not values.get("holds"):
        wanted = 'part = "lift.chain.*", kind = "roller-chain" or holds = ["ratchet"]'
        mistakes.add(place, NOTHING, f"{wanted}: what the check is made on")
    if kind is not None and kind not in KINDS:
        mistakes.add(
            f"{place}, kind", kind, "a part kind of the format's page", nearest(kind, KINDS)
        )
    elif kind is not None:
        known = {field.name for field in KINDS[kind].fields}
        for name in sorted(set(values.get("where", {})) - known):
            mistakes.add(f"{place}, where.{name}", name, f"a field of {kind}", nearest(name, known))


def _check_device(values: dict[str, Any], place: str, mistakes: Mistakes) -> None:
    for word in values.get("holds", ()):
        if word not in DEVICES:
            wanted = "one of " + ", ".join(DEVICES)
            mistakes.add(f"{place}, holds", word, wanted, nearest(word, DEVICES))


def _read_inputs(tables: list[dict[str, Any]], place: str, mistakes: Mistakes) -> tuple[Input, ...]:
    inputs: dict[str, Input] = {}
    for number, table in enumerate(tables, 1):
        here = f"{place}, input {table.get('name', number)}"
        values = read_table(table, INPUT_FIELDS, here, mistakes)
        if "name" not in values or "kind" not in values:
            continue
        if values["name"] in inputs:
            mistakes.add(here, Words("the same name twice"), "a name of its own for each input")
        inputs[values["name"]] = _read_input(values, here, mistakes)
    return tuple(inputs.values())


def _read_input(values: dict[str, Any], place: str, mistakes: Mistakes) -> Input:
    kind = values["kind"]
    if kind == "number":
        values["unit"] = _read_unit(values.get("unit"), place, mistakes)
    else:
        for name in sorted({"unit", "least", "most"} & set(values)):
            mistakes.add(f"{place}, {name}", values[name], f"no {name}, which only a number has")
    values["options"] = _read_options(kind, values.get("options", {}), place, mistakes)
    values.setdefault("required", kind in ("number", "choice", "yes_no"))
    return Input(**{"label": values["name"], **values})


def _read_unit(raw: str | None, place: str, mistakes: Mistakes) -> str:
    """The unit's own name; `1` where it cannot be read, since the check judges nothing then."""
    if raw is None:
        mistakes.add(
            f"{place}, unit",
            NOTHING,
            'the unit of the number, such as "mm" ("1" for a plain number)',
        )
        return "1"
    try:
        return unit_name(raw)
    except BadInput as error:
        mistakes.add(f"{place}, unit", raw, error.sentence, nearest(raw, UNITS))
        return "1"


def _read_options(
    kind: str, options: dict[str, Any], place: str, mistakes: Mistakes
) -> dict[str, str]:
    """Answer -> verdict; a verdict that cannot be read counts as unjudged."""
    if kind == "choice" and not options:
        mistakes.add(
            f"{place}, options",
            NOTHING,
            'answers with their verdicts, such as { whole = "ok", broken = "stop" }',
        )
    if kind == "yes_no" and options and set(options) != set(YES_NO):
        mistakes.add(f"{place}, options", ", ".join(options), "both yes and no")
    if kind not in ("choice", "yes_no") and options:
        mistakes.add(f"{place}, options", ", ".join(options), "options for a choice or yes_no only")
    for answer, verdict in options.items():
        if verdict not in VERDICTS:
            mistakes.add(
                f"{place}, options.{answer}",
                verdict,
                "one of " + ", ".join(VERDICTS),
                nearest(str(verdict), VERDICTS),
            )
    return {
        answer: verdict if verdict in VERDICTS else "unjudged"
        for answer, verdict in options.items()
    }


def _read_measures(
    table: dict[str, Any], inputs: tuple[Input, ...], place: str, mistakes: Mistakes
) -> dict[str, str]:
    """Input -> quantity, those that can be used."""
    numbers = {item.name: item for item in inputs if item.kind == "number"}
    found = {}
    for name, quantity in table.items():
        if name not in numbers:
            mistakes.add(
                f"{place}.{name}",
                name,
                "the name of a number input of this check",
                nearest(name, numbers),
            )
        elif not isinstance(quantity, str) or quantity not in QUANTITIES:
            mistakes.add(
                f"{place}.{name}",
                quantity,
                "one of " + ", ".join(QUANTITIES),
                nearest(str(quantity), QUANTITIES),
            )
        elif dimension_of(numbers[name].unit) != QUANTITIES[quantity]:
            mistakes.add(
                f"{place}.{name}",
                Words(f"an input in {numbers[name].unit}"),
                f"a unit of {QUANTITIES[quantity]}",
            )
        else:
            found[name] = quantity
    return found


def _check_judged(
    inputs: tuple[Input, ...], rule: LimitRule, place: str, mistakes: Mistakes
) -> None:
    if not rule.bounds and not any(item.options for item in inputs):
        mistakes.add(
            place,
            NOTHING,
            "what judges it: options of a choice or yes_no, or a limit with " + ", ".join(BOUNDS),
        )


def _fits(found: Any, asked: Any) -> bool:
    """`"*"` asks that something is given; a list asks for one of its items."""
    if asked == "*":
        return found is not None
    return found in asked if isinstance(asked, list) else found == asked
