"""The older `[climb]` table as a hold path, and a hold path as it would be in a build sheet."""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from typing import Any, Protocol

from pitcrew.base.units import screen_unit, show
from pitcrew.domain.robot.climbparts import INSPECTED, ClimbOther, ClimbParts
from pitcrew.domain.robot.hold_path import (
    BESIDE_FIELDS,
    MOTOR_FIELDS,
    PATH_FIELDS,
    SECOND_FIELDS,
    STEP_FIELDS,
    Beside,
    HoldPathTable,
    Step,
)
from pitcrew.domain.robot.tables import Field

BESIDE = ("structure",)
"""Of what every climb hangs on, what is beside the path instead of in it."""
NO_LINK = ("servo", "spring", "encoder", "camera", "controller", "connector", "cord")
"""Kinds of climb-critical parts that hold nothing up; a cord that the older table does not name
only releases."""


class Specified(Protocol):
    """A part as far as the translation needs it."""

    @property
    def kind(self) -> str: ...
    @property
    def climb_critical(self) -> bool: ...
    @property
    def specs(self) -> Mapping[str, Any]: ...


def translated(climb: ClimbParts, parts: Mapping[str, Specified]) -> HoldPathTable:
    """The hold path that the older table means. What it never asked for is not stated, a latency or
    speed of nothing included."""
    winch = parts[climb.ratchet].specs
    lines, falls, ratio = (
        int(winch.get("lines", 1)),
        int(winch.get("parts", 1)),
        float(winch.get("ratio", 1)),
    )
    rope = (
        Step(part=climb.rope, hands_on="falls", falls=falls)
        if falls > 1
        else Step(part=climb.rope, hands_on="lines", lines=lines, equaliser=climb.equaliser)
    )
    steps = [
        *_hooks(climb, parts),
        rope,
        Step(part=climb.ratchet, hands_on="drum"),
        *_plain(climb, parts),
        *(
            [Step(name="gears to the ratchet", hands_on="gear", ratio=ratio, material="metal")]
            if ratio != 1
            else []
        ),
        Step(part=climb.ratchet, holds="ratchet"),
    ]
    return HoldPathTable(
        tuple(steps),
        tuple(_beside(climb, parts, {step.key for step in steps})),
        latency=climb.latency or None,
        fall_speed=climb.speed or None,
        hold_time=winch.get("hold_time"),
        translated=True,
    )


def _hooks(climb: ClimbParts, parts: Mapping[str, Specified]) -> list[Step]:
    """The hooks first: those with a strength, those of the build sheet, or one to inspect."""
    told = [
        _step(item) for item in climb.other if item.name == "hook" or _kind(item, parts) == "hook"
    ]
    seen = {step.part for step in told}
    mine = [
        Step(part=name)
        for name, part in parts.items()
        if part.kind == "hook" and part.climb_critical and name not in seen
    ]
    return told + mine or [Step(name="hook", material="metal")]


def _plain(climb: ClimbParts, parts: Mapping[str, Specified]) -> Iterator[Step]:
    """What the torque goes through, with a strength or to inspect; and the gearboxes of the build
    sheet."""
    named = set(climb.parts)
    boxes = [
        name
        for name, part in parts.items()
        if part.kind == "gearbox" and part.climb_critical and name not in named
    ]
    told = {item.name: item for item in climb.other}
    for name in INSPECTED:
        if name in ("hook", *BESIDE) or (name in told and told[name].radius):
            continue
        if name in told:
            yield _step(told[name])
        elif name == "gearbox" and boxes:
            yield from (Step(part=box) for box in boxes)
        else:
            yield Step(name=name, material="metal")


def _beside(climb: ClimbParts, parts: Mapping[str, Specified], steps: set[str]) -> Iterator[Beside]:
    for item in climb.bolts:
        at = climb.ratchet if item.carries == "torque" else climb.rope
        yield Beside(part=item.part, step=at, carries=item.carries, radius=item.radius)
    for other in climb.other:
        plain = other.name in INSPECTED and other.name not in BESIDE and not other.radius
        if plain or _kind(other, parts) == "hook":
            continue
        torque = bool(other.radius or other.torque_strength)
        yield Beside(
            part=other.part,
            name=other.name,
            step=climb.ratchet if torque else climb.rope,
            carries="torque" if torque else "pull",
            strength=other.strength,
            torque_strength=other.torque_strength,
            radius=other.radius,
            material="metal" if other.name in INSPECTED else "",
        )
    for name in BESIDE:
        if all(other.name != name for other in climb.other):
            yield Beside(name=name, step=climb.rope, carries="pull", material="metal")
    named = steps | set(climb.parts)
    for name, part in parts.items():
        if part.climb_critical and name not in named and part.kind not in NO_LINK:
            yield Beside(part=name, step=climb.rope, carries="pull")


def _step(item: ClimbOther) -> Step:
    material = "metal" if item.name in INSPECTED else ""
    return Step(item.part, item.name, item.strength, item.torque_strength, material)


def _kind(item: ClimbOther, parts: Mapping[str, Specified]) -> str:
    return parts[item.part].kind if item.part in parts else ""


def new_form(path: HoldPathTable) -> str:
    """The hold path as lines of a build sheet, in metric units."""
    lines = ["[hold_path]", *_lines(path, PATH_FIELDS)]
    for item, name, keys in (
        (path.motor, "motor", MOTOR_FIELDS),
        (path.second, "second", SECOND_FIELDS),
    ):
        if item is not None:
            lines += [f"[hold_path.{name}]", *_lines(item, keys)]
    for step in path.steps:
        lines += ["[[hold_path.step]]", *_lines(step, STEP_FIELDS)]
    for beside in path.beside:
        lines += ["[[hold_path.beside]]", *_lines(beside, BESIDE_FIELDS)]
    return "\n".join(lines)


def _lines(item: Any, keys: tuple[Field, ...]) -> Iterator[str]:
    known = {field.name for field in fields(item)}
    for key in keys:
        name = "step" if key.name == "with" else key.name
        value = getattr(item, name, None) if name in known else None
        if key.kind in ("table", "tables") or value is None or value is False or value == "":
            continue
        yield f"{key.name} = {_typed(key, value)}"


def _typed(key: Field, value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if key.kind in ("text", "id", "words"):
        return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'
    if key.kind in ("count", "number"):
        return f"{value:g}"
    unit = screen_unit(key.kind, "metric")
    return f'"{show(value, unit, 6)}"'
