"""The yearly capacity test: a steady discharge to the end voltage, and the charge that came out of it."""

from collections.abc import Sequence
from itertools import pairwise

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.batteries import HOUR, battery_capacity

END_VOLTAGE = 10.5
"""V at which the discharge of a 12 V lead-acid battery ends: 1.75 V a cell (battery makers' definition of reserve capacity)."""
TEST_CURRENT = 7.5
"""A of the usual test of a robot's battery, about two hours (makers' documentation)."""


def delivered(times: Sequence[float], volts: Sequence[float], amps: Sequence[float], end: float = END_VOLTAGE) -> tuple[float, float]:
    """Charge in A*h (trapezoid rule) and time in s until the voltage first falls to `end`, taken on the line between two points.

    Raises OutOfRange for too few points, a time that does not rise, or a discharge that was ended above `end`.
    """
    if len(times) < 2 or not len(times) == len(volts) == len(amps):
        raise OutOfRange("A capacity test needs two points or more, each with time and volts.", "points")
    if any(later <= earlier for earlier, later in pairwise(times)):
        raise OutOfRange("The times of the points must rise. Sort them, and leave double ones out.", "points")
    charge = 0.0
    for (t1, v1, i1), (t2, v2, i2) in pairwise(zip(times, volts, amps, strict=True)):
        share = min(1.0, (v1 - end) / (v1 - v2)) if v2 <= end < v1 else 1.0
        part = share * (t2 - t1)
        charge += part * (i1 + i1 + share * (i2 - i1)) / 2 / HOUR
        if v2 <= end:
            return charge, t1 + part - times[0]
    sentence = f"The last point is {volts[-1]:g} V; a capacity test goes down to {end:g} V. Go on, or type the last points."
    raise OutOfRange(sentence, "points")


def capacity_result(
    times: Sequence[float], volts: Sequence[float], amps: Sequence[float], temperature: float, end: float = END_VOLTAGE,
) -> dict[str, float]:
    """`capacity` and `capacity_25` (at 25 °C) in A*h, `seconds`, mean `current` in A; temperature in K. Raises OutOfRange."""
    charge, seconds = delivered(times, volts, amps, end)
    if charge <= 0 or seconds <= 0:
        raise OutOfRange("Nothing was discharged by these points: is the current positive, and the first voltage above the end?", "points")
    at_25 = battery_capacity(charge, temperature, min(max(seconds, HOUR), 20 * HOUR)).value
    return {"capacity": charge, "capacity_25": at_25, "seconds": seconds, "current": charge * HOUR / seconds, "temperature": temperature}
