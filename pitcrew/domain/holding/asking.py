"""Asking for one number after the other: the worse of build sheet and last reading, noted as an
input of the link it goes into."""

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pitcrew.base.units import show
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.holding.factors import Factors
from pitcrew.domain.holding.links import (
    ASSUMED,
    MEASURED,
    NOT_COMPUTED,
    NOT_STATED,
    STATED,
    LastReading,
    Link,
    Measured,
    PathInput,
)
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.hold_path import Beside, HoldPathTable, Step

LOOK = "path-look"
"""The check that looks at a link without numbers."""
OWN_PART = "hold-path"
"""First word of the part ids of links that are no part of the build sheet."""
Worse = Callable[[float, float], float]
FORCE, TORQUE = "force", "torque"
SHOWN = {"force": "N", "torque": "N*m", "length": "mm", "number": "1"}
"""The unit in which a number that is stated twice is told."""


@dataclass(frozen=True)
class Site:
    """What all links of one robot are computed from."""

    robot: Robot
    table: HoldPathTable
    measured: Measured
    factors: Factors
    weight: float
    """What hangs on this path, N: all of the robot, or its share through an equalizer."""


@dataclass(frozen=True)
class Carried:
    """What one step hands to the next: `kind` is force or torque, `value` in N or N*m, None where
    it is not known; and all that it was computed from."""

    kind: str
    value: float | None
    inputs: tuple[PathInput, ...] = ()
    needs: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The SI unit of the value."""
        return SI_UNIT[self.kind]


@dataclass(frozen=True)
class Stage:
    """A step with what arrives at it, what one of it carries, and what it hands on."""

    step: Step
    part: Part | None
    before: Carried
    own: Carried
    after: Carried

    def of_kind(self, kind: str) -> Carried | None:
        """All of the force or torque at this step: what it hands on, else what arrives; of the two
        torques at gears the larger."""
        if self.step.hands_on == "gear" and kind == TORQUE == self.own.kind:
            return self.own
        return next(
            (carried for carried in (self.after, self.before) if carried.kind == kind), None
        )


def input_read(item: PathInput, stated: float | None, taken: LastReading) -> PathInput:
    """An input with the reading that exists of it."""
    return replace(
        item,
        origin=MEASURED,
        when=taken.at,
        by=taken.by,
        stated=stated,
        read=taken.value,
        marks=taken.marks,
    )


BOTH_STATED: Mapping[str, Worse] = {
    "strength": min,
    "torque_strength": min,
    "lines": min,
    "falls": min,
    "sides": min,
    "ratio": min,
    "layers": max,
    "radius": min,
}
"""Which of two numbers is the worse where a part and its step both state one: less strength, fewer
lines to share the load, a slower gear, more layers, a shorter lever of a pin or bolt circle. A
transfer whose worse is the other way says so itself."""


class Ask:
    """Asks for the numbers of one step or of what is beside it. What was asked is kept in
    `inputs`, what was not stated in `needs`."""

    def __init__(self, site: Site, item: Step | Beside, part: Part | None) -> None:
        self.site, self.item, self.part = site, item, part
        self.inputs: list[PathInput] = []
        self.needs: list[str] = []

    @property
    def label(self) -> str:
        """What it is called on screen and paper."""
        return self.part.label if self.part else self.item.name

    @property
    def specs(self) -> Mapping[str, Any]:
        """The part's specification; empty for what is no part."""
        return self.part.specs if self.part else {}

    def number(
        self,
        key: str,
        label: str,
        dimension: str,
        *,
        worse: Worse | None = None,
        needed: bool = False,
        stated: float | None = None,
    ) -> float | None:
        """A number of the step, else of the part; the worse of it and the last reading. One that is
        `needed` and nowhere is named."""
        if stated is None:
            both = [
                value
                for value in (getattr(self.item, key, None), self.specs.get(key))
                if value is not None
            ]
            stated = both[0] if both else None
            if len(both) == 2 and both[0] != both[1]:
                stated = self.worst(worse or BOTH_STATED[key])(both[0], both[1])
                unit = SHOWN[dimension]
                self.disagree(label, show(both[1], unit), show(both[0], unit))
        taken = (
            self.site.measured.of(self.part.id, key) if self.part and worse is not None else None
        )
        return self.note(key, label, dimension, stated, taken, worse, needed)

    def note(
        self,
        key: str,
        label: str,
        dimension: str,
        stated: float | None,
        taken: Any = None,
        worse: Worse | None = None,
        needed: bool = False,
    ) -> float | None:
        """Note a number and where it comes from, and give the one that counts."""
        unit = SI_UNIT[dimension]
        if taken is not None and worse is not None:
            value = taken.value if stated is None else self.worst(worse)(stated, taken.value)
            self.inputs.append(input_read(PathInput(key, label, value, unit), stated, taken))
            return value
        if stated is None:
            if needed:
                self.lack(key, label, unit)
            return None
        self.inputs.append(PathInput(key, label, stated, unit, STATED))
        return stated

    def worst(self, worse: Worse) -> Worse:
        """The function that picks the number that counts of several."""
        return worse

    def begun(self, *keys: str) -> bool:
        """Whether the part states some of these numbers and no strength that stands for all of
        them: then the others count against it where they lack."""
        return not self.specs.get("strength") and any(self.specs.get(key) for key in keys)

    def disagree(self, label: str, part: str, step: str) -> None:
        """Note that the part and its step state two numbers for one thing."""
        text = f"part {part}, step {step}: the worse counts"
        self.inputs.append(PathInput("differs", f"{label} stated twice", text))

    def lack(self, key: str, label: str, unit: str = "") -> None:
        """Note that something is not stated and counts against the link."""
        self.inputs.append(PathInput(key, label, None, unit, NOT_STATED))
        self.needs.append(f"{self.label}: {label}")

    def assume(self, key: str, label: str, value: float | str, dimension: str = "") -> None:
        """Note something that no one stated and that is taken at its worst."""
        self.inputs.append(
            PathInput(key, label, value, SI_UNIT[dimension] if dimension else "", ASSUMED)
        )

    def word(self, key: str, label: str, *, needed: bool = False) -> str | None:
        """A word of the part's specification. (A step's own `material` names a factor, not what a
        rope is made of.)"""
        found = self.specs.get(key)
        if found is None or found == "":
            if needed:
                self.lack(key, label)
            return None
        text = {True: "yes", False: "no"}[found] if isinstance(found, bool) else str(found)
        self.inputs.append(PathInput(key, label, text))
        return text

    def link(
        self,
        carried: Carried,
        strength: float | None,
        because: str,
        material: str,
        *,
        suffix: str = "",
        load: float | None = None,
        unit: str = "",
        kind: str = "hold",
    ) -> Link:
        """The link from what it carries and what breaks it; `load` where that is not the carried
        value itself."""
        required, rule = self.site.factors.required(material)
        return Link(
            self.label + suffix,
            because,
            self.part.id if self.part else "",
            carried.value if load is None else load,
            strength,
            unit or carried.unit,
            required,
            tuple(dict.fromkeys((*carried.inputs, *self.inputs))),
            kind,
            tuple(dict.fromkeys((*carried.needs, *self.needs))),
            rule=rule,
            material=material,
        )

    def inspected(
        self, carried: Carried, why: str = "", suffix: str = "", kind: str = "hold"
    ) -> Link:
        """A link without numbers: someone looks at it."""
        because = f"{NOT_COMPUTED}. {why}" if why else NOT_COMPUTED
        link = self.link(carried, None, because, "metal", suffix=suffix, kind=kind)
        return replace(
            link, required=None, rule=None, material="", inspection_key=f"{LOOK}@{self.place}"
        )

    @property
    def place(self) -> str:
        """The part id under which it is inspected."""
        return self.part.id if self.part else own_part(self.item.name)


def own_part(name: str) -> str:
    """The part id of a link that is no part of the build sheet, from its name."""
    plain = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-") or "link"
    if not name.isascii():  # other letters tell two links apart as well
        plain = f"{plain}-{hashlib.sha256(name.casefold().encode()).hexdigest()[:6]}"
    return f"{OWN_PART}.{plain}"
