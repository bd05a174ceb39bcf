"""Control charts for wear readings: is the process still the one it was, or has it drifted?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import number, numbers

_MEAN_RANGE = 1.128  # d2 of the tables: mean range of two values over their standard deviation
_RANGE_LIMIT = 3.267  # D4 of the tables: limit of the range over its mean
SINGLE, DRIFT, WEIGHT = 3.9, 3.7, 0.3
"""Widths of the self-starting chart's two rules and its weight. Counted in a simulation of lines
that do not change: both rules together call out fewer than 2 of 100 lines of 60 readings."""
LEARN = 4
"""So many readings come before the first one that the self-starting chart judges."""


@figure(
    "ewma",
    "1",
    value_is="the weighted mean after the last value",
    source=(
        "exponentially weighted moving average chart, NIST/SEMATECH e-Handbook 6.3.2.4: centre +- 3"
        " sd sqrt(w / (2 - w))"
    ),
    range=(
        "weights above 0 up to 1 (0.2 to 0.3 is usual), limits as they are after many values; sd"
        " known from before"
    ),
    extra_units=dict.fromkeys(("series", "low", "high", "signals", "factor"), "1"),
    values=numbers("the values in order of time"),
    centre=number("the target or the mean of good history, where the average starts"),
    sd=number("standard deviation of single values in good history", above=0),
    weight=number("weight of the newest value", above=0, most=1, default=0.3),
    width=number(
        "limits at so many standard deviations of the average", above=0, most=10, default=3.0
    ),
)
def ewma(
    values: Sequence[float], centre: float, sd: float, weight: float = 0.3, width: float = 3.0
) -> Outcome:
    """E = w x + (1 - w) E_before, from `centre`.

    `series` has one number for each value; `signals` are the places (from 1) outside `low` and
    `high`.

    Example: Each new value counts 0.3, the average before it 0.7. From 10: 0.3 × 10.1 + 0.7 × 10 =
    10.03, then 0.3 × 10.2 + 0.7 × 10.03 = 10.081, then 0.3 × 10.6 + 0.7 × 10.081 = 10.237.

        pitcrew figure ewma values=10.1,10.2,10.6 centre=10 sd=0.2
        ewma: 10.24
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
    because = (
        f"{_signal_words(signals, len(series))}; average {average:.4g}, limits {low:.4g} to"
        f" {high:.4g}."
    )
    return Outcome(
        average,
        because,
        {"series": series, "low": low, "high": high, "signals": signals, "factor": factor},
    )


@figure(
    "individuals",
    "1",
    value_is="mean of the values",
    source=(
        "individuals and moving range chart, NIST/SEMATECH e-Handbook 6.3.2.2: mean +- 3 (mean"
        " moving range) / 1.128"
    ),
    range="at least 2 values in order of time, all of one process",
    extra_units=dict.fromkeys(("low", "high", "moving_range", "range_high", "signals"), "1"),
    values=numbers("the values in order of time"),
)
def individuals(values: Sequence[float]) -> Outcome:
    """Limits for single values.

    `moving_range` is the mean of the steps, `range_high` their limit, `signals` the places (from 1)
    outside the limits.

    Example: Four readings in a row: (9.8 + 10.1 + 10.0 + 10.1) / 4 = 10. They differ by 0.3, 0.1
    and 0.1 from one to the next, and that sets the limits.

        pitcrew figure individuals values=9.8,10.1,10.0,10.1
        individuals: 10
    """
    if len(values) < 2:
        raise OutOfRange(
            f"individuals: {len(values)} values arrived; at least 2 are needed to see how they"
            " scatter.",
            "values",
        )
    mean = math.fsum(values) / len(values)
    moving_range = math.fsum(abs(later - earlier) for earlier, later in pairwise(values)) / (
        len(values) - 1
    )
    reach = 3 * moving_range / _MEAN_RANGE
    low, high = mean - reach, mean + reach
    signals = [place for place, value in enumerate(values, start=1) if not low <= value <= high]
    because = (
        f"{_signal_words(signals, len(values))}; mean {mean:.4g}, limits {low:.4g} to {high:.4g}."
    )
    extras = {
        "low": low,
        "high": high,
        "moving_range": moving_range,
        "range_high": _RANGE_LIMIT * moving_range,
        "signals": signals,
    }
    return Outcome(mean, because, extras)


def _signal_words(signals: Sequence[int], count: int) -> str:
    if not signals:
        return f"None of {count} points lies outside the limits"
    return (
        f"{len(signals)} of {count} points lie outside the limits, the first at place {signals[0]}"
    )


@dataclass(frozen=True)
class Alarm:
    """The first rule of a self-starting chart that fired: `single` or `drift`, at which place (from
    0), and between which values the next single reading was expected there."""

    rule: str
    place: int
    low: float
    high: float


def self_starting(values: Sequence[float], least_sd: float = 0.0) -> Alarm | None:
    """The first value that does not go with those before it, or a drift of the mean; None without.

    Each value is held against the mean and standard deviation of all before it, so few values and
    an estimated spread are allowed for: its distance follows a t distribution, is turned into a
    standard normal score, and all scores are independent (Quesenberry 1991, Q chart; from memory).
    `single`: a score beyond SINGLE. `drift`: the scores' exponentially weighted mean beyond DRIFT
    of its own standard deviations (NIST/SEMATECH e-Handbook 6.3.2.4). `least_sd`: no spread below
    it is believed, as equal readings of a coarse tool show none.
    """
    import numpy as np
    from scipy.special import ndtr, ndtri, stdtr, stdtrit

    if len(values) <= LEARN:
        return None
    read = np.asarray(values, float) - values[0]
    places = np.arange(LEARN, len(read))
    sums, squares = np.cumsum(read)[places - 1], np.cumsum(read**2)[places - 1]
    mean = sums / places
    spread = np.sqrt(np.maximum(squares - sums * mean, 0) / (places - 1))
    spread = np.maximum(spread, max(least_sd, 1e-9 * float(np.abs(read).max()))) * np.sqrt(
        1 + 1 / places
    )
    if not spread.all():
        return None
    distance = (read[places] - mean) / spread
    # the upper tail would round to 1, the lower one does not
    tail = np.maximum(stdtr(places - 1, -np.abs(distance)), 1e-300)
    score = -np.copysign(ndtri(tail), distance)
    average, edge = 0.0, DRIFT * math.sqrt(WEIGHT / (2 - WEIGHT))
    for index, place in enumerate(places.tolist()):
        average = WEIGHT * float(score[index]) + (1 - WEIGHT) * average
        rule = "single" if abs(score[index]) > SINGLE else "drift" if abs(average) > edge else ""
        if rule:
            reach = -float(stdtrit(place - 1, ndtr(-SINGLE)) * spread[index])
            centre = values[0] + float(mean[index])
            return Alarm(rule, place, centre - reach, centre + reach)
    return None
