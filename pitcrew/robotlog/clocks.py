"""In which unit a log's clock counts: named by a person, by its heading, by clock times in its
cells, by what the whole log can be, or unknown."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitcrew.base.errors import BadInput
from pitcrew.base.units import show
from pitcrew.robotlog.numbers import tells_seconds
from pitcrew.robotlog.words import UNITS

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

COUNTED = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}
"""What a plain number may count, in s."""
STEPS = (5e-4, 15.0)
"""s from row to row of a robot's own log: no controller writes faster; slower shows no match."""
LONGEST = 12 * 3600.0
"""s of one log; no battery lasts longer."""
SHEET_DAYS = (36526, 73051)
"""the years 2000 to 2099 as a spreadsheet counts days"""
_EPOCH = (9e8, 5e9)
"""s since 1970 of the years 1998 to 2128"""
_TIMES_NEARER = 10.0
"""A unit is taken where its duration is so many times nearer to a match than that of any other."""
_WILD = 100
"""A step of so many usual ones is a pause or a clock that was reset, no part of the duration."""
_NEARLY_ALL = 0.9
_SPARE = 1.5
"""A log may draw so many times the label's capacity before its clock is not believed."""
_WORDS = {"s": "seconds", "ms": "milliseconds", "us": "microseconds", "ns": "nanoseconds"}


COUNTS_DOWN = frozenset({"countdown", "remaining", "left", "match"})
"""Words of a clock that counts down to the end of a match."""


@dataclass(frozen=True)
class Expected:
    """What a log of this robot is like: a match in s, what its battery holds in A*h."""

    match_length: float = 180.0
    capacity: float = 18.0


def split_unit(name: str, headings: Sequence[str]) -> tuple[str, str]:
    """`NAME:ms` as heading and unit; a heading that itself ends like that stays whole."""
    known = {text.strip().casefold() for text in headings}
    front, mark, unit = name.rpartition(":")
    if name.strip().casefold() in known or not mark or not front:
        return name, ""
    unit = unit.strip().casefold()
    return (front, unit) if UNITS.get(unit, ("",))[0] == "time" else (name, "")


def are_times(cells: Sequence[str]) -> bool:
    """Whether a clock's first cells are dates, times of day or carry a unit: they come as seconds,
    whatever their heading says and however far apart they stand."""
    return sum(map(tells_seconds, cells)) > len(cells) / 2


def clock_factor(
    clock: Array,
    heading: str,
    told: float | None,
    current: Array | None,
    expected: Expected,
) -> float:
    """What one of the clock's counts is in s. `told`: where its cells, a person or the heading say
    it. Raises BadInput with the question where the whole log does not decide."""
    if told is not None:
        return told
    step, length = _step_and_length(clock)
    if step < 1e-3 and SHEET_DAYS[0] < clock[0] < SHEET_DAYS[1]:
        return 86400.0
    possible = _possible(step, length, current, expected)
    dated = [unit for unit in possible if _EPOCH[0] < abs(clock[0]) * COUNTED[unit] < _EPOCH[1]]
    if len(dated) == 1:
        return COUNTED[dated[0]]
    far = sorted(
        (abs(math.log10(length * COUNTED[unit] / expected.match_length)), unit) for unit in possible
    )
    if len(far) > 1 and far[1][0] - far[0][0] < math.log10(_TIMES_NEARER):
        units = [unit for unit in COUNTED if unit in (far[0][1], far[1][1])]
        raise BadInput(_question(heading, len(clock), length, units, expected), "time")
    return COUNTED[far[0][1]]


def runs_down(clock: Array) -> bool:
    """Whether nearly all steps of a clock go back: it counts down, or the newest row is first."""
    import numpy as np

    steps = np.diff(clock)
    moving = steps[steps != 0]
    return bool(moving.size and float((moving < 0).mean()) > _NEARLY_ALL)


def counts_rows(clock: Array) -> bool:
    """Whether a clock counts 0, 1, 2, … or 1, 2, 3, … without a break, as row numbers do."""
    import numpy as np

    return len(clock) > 2 and clock[0] in (0, 1) and bool((np.diff(clock) == 1).all())


def _step_and_length(clock: Array) -> tuple[float, float]:
    """The usual step and the duration in the clock's own counts, pauses and new settings left
    out."""
    import numpy as np

    steps = np.diff(clock)
    moving = steps[steps != 0]
    if not moving.size:
        return 1.0, 1.0
    sign = -1.0 if np.median(moving) < 0 else 1.0
    forward = sign * moving[sign * moving > 0]
    usual = float(np.median(forward))
    return usual, float(forward[forward <= _WILD * usual].sum())


def _possible(step: float, length: float, current: Array | None, expected: Expected) -> list[str]:
    """The units by which step, duration and charge are what a robot's log can have; the one with
    the likeliest step where none is."""
    fits = [
        unit
        for unit, size in COUNTED.items()
        if STEPS[0] <= step * size * (1 + 1e-9) and step * size <= STEPS[1]
    ]
    fits = [unit for unit in fits if length * COUNTED[unit] <= LONGEST] or fits
    if current is not None:
        mean = float(abs(current).mean())
        most = _SPARE * expected.capacity
        fits = [unit for unit in fits if mean * length * COUNTED[unit] / 3600 <= most] or fits
    return fits or [min(COUNTED, key=lambda unit: abs(math.log10(step * COUNTED[unit] / 0.02)))]


def _question(
    heading: str, rows: int, length: float, units: Sequence[str], expected: Expected
) -> str:
    name = heading or "1"
    first, second = units
    spans = " or ".join(
        f"{show(length * COUNTED[unit], 's')} if it counts {_WORDS[unit]}" for unit in units
    )
    return (
        f"Does the clock {name!r} count {_WORDS[first]} or {_WORDS[second]}? Its {rows} rows last "
        f"{spans}; a match lasts {show(expected.match_length, 's')}. "
        f"Say time={name}:{first} or time={name}:{second} under --columns."
    )
