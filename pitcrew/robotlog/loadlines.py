"""The line through a log's cloud of volts and amps: resistance of battery and wiring together, with
its interval.

The model is V = V0 - S q - R I, with q the charge drawn so far, so that a battery that empties does
not pass for resistance. It is fitted by bisquare weights (outliers count for nothing) and an
instrument, the current of the rows next to a row: noise in the measured current would otherwise
flatten the line. The interval comes from blocks of time, since neighbouring errors are alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

MOST_POINTS = 20_000
"""A longer log is thinned by means of neighbouring rows, which lie on the same line."""
FEWEST_POINTS = 60
LEAST_SPREAD = 1.0
"""A: standard deviation of the current below which no line is drawn."""
METER_NOISE = 2.0
"""A: standard deviation of a robot's ammeter, at most (common practice). Where a row's current says
nothing of the next one's, no one can tell a swing of the load from this noise, which flattens the
line: the interval then reaches as high as the noise could have pressed the resistance."""
LEAST_SHARE = 0.5
"""Share of the current's variance that has to be more than such noise for a line to be drawn."""
LEAST_RESISTANCE = 1e-6
"""ohm: a line flatter than this, or rising, shows no resistance; it is a voltage that does not
move, or a column of another thing."""
LATEST, LATE = 0.2, 0.9
"""s by which volts and amps may be told at different times; they are moved where that leaves less
than this share unexplained."""
FEWEST_APART = 3
"""rows that they may always stand apart, however far the rows are"""
BLOCKS = 60
REACH = 2.002465
"""Standard errors to either side of a 95 % interval: Student's t with BLOCKS - 3 degrees of freedom
(here, since scipy loads slowly)."""
_HUBER, _BISQUARE = 1.345, 4.685  # usual tuning: 95 % efficiency on Gaussian errors
# the share of rows farthest from the usual current: a robot that mostly stands has no scatter in
# its other rows
_BUSY = 0.1
_USEFUL = (
    0.5  # correlation of a row's current with its neighbours' above which they serve as instrument
)


@dataclass(frozen=True)
class LoadLine:
    """Resistance in ohm with its interval, the voltage in V at no current as the log begins, and
    what it loses in V for each A*h drawn (`charge_slope`; negative where it rises)."""

    resistance: float
    low: float
    high: float
    open_circuit: float
    points: int
    charge_slope: float = 0.0


def load_line(elapsed: Array, voltage: Array, current: Array) -> LoadLine | None:
    """The line through volts and amps with a 95 % interval; None where the current hardly changed,
    too few rows are there, or the voltage does not fall as the current rises.

    An upper bound for the battery alone: leads, breaker and lugs are in it.
    """
    import numpy as np

    if len(voltage) < FEWEST_POINTS or float(np.std(current)) < LEAST_SPREAD:
        return None
    drawn = np.concatenate([[0.0], np.cumsum(np.diff(elapsed) * (current[1:] + current[:-1]) / 2)])
    rows = [_thinned(column) for column in (voltage, current, drawn)]
    step = float(np.median(np.diff(_thinned(elapsed))))
    by, between = _lateness(rows[0], rows[1], step)
    found = _line(*_moved(rows, by))
    if found is None or found.resistance < LEAST_RESISTANCE:
        return None
    return _between_rows(found, rows, by, between) if between else found


def _line(volts: Array, amps: Array, drawn: Array) -> LoadLine | None:
    """The line through aligned rows; None where their columns tell nothing apart."""
    import numpy as np

    scale = max(float(drawn[-1]), 1.0)
    design = np.column_stack([np.ones(len(volts)), drawn / scale, amps])
    instruments = design.copy()
    neighbours = _neighbours(amps)
    share = 1.0
    if np.corrcoef(neighbours, amps)[0, 1] > _USEFUL:
        instruments[:, 2] = neighbours
    else:
        share = 1 - (METER_NOISE / max(float(np.std(amps)), 1e-9)) ** 2
    if share < LEAST_SHARE or (found := _fit(design, instruments, volts)) is None:
        return None
    fit, errors = found
    resistance, reach = -float(fit[2]), REACH * float(errors[2])
    slope = -float(fit[1]) / scale * 3600
    low, high = resistance - reach, (resistance + reach) / share
    resistance *= (1 + 1 / share) / 2
    return LoadLine(resistance, low, high, float(fit[0]), len(volts), slope)


def _between_rows(found: LoadLine, rows: Sequence[Array], by: int, between: float) -> LoadLine:
    """The line with what a lateness of a part of a row may cost it. Amps from between two rows
    flatten the line; one row more tells how much."""
    farther = _line(*_moved(rows, by - (1 if between > 0 else -1)))
    if farther is None:
        return found
    cost = abs(farther.resistance - found.resistance) * abs(between)
    low, high = found.low - cost, found.high + 2 * cost
    return replace(found, resistance=found.resistance + cost / 2, low=low, high=high)


def _lateness(volts: Array, amps: Array, step: float) -> tuple[int, float]:
    """The rows by which the amps come later than the volts, and the part of a row beside them:
    meters report at their own times. 0 where moving explains no more."""
    import numpy as np

    most = round(LATEST / step) if step > 0 else 0
    most = min(max(most, FEWEST_APART) + 1, len(volts) // 10)
    inner = slice(most, len(volts) - most)
    moves = range(-most, most + 1)
    with np.errstate(invalid="ignore", divide="ignore"):  # a still voltage goes with no current
        found = [
            np.corrcoef(volts[inner], amps[most + by : len(amps) - most + by])[0, 1] for by in moves
        ]
    left = 1 - np.nan_to_num(found) ** 2
    at = int(np.argmin(left))
    if left[at] > LATE * left[most]:
        at = most
    if not 0 < at < len(left) - 1:
        return 0, 0.0
    before, here, after = left[at - 1 : at + 2]
    rise = max(before, after) - here
    return at - most, float((before - after) / (2 * rise)) if rise > 1e-12 else 0.0


def _moved(rows: Sequence[Array], by: int) -> tuple[Array, Array, Array]:
    """Volts, amps and charge drawn with the amps moved by some rows."""
    volts, amps, drawn = rows
    if by == 0:
        return volts, amps, drawn
    most = abs(by)
    inner = slice(most, len(volts) - most)
    return volts[inner], amps[most + by : len(amps) - most + by], drawn[inner]


def _thinned(column: Array) -> Array:
    """Means of as many neighbouring rows as bring a column below MOST_POINTS."""
    width = -(-len(column) // MOST_POINTS)
    whole = len(column) // width * width
    return column[:whole].reshape(-1, width).mean(axis=1)


def _neighbours(column: Array) -> Array:
    """The mean of the values before and after each one; at the ends the only neighbour."""
    import numpy as np

    padded = np.concatenate([column[1:2], column, column[-2:-1]])
    return (padded[:-2] + padded[2:]) / 2


def _fit(design: Array, instruments: Array, target: Array) -> tuple[Array, Array] | None:
    """Coefficients and their standard errors; None where the columns tell nothing apart."""
    import numpy as np

    amps = np.abs(design[:, 2] - np.median(design[:, 2]))
    busy = amps >= np.quantile(amps, 1 - _BUSY)
    weight = np.ones(len(target))
    fit = np.zeros(design.shape[1])
    for turn in range(30):
        weighted = instruments * weight[:, None]
        try:
            new = np.linalg.solve(weighted.T @ design, weighted.T @ target)
        except np.linalg.LinAlgError:
            return None
        settled = turn > 6 and np.allclose(new, fit, rtol=1e-10, atol=1e-12)
        fit, residual = new, target - design @ new
        spread = max(_deviation(residual), _deviation(residual[busy]), 1e-9)
        if settled:
            break
        weight = _huber(residual / spread) if turn < 5 else _bisquare(residual / spread)
    return fit, _errors(design, instruments, residual, spread)


def _deviation(values: Array) -> float:
    """The standard deviation by the median of distances, which outliers do not move."""
    import numpy as np

    return 1.4826 * float(np.median(np.abs(values - np.median(values))))


def _errors(design: Array, instruments: Array, residual: Array, spread: float) -> Array:
    """Standard errors of an M-estimate (a sandwich), from sums over blocks of time or from single
    rows, whichever are larger."""
    import numpy as np

    share = residual / (_BISQUARE * spread)
    inside = np.abs(share) < 1
    slope = np.where(inside, (1 - share**2) * (1 - 5 * share**2), 0.0)
    bread = np.linalg.inv((instruments * slope[:, None]).T @ design)
    scores = instruments * (_bisquare(residual / spread) * residual)[:, None]
    edges = np.linspace(0, len(residual), BLOCKS + 1).astype(int)[:-1]
    sums = np.add.reduceat(scores, edges, axis=0)
    single, blocks = (bread @ (part.T @ part) @ bread.T for part in (scores, sums))
    return np.sqrt(np.maximum(np.diag(single), np.diag(blocks) * BLOCKS / (BLOCKS - 1)))


def _huber(standard: Array) -> Array:
    import numpy as np

    return np.minimum(1.0, _HUBER / np.maximum(np.abs(standard), 1e-12))


def _bisquare(standard: Array) -> Array:
    import numpy as np

    return np.clip(1 - (standard / _BISQUARE) ** 2, 0, None) ** 2
