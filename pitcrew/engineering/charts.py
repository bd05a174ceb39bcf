"""Control charts for wear readings: is the process still the one it was, or has it drifted?"""

import math
from collections.abc import Sequence
from itertools import pairwise

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure, number, numbers

_MEAN_RANGE = 1.128  # d2 of the tables: mean range of two values over their standard deviation
_RANGE_LIMIT = 3.267  # D4 of the tables: limit of the range over its mean


@figure(
    "ewma", "1",
    value_is="the weighted mean after the last value",
    source="exponentially weighted moving average chart, NIST/SEMATECH e-Handbook 6.3.2.4: centre +- 3 sd sqrt(w / (2 - w))",
    range="weights above 0 up to 1 (0.2 to 0.3 is usual), limits as they are after many values; sd known from before",
    extra_units=dict.fromkeys(("series", "low", "high", "signals", "factor"), "1"),
    values=numbers("the values in order of time"),
    centre=number("the target or the mean of good history, where the average starts"),
    sd=number("standard deviation of single values in good history", above=0),
    weight=number("weight of the newest value", above=0, most=1, default=0.3),
    width=number("limits at so many standard deviations of the average", above=0, most=10, default=3.0),
)
def ewma(values: Sequence[float], centre: float, sd: float, weight: float = 0.3, width: float = 3.0) -> Outcome:
    """E = w x + (1 - w) E_before, from `centre`.

    `series` has one number for each value; `signals` are the places (from 1) outside `low` and `high`.
    """
    if not len(values):
        raise OutOfRange("ewma: no values arrived; give at least one.", "values")
    factor = math.sqrt(weight / (2 - weight))
    low, high = centre - width * sd * factor, centre + width * sd * factor
    series, average = [], centre
    for value in values:
        average = weight * value + (1 - weight) * average
        series.append(average)
    signals = [place for place, point in enumerate(series, start=1) if not low <= point <= high]
    because = f"{_signal_words(signals, len(series))}; average {average:.4g}, limits {low:.4g} to {high:.4g}."
    return Outcome(average, because, {"series": series, "low": low, "high": high, "signals": signals, "factor": factor})


@figure(
    "individuals", "1",
    value_is="mean of the values",
    source="individuals and moving range chart, NIST/SEMATECH e-Handbook 6.3.2.2: mean +- 3 (mean moving range) / 1.128",
    range="at least 2 values in order of time, all of one process",
    extra_units=dict.fromkeys(("low", "high", "moving_range", "range_high", "signals"), "1"),
    values=numbers("the values in order of time"),
)
def individuals(values: Sequence[float]) -> Outcome:
    """Limits for single values.

    `moving_range` is the mean of the steps, `range_high` their limit, `signals` the places (from 1) outside the limits.
    """
    if len(values) < 2:
        raise OutOfRange(f"individuals: {len(values)} values arrived; at least 2 are needed to see how they scatter.", "values")
    mean = math.fsum(values) / len(values)
    moving_range = math.fsum(abs(later - earlier) for earlier, later in pairwise(values)) / (len(values) - 1)
    reach = 3 * moving_range / _MEAN_RANGE
    low, high = mean - reach, mean + reach
    signals = [place for place, value in enumerate(values, start=1) if not low <= value <= high]
    because = f"{_signal_words(signals, len(values))}; mean {mean:.4g}, limits {low:.4g} to {high:.4g}."
    extras = {
        "low": low, "high": high, "moving_range": moving_range, "range_high": _RANGE_LIMIT * moving_range, "signals": signals,
    }
    return Outcome(mean, because, extras)


def _signal_words(signals: Sequence[int], count: int) -> str:
    if not signals:
        return f"None of {count} points lies outside the limits"
    return f"{len(signals)} of {count} points lie outside the limits, the first at place {signals[0]}"
