"""A straight line through wear readings, by least squares or robustly, and where it meets a
limit."""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from statistics import median
from typing import Any

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import number, numbers

MOST_ROBUST = 2000  # points: every pair of them is a slope


@figure(
    "line",
    "1",
    value_is="slope by least squares; low and high are its interval",
    source=(
        "ordinary least squares; t intervals (checked on the NIST reference data); where a limit is"
        " met by Fieller 1954"
    ),
    range=(
        "at least 3 points, not all at one x; scatter alike everywhere; an outlier bends it (see"
        " robust-line)"
    ),
    extra_units=dict.fromkeys(
        (
            "slope",
            "intercept",
            "slope_error",
            "intercept_error",
            "low",
            "high",
            "intercept_low",
            "intercept_high",
            "r2",
            "residual_sd",
            "f",
            "p",
            "points",
            "confidence",
            "reach",
            "reach_early",
            "reach_late",
        ),
        "1",
    ),
    x=numbers("where: matches, cycles, hours"),
    y=numbers("what was read there, in one unit"),
    confidence=number("confidence of the intervals", least=0.01, most=0.9999, default=0.95),
    limit=number("a value of y whose crossing is wanted", default=None),
)
def line(
    x: Sequence[float], y: Sequence[float], confidence: float = 0.95, limit: float | None = None
) -> Outcome:
    """Least-squares line with standard errors; `p` is two-sided for no slope; `f` is None for
    points exactly on a line, `r2` too where they are level: then nothing scatters, and nothing
    speaks for a slope.

    With `limit`, `reach` is the x where the line meets it, after the middle of the points, and
    `reach_early` to `reach_late` the band in which the true line meets it, with the error of slope
    and level. None where it is never met.

    Example: A chain's slack over five matches: 9.5, 9.9, 10.4, 10.8, 11.3 mm. It grows by (11.3 -
    9.5) / (5 - 1) = 0.45 mm a match.

        pitcrew figure line x=1,2,3,4,5 y=9.5,9.9,10.4,10.8,11.3
        line: 0.45
    """
    from scipy.special import stdtrit
    from scipy.stats import linregress

    _check_points("line", x, y, least=3)
    fit = linregress(x, y)
    slope, intercept = float(fit.slope), float(fit.intercept)
    reach = float(stdtrit(len(x) - 2, (1 + confidence) / 2))
    level = len(set(y)) == 1  # scipy divides by the scatter, which is none
    slope_error, intercept_error = (
        (0.0, 0.0) if level else (float(fit.stderr), float(fit.intercept_stderr))
    )
    squares = math.fsum((high - slope * at - intercept) ** 2 for at, high in zip(x, y, strict=True))
    residual_sd = math.sqrt(squares / (len(x) - 2))
    extras = {
        "slope": slope,
        "intercept": intercept,
        "slope_error": slope_error,
        "intercept_error": intercept_error,
        "low": slope - reach * slope_error,
        "high": slope + reach * slope_error,
        "intercept_low": intercept - reach * intercept_error,
        "intercept_high": intercept + reach * intercept_error,
        "r2": None if level else float(fit.rvalue) ** 2,
        "residual_sd": residual_sd,
        "f": (slope / slope_error) ** 2 if slope_error > 0 else None,
        "p": 1.0 if level else float(fit.pvalue),
        "points": len(x),
        "confidence": confidence,
    }
    if limit is not None:
        extras |= met_band(x, y, limit, slope, reach * residual_sd)
    return Outcome(slope, _say(extras, "least squares") + _forecast(extras, limit), extras)


def met_band(
    x: Sequence[float], y: Sequence[float], limit: float, slope: float, spread: float
) -> dict[str, float | None]:
    """Where a least-squares line meets the limit, and between which places the true line does.

    `spread` is t times the standard deviation about the line. A place u from the middle belongs to
    the band where (rise - slope u)^2 <= spread^2 (1/n + u^2/sxx): Fieller's interval, which counts
    the error of the level and of the slope. `reach_late` is None where the slope may as well be
    none, `reach_early` too where the limit is within the error of the level.
    """
    n, middle = len(x), math.fsum(x) / len(x)
    rise, sxx = limit - math.fsum(y) / n, math.fsum((at - middle) ** 2 for at in x)
    reach = middle + rise / slope if rise * slope > 0 or (rise == 0 and slope) else None
    a, c = slope**2 - spread**2 / sxx, rise**2 - spread**2 / n
    inside = (slope * rise) ** 2 - a * c
    if a > 0:  # the slope is told apart from none
        root = math.sqrt(max(inside, 0.0))
        early, late = sorted(middle + (slope * rise + sign * root) / a for sign in (-1, 1))
        away = reach is None and late < middle
        return {
            "reach": reach,
            "reach_early": None if away else early,
            "reach_late": None if away else late,
        }
    if c <= 0 or inside <= 0:
        return {"reach": reach, "reach_early": None, "reach_late": None}
    if a == 0:
        ahead = middle + c / (2 * slope * rise) if slope * rise > 0 else None
        return {"reach": reach, "reach_early": ahead, "reach_late": None}
    ahead = max((slope * rise + sign * math.sqrt(inside)) / a for sign in (-1, 1))
    return {"reach": reach, "reach_early": middle + ahead, "reach_late": None}


def odd_reading(x: Sequence[float], y: Sequence[float], chance: float = 0.01) -> int | None:
    """The place of the reading that lies so far off the line through all the others that scatter
    alone does so in one of 1/`chance` lines; None where there is none, or fewer than 6 points.

    Each reading's distance from the line through the others, over its standard error, is t with
    n - 3 degrees of freedom; the largest of n is held against `chance` / n (Bonferroni). The last
    reading is never odd: what changed just now looks the same.
    """
    import numpy as np
    from scipy.special import stdtrit

    n = len(x)
    if n < 6 or min(x) == max(x):
        return None
    at, read = np.asarray(x, float), np.asarray(y, float)
    u = at - at.mean()
    sxx = float(u @ u)
    residuals = read - read.mean() - u * float(u @ read) / sxx
    free = 1 - 1 / n - u**2 / sxx
    squares = float(residuals @ residuals)
    if squares <= (1e-9 * float(np.abs(read).max())) ** 2 * n:
        return None
    others = np.maximum(squares - residuals**2 / np.maximum(free, 1e-12), 1e-12 * squares)
    distance = np.abs(residuals) / np.sqrt(np.maximum(free, 1e-12) * others / (n - 3))
    distance[free < 1e-9] = 0.0
    place = int(distance[:-1].argmax())
    return place if distance[place] > stdtrit(n - 3, 1 - chance / (2 * n)) else None


@figure(
    "robust-line",
    "1",
    value_is="median of the slopes of all pairs (Theil-Sen); low and high are its interval",
    source=(
        "Theil 1950 and Sen 1968, interval from Kendall's rank correlation; a limit is met by the"
        " slopes through the medians"
    ),
    range=(
        "2 to 2000 points, not all at one x; up to 29 % of outliers do no harm; from 2 to 4 points"
        " the interval spans all pairs and covers less than it says"
    ),
    extra_units=dict.fromkeys(
        (
            "slope",
            "intercept",
            "low",
            "high",
            "points",
            "confidence",
            "reach",
            "reach_early",
            "reach_late",
        ),
        "1",
    ),
    x=numbers("where: matches, cycles, hours"),
    y=numbers("what was read there, in one unit"),
    confidence=number("confidence of the slope's interval", least=0.01, most=0.9999, default=0.95),
    limit=number("a value of y whose crossing is wanted", default=None),
)
def robust_line(
    x: Sequence[float], y: Sequence[float], confidence: float = 0.95, limit: float | None = None
) -> Outcome:
    """Theil-Sen line. With `limit`, `reach` is the x where it is met, `reach_early` and
    `reach_late` by the slope's interval.

    A crossing that a slope never meets, going forward from the middle of the points, is None.

    Example: The same chain, but the last reading slipped to 15.0 mm. Of the ten slopes between two
    points the middle ones are 0.45 and 0.5: (0.45 + 0.5) / 2 = 0.475, hardly moved.

        pitcrew figure robust-line x=1,2,3,4,5 y=9.5,9.9,10.4,10.8,15.0
        robust-line: 0.475
    """
    _check_points("robust-line", x, y, least=2)
    if len(x) > MOST_ROBUST:
        raise OutOfRange(
            f"robust-line: {len(x)} points arrived; at most {MOST_ROBUST} are taken, as it weighs"
            " every pair.",
            "x",
        )
    slope, low, high = _median_slope(x, y, confidence)
    extras: dict[str, float | None] = {
        "slope": slope,
        "intercept": median(y) - slope * median(x),
        "low": low,
        "high": high,
        "points": len(x),
        "confidence": confidence,
    }
    if limit is not None:
        extras |= crossings(x, y, limit, (slope, low, high))
    return Outcome(slope, _say(extras, "Theil-Sen") + _forecast(extras, limit), extras)


def _median_slope(
    x: Sequence[float], y: Sequence[float], confidence: float
) -> tuple[float, float, float]:
    """The median of the slopes of all pairs and, by Sen's rule, the two between which it lies with
    that confidence.

    Written here because scipy's theilslopes fails where both x and y have ties, as equal readings
    of wear have.
    """
    import numpy as np
    from scipy.special import ndtri

    first, second = np.triu_indices(len(x), 1)
    dx, dy = np.subtract.outer(x, x)[first, second], np.subtract.outer(y, y)[first, second]
    slopes = np.sort(dy[dx != 0] / dx[dx != 0]) + 0.0  # a level pair of falling x is no -0
    count = len(slopes)
    reach = float(ndtri((1 + confidence) / 2)) * math.sqrt(_kendall_variance(x, y))
    low = slopes[max(round((count - reach) / 2) - 1, 0)]
    high = slopes[min(round((count + reach) / 2), count - 1)]
    return float(np.median(slopes)), float(low), float(high)


def _kendall_variance(x: Sequence[float], y: Sequence[float]) -> float:
    """Variance of Kendall's score where nothing depends on anything, with the full correction for
    ties (Kendall 1970)."""
    n, ties = (
        len(x),
        [[count for count in Counter(values).values() if count > 1] for values in (x, y)],
    )
    fives = [sum(t * (t - 1) * (2 * t + 5) for t in groups) for groups in ties]
    pairs = [sum(t * (t - 1) for t in groups) for groups in ties]
    triples = [sum(t * (t - 1) * (t - 2) for t in groups) for groups in ties]
    variance = (n * (n - 1) * (2 * n + 5) - sum(fives)) / 18 + pairs[0] * pairs[1] / (
        2 * n * (n - 1)
    )
    return variance + (triples[0] * triples[1] / (9 * n * (n - 1) * (n - 2)) if n > 2 else 0.0)


def crossings(
    x: Sequence[float],
    y: Sequence[float],
    limit: float,
    slopes: tuple[float, float, float],
) -> dict[str, float | None]:
    """Where lines through the medians meet the limit, at or after the middle of the points: `reach`
    by the first slope, `reach_early` and `reach_late` by the other two. None where it is never
    met."""
    middle, rise = median(x), limit - median(y)
    reach, *bounds = (
        middle + rise / slope if rise * slope > 0 or (rise == 0 and slope) else None
        for slope in slopes
    )
    met = [bound for bound in bounds if bound is not None]
    return {
        "reach": reach,
        "reach_early": min(met, default=None),
        "reach_late": max(met) if len(met) == 2 else None,
    }


def _forecast(extras: Mapping[str, Any], limit: float | None) -> str:
    if limit is None:
        return ""
    if extras["reach"] is None:
        return f" It does not approach {limit:g}."
    early, late = extras["reach_early"], extras["reach_late"]
    if early is None:
        return (
            f" It meets {limit:g} at {extras['reach']:.4g}; the points cannot say between which"
            " places."
        )
    band = f"{early:.4g} or later, perhaps never" if late is None else f"{early:.4g} to {late:.4g}"
    return f" It meets {limit:g} at {extras['reach']:.4g} ({band})."


def _say(extras: Mapping[str, Any], method: str) -> str:
    return (
        f"slope {extras['slope']:.4g} ({extras['low']:.4g} to {extras['high']:.4g},"
        f" {extras['confidence']:.4g}) and intercept {extras['intercept']:.4g} from"
        f" {extras['points']} points by {method}."
    )


def _check_points(name: str, x: Sequence[float], y: Sequence[float], *, least: int) -> None:
    if len(x) != len(y) or len(x) < least:
        raise OutOfRange(
            f"{name}: {len(x)} x and {len(y)} y arrived; wanted as many of each, at least {least}.",
            "y",
        )
    if min(x) == max(x):
        raise OutOfRange(
            f"{name}: all points lie at x = {x[0]:g}; a slope needs two places. Read again later.",
            "x",
        )
