"""The `[hold_path]` table of a build sheet: what holds the robot up after a climb, from the bar
down to what holds without power.

A field that cannot be used is a mistake, the rest loads. What is left out is not stated; the
computation names it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.errors import nearest
from pitcrew.domain.robot.mistakes import NOTHING, Mistakes
from pitcrew.domain.robot.pathnumbers import name_unused
from pitcrew.domain.robot.tables import Field, read_table

WAYS = ("lines", "falls", "ratio", "drum", "sprocket", "pulley", "arm", "gear")
"""How a step hands the load on; without a word the same load goes on."""
DEVICES: dict[str, tuple[str, ...]] = {
    "ratchet": ("ratchet",),
    "brake": ("brake",),
    "one-way": ("one-way",),
    "worm": ("worm",),
    "over-center": ("linkage",),
    "pin": ("pin",),
    "motor-brake": (),
    "none": (),
}
"""What may hold at the end, with the kinds of parts that can be it (none named: any part)."""
SINKS = ("motor-brake", "none")
"""Answers that never make a cleared climb."""
MATERIALS = ("textile", "wire rope", "roller chain", "chain", "metal")
CARRIES = ("pull", "shear", "torque")


def _may(
    name: str,
    kind: str,
    meaning: str,
    *choices: str,
    least: float | None = None,
    most: float | None = None,
) -> Field:
    return Field(name, kind, meaning, required=False, choices=choices, least=least, most=most)


_STRENGTH = (
    _may("strength", "force", "force that breaks it, by its maker or a pull test", least=1),
    _may("torque_strength", "torque", "torque that breaks it, by its maker or a test", least=0.01),
    _may("material", "words", "what it is made of, for the factor it needs", *MATERIALS),
)
PATH_FIELDS = (
    _may(
        "free_length",
        "length",
        "shortest free length of the member that stretches, with the robot at the top of the climb",
        least=0.001,
        most=20,
    ),
    _may(
        "deflection",
        "length",
        "how far it gives from bar to drum under the robot, measured at the top",
        least=0.0001,
        most=1,
    ),
    _may(
        "latency",
        "time",
        "time until the device is free to fall in, once told (0 s where nothing holds it out)",
        least=0,
        most=10,
    ),
    _may("fall_speed", "speed", "how fast the robot goes down meanwhile", least=0, most=20),
    _may("swing", "angle", "how far it may swing when it leaves the floor", least=0, most=1.5),
    _may("hold_time", "time", "how long it must hold", least=1),
    _may(
        "lower_factor",
        "number",
        "a team's own lower factor, in place of the lifting rules'; two people approve it",
        least=2,
        most=20,
    ),
    _may("lower_factor_reason", "text", "why the lower factor is enough"),
    _may("motor", "table", "the motors that lift it, for a run against the hard stop"),
    _may("second", "table", "a second hook or winch"),
    _may("step", "tables", "the steps in order, from the bar down, each under [[hold_path.step]]"),
    _may(
        "beside",
        "tables",
        "what carries a step's load beside the path, such as mounts: [[hold_path.beside]]",
    ),
)
MOTOR_FIELDS = (
    _may("stall_torque", "torque", "stall torque of one motor", least=0),
    _may(
        "count",
        "count",
        "how many motors pull together (0 where no motor lifts it)",
        least=0,
        most=20,
    ),
    _may(
        "ratio",
        "number",
        "motor turns for one turn of the drum, sprocket or arm",
        least=0.01,
        most=100000,
    ),
)
SECOND_FIELDS = (
    _may(
        "count",
        "count",
        "hooks or winches that carry it together; 1 where this path is the only one",
        least=1,
        most=4,
    ),
    _may(
        "equaliser",
        "yes_no",
        "whether an equalizer shares the load; without one each must carry all of it",
    ),
)
STEP_FIELDS = (
    _may("part", "id", "id of the part"),
    _may("name", "text", "what it is, where the build sheet has no part for it"),
    *_STRENGTH,
    _may(
        "hands_on", "words", "how it hands the load on; left out where the same load goes on", *WAYS
    ),
    _may("lines", "count", "lines: separate lines side by side", least=1, most=20),
    _may("falls", "count", "falls: parts of one reeved line that hold the load", least=1, most=20),
    _may(
        "ratio",
        "number",
        "ratio: how far the hook moves when this member moves by 1; gear: turns of what comes "
        "next for one turn of this",
        least=0.01,
        most=1000,
    ),
    _may("sides", "count", "ratio: how many sides pull, left and right", least=1, most=4),
    _may(
        "equaliser",
        "yes_no",
        "lines and ratio: whether an equalizer shares the load; without one each must hold it all",
    ),
    _may("layers", "count", "drum: layers on it when the robot is at the top", least=1, most=20),
    _may(
        "radius",
        "length",
        "drum, sprocket, pulley, arm: lever, where its part does not state it; gear: pitch radius",
        least=0.001,
        most=2,
    ),
    _may("holds", "words", "what holds without power; on the last step", *DEVICES),
)
BESIDE_FIELDS = (
    _may("part", "id", "id of the part"),
    _may("name", "text", "what it is, where the build sheet has no part for it"),
    *_STRENGTH,
    Field("with", "text", "part or name of the step whose load it carries"),
    Field(
        "carries",
        "words",
        "pull: the step's pull along it; shear: that pull across it; torque: the step's torque",
        choices=CARRIES,
    ),
    _may(
        "radius", "length", "torque: the circle on which the bolts or pins sit", least=0.001, most=1
    ),
)


@dataclass(frozen=True)
class Step:
    """One step of the path; SI, None where a number is not stated."""

    part: str = ""
    name: str = ""
    strength: float | None = None
    torque_strength: float | None = None
    material: str = ""
    hands_on: str = ""
    lines: int | None = None
    falls: int | None = None
    ratio: float | None = None
    sides: int | None = None
    equaliser: bool = False
    layers: int | None = None
    radius: float | None = None
    holds: str = ""

    @property
    def key(self) -> str:
        """What else may call it by: its part, else its name."""
        return self.part or self.name


@dataclass(frozen=True)
class Beside:
    """What carries a step's load beside the path; `step` is that step's part or name."""

    part: str = ""
    name: str = ""
    step: str = ""
    carries: str = ""
    strength: float | None = None
    torque_strength: float | None = None
    material: str = ""
    radius: float | None = None


@dataclass(frozen=True)
class Motor:
    """The motors that lift it; `stall_torque` in N*m of one."""

    stall_torque: float | None = None
    count: int | None = None
    ratio: float | None = None


@dataclass(frozen=True)
class Second:
    """How many hooks or winches carry it together."""

    count: int | None = None
    equaliser: bool = False


@dataclass(frozen=True)
class HoldPathTable:
    """What the build sheet says of the hold path, SI. `translated`: it was written in the older
    `[climb]` form."""

    steps: tuple[Step, ...] = ()
    beside: tuple[Beside, ...] = ()
    free_length: float | None = None
    deflection: float | None = None
    latency: float | None = None
    fall_speed: float | None = None
    swing: float | None = None
    hold_time: float | None = None
    lower_factor: float | None = None
    lower_factor_reason: str = ""
    motor: Motor | None = None
    second: Second | None = None
    translated: bool = False

    @property
    def device(self) -> str:
        """What holds at the end, by the table's word; empty where that is not stated."""
        return self.steps[-1].holds if self.steps else ""

    @property
    def items(self) -> tuple["Step | Beside", ...]:
        """The steps from the bar down, then what is beside them."""
        return (*self.steps, *self.beside)

    @property
    def parts(self) -> tuple[str, ...]:
        """The ids of all parts that the path names."""
        return tuple(dict.fromkeys(item.part for item in self.items if item.part))


def read_hold_path(
    table: dict[str, Any] | None, kinds: Mapping[str, str], mistakes: Mistakes
) -> HoldPathTable | None:
    """The `[hold_path]` table; `kinds` gives the kind of each part by id. None where there is
    none."""
    if table is None:
        return None
    values = read_table(table, PATH_FIELDS, "hold_path", mistakes)
    steps = tuple(_steps(values.pop("step", []), kinds, mistakes))
    beside = tuple(_beside(values.pop("beside", []), {step.key for step in steps}, kinds, mistakes))
    motor = values.pop("motor", None)
    second = values.pop("second", None)
    if not steps:
        mistakes.add(
            "hold_path, step",
            NOTHING,
            "at least one [[hold_path.step]], the last one with what holds",
        )
    if "lower_factor" in values and "lower_factor_reason" not in values:
        mistakes.add(
            "hold_path, lower_factor_reason",
            NOTHING,
            "why the lower factor is enough, in one sentence",
        )
        del values["lower_factor"]
    return HoldPathTable(
        steps,
        beside,
        **values,
        motor=(
            None
            if motor is None
            else Motor(**read_table(motor, MOTOR_FIELDS, "hold_path.motor", mistakes))
        ),
        second=(
            None
            if second is None
            else Second(**read_table(second, SECOND_FIELDS, "hold_path.second", mistakes))
        ),
    )


def _steps(
    tables: list[dict[str, Any]], kinds: Mapping[str, str], mistakes: Mistakes
) -> Iterator[Step]:
    for number, table in enumerate(tables, 1):
        place = f"hold_path.step {number}"
        values = _called(read_table(table, STEP_FIELDS, place, mistakes), place, kinds, mistakes)
        if values is None:
            continue
        kind = kinds.get(values.get("part", ""), "")
        if kind == "spring":
            mistakes.add(
                f"{place}, part",
                values["part"],
                "a part that can hold; a spring is never a holding device",
            )
        if "holds" in values:
            _device(values, kind, number == len(tables), place, mistakes)
        name_unused(values, place, mistakes)
        yield Step(**values)


def _device(values: dict[str, Any], kind: str, last: bool, place: str, mistakes: Mistakes) -> None:
    """Take out what cannot hold here: a device before the end, or a part of a kind that is no such
    device."""
    word = values["holds"]
    fitting = DEVICES[word]
    if not last:
        mistakes.add(
            f"{place}, holds", word, "holds on the last step alone: the path ends at what holds"
        )
    elif fitting and kind and kind not in fitting:
        mistakes.add(
            f"{place}, holds", f"{word} on a {kind}", f"a part of the kind {' or '.join(fitting)}"
        )
    else:
        return
    del values["holds"]


def _beside(
    tables: list[dict[str, Any]], steps: set[str], kinds: Mapping[str, str], mistakes: Mistakes
) -> Iterator[Beside]:
    for number, table in enumerate(tables, 1):
        place = f"hold_path.beside {number}"
        values = _called(read_table(table, BESIDE_FIELDS, place, mistakes), place, kinds, mistakes)
        if values is None:
            continue
        step = values.pop("with", "")
        if step and step not in steps:
            mistakes.add(
                f"{place}, with",
                step,
                "the part or name of a step of this path",
                nearest(step, steps),
            )
            step = ""
        yield Beside(step=step, **values)


def _called(
    values: dict[str, Any], place: str, kinds: Mapping[str, str], mistakes: Mistakes
) -> dict[str, Any] | None:
    """The values with a part that exists, or a name; a part that no one knows keeps its place in
    the path under its name."""
    part = values.get("part")
    if part is not None and part not in kinds:
        mistakes.add(
            f"{place}, part", part, "the id of a part of this build sheet", nearest(part, kinds)
        )
        values["name"] = values.get("name", values.pop("part"))
    if not values.get("part") and not values.get("name"):
        mistakes.add(place, NOTHING, "a part of this build sheet, or a name of its own")
        return None
    return values
