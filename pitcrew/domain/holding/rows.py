"""The rows of what is not at rest: the catch, the swing, a run into the stop, a second hook that lets go."""

import math
from dataclasses import dataclass, replace

from pitcrew.base.units import mark, number_text
from pitcrew.domain.holding.asking import Ask
from pitcrew.domain.holding.links import Link, PathInput
from pitcrew.engineering.constants import GRAVITY


@dataclass(frozen=True)
class Fall:
    """The fall that a catch must take, as a height in m: `tooth`, and what speed and latency add; and the `give` in m."""

    tooth: float | None
    added: float
    give: float | None

    @property
    def height(self) -> float | None:
        """All of it."""
        return None if self.tooth is None else self.tooth + self.added

    @property
    def peak(self) -> float | None:
        """Peak over load at rest: energy of a fall on an elastic line, n = 1 + √(1 + 2h/δ)."""
        if self.height is None or not self.give:
            return None
        return 1 + math.sqrt(1 + 2 * self.height / self.give)


def fall_of(ask: Ask, tooth: float | None) -> Fall:
    """The fall with the speed that it already has, and what it goes on falling until the device is free to seat."""
    table = ask.site.table
    latency = ask.note("latency", "time until it can seat", "time", table.latency, needed=True) or 0.0
    speed = ask.note("fall_speed", "speed of going down", "speed", table.fall_speed, needed=True) or 0.0
    return Fall(tooth, latency * speed + speed * speed / (2 * GRAVITY.value), give_of(ask))


def give_of(ask: Ask) -> float | None:
    """How far the path gives under the robot at rest, m: as measured at the top, less the ruler's uncertainty."""
    taken = ask.site.measured.of("", "deflection")
    found = ask.note("deflection", "give from bar to drum at the top", "length", ask.site.table.deflection, taken, min)
    if found is None:
        ask.lack("deflection", "give from bar to drum at the top", "m")
        return None
    ruler = ask.site.robot.instruments.get("ruler", 0.001)
    ask.inputs.append(PathInput("ruler", "ruler's uncertainty", ruler, "m"))
    return max(found - ruler, 0.0) or None


def catch(ask: Ask, weakest: Link, fall: Fall) -> Link:
    """The same load when the device catches: what it does to the link with the smallest factor."""
    worst = "" if ask.needs else " at its worst"
    peak = fall.peak
    if peak is None or fall.height is None:
        because = "The catch cannot be computed: " + "; ".join(ask.needs or ["the drop per tooth is not known"]) + "."
        return _row(ask, f"catch{worst}", because, weakest, None, "catch")
    because = (
        f"Falling {mark(fall.height, 'length')} before it catches, on a path that gives {mark(fall.give or 0.0, 'length')} at rest, "
        f"loads all of it {number_text(peak)} times; {weakest.name} has the least to spare."
    )
    return _row(ask, f"catch{worst}", because, weakest, peak, "catch")


def _row(ask: Ask, name: str, because: str, weakest: Link, times: float | None, kind: str) -> Link:
    load = None if times is None or weakest.load is None else weakest.load * times
    inputs = tuple(dict.fromkeys((*weakest.inputs, *ask.inputs)))
    return replace(
        weakest, name=name, because=because, load=load, required=ask.site.factors.moving, inputs=inputs, kind=kind,
        needs=tuple(dict.fromkeys((*weakest.needs, *ask.needs))), inspection_key="", rule=None,
    )
