"""The yearly capacity test: a steady discharge to the end voltage, and the charge that came out of
it."""

import re
from collections.abc import Sequence
from itertools import pairwise

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.engineering.batteries import HOUR, battery_capacity

END_VOLTAGE = 10.5
"""V at which the discharge of a 12 V lead-acid battery ends: 1.75 V a cell (battery makers'
definition of reserve capacity)."""
TEST_CURRENT = 7.5
"""A of the usual test of a robot's battery, about two hours (makers' documentation)."""


MOST_CHARGE, LEAST_CHARGE = 30.0, 0.5
"""A*h that a robot's battery can have given in a test: twice a new one, and one that is quite
dead."""


_UNITS = re.compile(r"(?<=\d)(?:min|v|volts?)$|^(?:min|v|minutes?|volts?)$", re.IGNORECASE)
_HOURS = re.compile(r"^(\d{1,2})\s*h\s*(\d{2})(?:\s*m(?:in)?)?(?=[\s;|,])", re.IGNORECASE)
"""A tester's `1h50`."""


def read_points(text: str, current: float) -> list[tuple[float, float]]:
    """Points (s, V) from lines of minutes and volts, or of times such as 0:30 or 1:02:30 and volts.

    Times of two pieces are hours and minutes or minutes and seconds, whichever gives a charge that
    a battery can hold at `current` (A). Raises BadInput naming the line, or asking where both do.
    """
    rows = [_point(number, line) for number, line in enumerate(text.splitlines(), 1)]
    found = [row for row in rows if row is not None]
    two = [len(pieces) == 2 for pieces, _ in found]
    last = max((pieces for pieces, _ in found if len(pieces) == 2), default=None)
    size = _first_piece(last, current) if any(two) and last else 60.0
    return [(_seconds_of(pieces, size), volts) for pieces, volts in found]


def _point(number: int, line: str) -> tuple[tuple[float, ...], float] | None:
    """The pieces of a line's time and its volts; None for an empty one."""
    text = _HOURS.sub(r"\1:\2", line.strip())
    words = [_UNITS.sub("", word) for word in re.split(r"[\s;|]+|\s[-=]\s", text)]
    words = [word for word in words if word.strip("-=")]
    if len(words) == 1 and words[0].count(",") == 1 and re.search("[:.]", words[0]):  # 0:30,12.3
        words = words[0].split(",")
    if not words:
        return None
    try:
        time, volts = (word.rstrip(",").replace(",", ".") for word in words)
        pieces = tuple(float(piece) for piece in time.split(":"))
        if len(pieces) > 3 or any(piece >= 60 for piece in pieces[1:]):
            raise ValueError(time)
        return pieces, float(volts)
    except ValueError:
        said = f"Line {number} of the points is {line.strip()[:40]!r}."
        wanted = "Wanted: minutes and volts, such as 45 11.9, or 0:45 11.9"
        raise BadInput(f"{said} {wanted}", "points") from None


def _first_piece(last: tuple[float, ...], current: float) -> float:
    """What the first of two pieces counts, in s: hours or minutes, by the charge of the whole
    test."""
    fits = []
    for size in (HOUR, 60.0):
        charge = abs(current) * _seconds_of(last, size) / HOUR
        if LEAST_CHARGE <= charge <= MOST_CHARGE:
            fits.append(size)
    if len(fits) == 1:
        return fits[0]
    shown = f"{last[0]:g}:{last[1]:02g}"
    raise BadInput(
        f"Is the last time {shown} in hours and minutes, or in minutes and seconds? "
        f"Write all three pieces, such as {last[0]:g}:{last[1]:02g}:00.", "points",
    )  # fmt: skip


def _seconds_of(pieces: tuple[float, ...], size: float) -> float:
    if len(pieces) == 1:
        return pieces[0] * 60
    if len(pieces) == 2:
        return pieces[0] * size + pieces[1] * size / 60
    return pieces[0] * HOUR + pieces[1] * 60 + pieces[2]


def started(times: Sequence[float]) -> float:
    """When the discharge began, in s, by the times of its points: at 0, where a tester's clock
    starts. Raises BadInput asking for it where the first point comes later than one gap between
    two of the others, since then lines may be missing or the times be those of a wall clock."""
    if not times or times[0] <= 0:
        return times[0] if times else 0.0
    gaps = [later - earlier for earlier, later in pairwise(times)]
    if gaps and times[0] <= max(gaps):
        return 0.0
    raise BadInput(
        f"The first point is at {times[0] / 60:.3g} min. Did the discharge start at 0? Then add"
        " its first line, such as 0 12.7. If these are times of day, count them from the start.",
        "points",
    )


def delivered(
    times: Sequence[float],
    volts: Sequence[float],
    amps: Sequence[float],
    end: float = END_VOLTAGE,
    start: float | None = None,
) -> tuple[float, float]:
    """Charge in A*h (trapezoid rule) and time in s until the voltage first falls to `end`, taken on
    the line between two points. `start`: when the discharge began in s, if before the first point;
    until then the first point's current counts.

    Raises OutOfRange for too few points, a time that does not rise, or a discharge that was ended
    above `end` or begun below it.
    """
    if len(times) < 2 or not len(times) == len(volts) == len(amps):
        raise OutOfRange(
            "A capacity test needs two points or more, each with time and volts.", "points"
        )
    if any(later <= earlier for earlier, later in pairwise(times)):
        raise OutOfRange(
            "The times of the points must rise. Sort them, and leave double ones out.", "points"
        )
    if volts[0] <= end:
        raise OutOfRange(
            f"The first point is {volts[0]:g} V already; a capacity test starts charged and goes"
            f" down to {end:g} V. Add the points before it.",
            "points",
        )
    begun = times[0] if start is None else min(start, times[0])
    charge = amps[0] * (times[0] - begun) / HOUR
    for (t1, v1, i1), (t2, v2, i2) in pairwise(zip(times, volts, amps, strict=True)):
        share = min(1.0, (v1 - end) / (v1 - v2)) if v2 <= end < v1 else 1.0
        part = share * (t2 - t1)
        charge += part * (i1 + i1 + share * (i2 - i1)) / 2 / HOUR
        if v2 <= end:
            return charge, t1 + part - begun
    sentence = (
        f"The last point is {volts[-1]:g} V; a capacity test goes down to {end:g} V. Go on, or type"
        " the last points."
    )
    raise OutOfRange(sentence, "points")


def capacity_result(
    times: Sequence[float],
    volts: Sequence[float],
    amps: Sequence[float],
    temperature: float,
    end: float = END_VOLTAGE,
    start: float | None = None,
) -> dict[str, float]:
    """`capacity` and `capacity_25` (at 25 °C) in A*h, `seconds`, mean `current` in A; temperature
    in K, `start` as for `delivered`. Raises OutOfRange."""
    charge, seconds = delivered(times, volts, amps, end, start)
    if charge <= 0 or seconds <= 0:
        raise OutOfRange(
            "Nothing was discharged by these points: is the current positive, and the first voltage"
            " above the end?",
            "points",
        )
    at_25 = battery_capacity(charge, temperature, min(max(seconds, HOUR), 20 * HOUR)).value
    return {
        "capacity": charge,
        "capacity_25": at_25,
        "seconds": seconds,
        "current": charge * HOUR / seconds,
        "temperature": temperature,
    }
