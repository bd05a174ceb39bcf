"""What a robot's log says of its battery and wiring: time, charge, sag, brown-outs, and the line
through volts and amps.

Arrays of SI numbers come in, one value a row; floats come out. Rows may stand unevenly in time and
leave gaps.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from pitcrew.base.errors import OutOfRange

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

LEVELS = (12.0, 11.0, 10.0, 9.0, 8.0, 7.0)
"""V: below each of these the seconds are counted, besides the team's own brown-out voltage."""
RECOVERED = 0.5
"""V above the brown-out voltage that end an episode, so that a voltage trembling about the edge
counts once."""
GAP = 5
"""A step of more than so many usual steps is a gap: nothing was recorded there."""
NEAR = 25
"""steps by which a row may be in the wrong place; a clock that goes back further was reset"""
FEWEST_TICKS = 3
"""ticks of a coarse clock that show how many rows lie between two"""
SUSTAINED = 1.0
"""s over which the highest mean current is taken: the load that a battery must bear, not a spike of
one row."""
COURSE = 240
"""points of a plotted course"""


@dataclass(frozen=True)
class RunTime:
    """Seconds since the first row, the usual step, the gaps (how many, seconds in all), and where
    the clock was reset."""

    elapsed: Array
    step: float
    gaps: int
    gap_seconds: float
    restarts: Array


@dataclass(frozen=True)
class BrownOut:
    """One episode below the brown-out voltage: when it began, how long it lasted (s), its lowest
    voltage (V)."""

    at: float
    seconds: float
    lowest: float


def run_time(clock: Array) -> RunTime:
    """The time that passed, from a clock in s that may count up or down, be reset, stand or jump
    for one row.

    Where it was reset, one usual step is taken to have passed. Raises OutOfRange where it never
    moves.
    """
    import numpy as np

    clock = _between_ticks(clock)
    steps = np.diff(clock)
    moving = steps[steps != 0]
    if not moving.size:
        raise OutOfRange(
            "The clock of the log never moves. Name the column that holds its time.", "time"
        )
    if np.median(moving) < 0:
        steps = -steps
    usual = float(np.median(steps[steps > 0]))
    reset = steps < 0
    jumped = np.flatnonzero((steps[:-1] > 100 * usual) & reset[1:])
    steps[jumped] = usual
    steps[reset] = usual
    gaps = steps > GAP * usual
    elapsed = np.concatenate([[0.0], np.cumsum(steps)])
    return RunTime(
        elapsed,
        usual,
        int(gaps.sum()),
        float(steps[gaps].sum()),
        np.setdiff1d(np.flatnonzero(reset) + 1, jumped + 2),
    )


def rows_in_order(clock: Array) -> Array | None:
    """The rows by their clock, where a few are in the wrong place by less than NEAR steps; None
    where none does, or the clock was reset."""
    import numpy as np

    steps = np.diff(clock)
    moving = steps[steps != 0]
    if len(moving) <= len(steps) / 2:  # a clock that mostly stands does not tell rows apart
        return None
    sign = -1.0 if np.median(moving) < 0 else 1.0
    back = moving[sign * moving < 0]
    near = len(back) < 0.05 * len(moving) and float(np.abs(back).max(initial=0)) < NEAR * float(
        np.median(np.abs(moving))
    )
    return np.argsort(sign * clock, kind="stable") if len(back) and near else None


def _between_ticks(clock: Array) -> Array:
    """A clock that stands for many rows, as one of whole seconds does, with the rows between two of
    its ticks spread evenly."""
    import numpy as np

    ticks = np.flatnonzero(np.diff(clock)) + 1
    if len(ticks) < FEWEST_TICKS or len(ticks) > len(clock) / 2:
        return clock
    rows, tick = float(np.median(np.diff(ticks))), float(np.median(np.diff(clock[ticks])))
    spread = np.interp(np.arange(len(clock)), ticks, clock[ticks])
    spread[: ticks[0]] = clock[ticks[0]] - np.arange(ticks[0], 0, -1) * tick / rows
    spread[ticks[-1] :] = clock[ticks[-1]] + np.arange(len(clock) - ticks[-1]) * tick / rows
    return spread


def charge_drawn(elapsed: Array, current: Array) -> float:
    """Charge in A*h by the trapezoid rule over uneven steps; a gap is crossed on a straight
    line."""
    import numpy as np

    return float(np.trapezoid(current, elapsed)) / 3600


def sustained_current(elapsed: Array, current: Array, seconds: float = SUSTAINED) -> float:
    """The highest mean current in A over `seconds`; over the whole log where that is shorter."""
    import numpy as np

    drawn = np.concatenate([[0.0], np.cumsum(np.diff(elapsed) * (current[1:] + current[:-1]) / 2)])
    span = min(seconds, float(elapsed[-1]))
    if span <= 0:
        return float(current.max())
    begins = elapsed[elapsed <= elapsed[-1] - span + 1e-9]
    return float(
        (
            (np.interp(begins + span, elapsed, drawn) - np.interp(begins, elapsed, drawn)) / span
        ).max()
    )


def seconds_below(time: RunTime, voltage: Array, levels: tuple[float, ...]) -> dict[float, float]:
    """Seconds below each level: every row stands for half the step before it and half the one
    after; gaps count for nothing."""
    import numpy as np

    steps = np.diff(time.elapsed)
    steps[steps > GAP * time.step] = 0.0
    weight = np.zeros(len(voltage))
    weight[:-1] += steps / 2
    weight[1:] += steps / 2
    return {level: float(weight[voltage < level].sum()) for level in levels}


def brown_outs(
    elapsed: Array, voltage: Array, edge: float, recovered: float = RECOVERED
) -> list[BrownOut]:
    """Episodes that begin below `edge` (V) and end above `edge + recovered`."""
    import numpy as np

    below = np.flatnonzero(voltage < edge)
    back = np.flatnonzero(voltage > edge + recovered)
    found: list[BrownOut] = []
    at = 0
    while at < len(below):
        first = below[at]
        after = (
            back[np.searchsorted(back, first)] if len(back) and back[-1] > first else len(voltage)
        )
        lowest, last = float(voltage[first:after].min()), min(after, len(voltage) - 1)
        found.append(BrownOut(float(elapsed[first]), float(elapsed[last] - elapsed[first]), lowest))
        at = int(np.searchsorted(below, after))
    return found


def course(
    elapsed: Array, voltage: Array, current: Array | None, points: int = COURSE
) -> dict[str, list[float | None]]:
    """A log thinned for a plot: in equal spans of time the lowest voltage and the highest current;
    None where nothing was recorded."""
    import numpy as np

    edges = np.linspace(0, float(elapsed[-1]), points + 1)
    starts = np.searchsorted(elapsed, edges[:-1])
    ends = np.searchsorted(elapsed, edges[1:])
    ends[-1] = len(elapsed)
    spans = list(zip(starts, ends, strict=True))
    return {
        "time": [round(float(edge), 3) for edge in edges[:-1]],
        "voltage": [round(float(voltage[a:b].min()), 3) if b > a else None for a, b in spans],
        "current": (
            []
            if current is None
            else [round(float(current[a:b].max()), 2) if b > a else None for a, b in spans]
        ),
    }
