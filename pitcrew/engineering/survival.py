"""How long repairs last: survival with things that had not failed yet, and whether two kinds of
repair differ."""

import math
from collections.abc import Sequence

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import number, numbers


@figure(
    "survival",
    "1",
    value_is="share that survives past the last failure (product-limit estimate)",
    source=(
        "Kaplan and Meier 1958 as in the NIST/SEMATECH e-Handbook 8.2.1.5; interval by Greenwood's"
        " variance, log-log scale"
    ),
    range=(
        "times from 0; removal must have nothing to do with failing; where both fall on one time"
        " the failure comes first"
    ),
    extra_units=dict.fromkeys(
        ("at", "series", "low", "high", "at_risk", "failed", "removed", "median", "confidence"), "1"
    ),
    times=numbers("times at which things failed (matches, climbs, hours)"),
    removed=numbers(
        "times at which things were taken out or last seen good, each as often as it happened",
        default=(),
    ),
    confidence=number(
        "confidence of the interval at each time", least=0.01, most=0.9999, default=0.95
    ),
)
def survival(
    times: Sequence[float], removed: Sequence[float] = (), confidence: float = 0.95
) -> Outcome:
    """Survival after each distinct failure time.

    `at`, `series`, `low`, `high` and `at_risk` are lists; `median` is None where half do not fail.

    Example: Five belts: three broke, after 3, 5 and 8 matches; two were still good after 10. The
    share that lasts: 4 / 5 × 3 / 4 × 2 / 3 = 0.4.

        pitcrew figure survival times=3,5,8 removed=10,10
        survival: 0.4
    """
    from scipy.special import ndtri

    _check_times("survival", times, removed)
    at, at_risk, deaths = _counts(times, removed)
    z = float(ndtri((1 + confidence) / 2))
    share, variance, series, low, high = 1.0, 0.0, [], [], []
    for risk, dead in zip(at_risk, deaths, strict=True):
        share *= 1 - dead / risk
        variance += dead / (risk * (risk - dead)) if dead < risk else 0.0
        bottom, top = _log_log(share, variance, z)
        series.append(share)
        low.append(bottom)
        high.append(top)
    median = next((time for time, left in zip(at, series, strict=True) if left <= 0.5), None)
    extras = {
        "at": at,
        "series": series,
        "low": low,
        "high": high,
        "at_risk": at_risk,
        "failed": len(times),
        "removed": len(removed),
        "median": median,
        "confidence": confidence,
    }
    return Outcome(share, _say(at, share, len(times), len(removed)), extras)


def _say(at: Sequence[float], share: float, failed: int, removed: int) -> str:
    if not at:
        return (
            f"None of {removed} failed in the time that they were watched; nothing can be said"
            " beyond it."
        )
    return (
        f"{share * 100:.3g} % last past {at[-1]:g}: {failed} failed, {removed} were removed or are"
        " still good."
    )


def _counts(
    times: Sequence[float], removed: Sequence[float]
) -> tuple[list[float], list[int], list[int]]:
    """Distinct failure times, how many were at risk just before each, how many failed there."""
    import numpy as np

    at, deaths = np.unique(np.asarray(times, dtype=float), return_counts=True)
    everything = np.sort(
        np.concatenate([np.asarray(times, dtype=float), np.asarray(removed, dtype=float)])
    )
    at_risk = len(everything) - np.searchsorted(everything, at, side="left")
    return at.tolist(), at_risk.tolist(), deaths.tolist()


def _log_log(share: float, variance: float, z: float) -> tuple[float, float | None]:
    """Bounds of one survival share; where nothing survives the formula has no upper bound."""
    if share <= 0:
        return 0.0, None
    width = math.exp(z * math.sqrt(variance) / -math.log(share))
    return share**width, share ** (1 / width)


@figure(
    "survival-compare",
    "1",
    value_is=(
        "chance of so large a difference between two kinds of repair that last alike (two-sided"
        " log-rank p)"
    ),
    source="log-rank test, Mantel 1966 (normal form)",
    range=(
        "at least one failure in all and one thing in each group; a few failures prove nothing"
        " either way"
    ),
    extra_units=dict.fromkeys(("z", "failed1", "failed2"), "1"),
    times1=numbers("times at which the first kind failed"),
    times2=numbers("times at which the second kind failed"),
    removed1=numbers("times at which the first kind was removed or last seen good", default=()),
    removed2=numbers("times at which the second kind was removed or last seen good", default=()),
)
def survival_compare(
    times1: Sequence[float],
    times2: Sequence[float],
    removed1: Sequence[float] = (),
    removed2: Sequence[float] = (),
) -> Outcome:
    """Log-rank p of two groups with censoring; `z` is positive when the first kind fails more
    often.

    Example: Nuts that were only tightened came loose after 3, 5 and 8 matches; with a toothed
    washer after 12 and 15, one still holds at 20. Luck alone does that in 2 of 100 cases.

        pitcrew figure survival-compare times1=3,5,8 times2=12,15 removed2=20
        survival-compare: 0.0246
    """
    import numpy as np
    from scipy.stats import CensoredData, logrank

    _check_times("survival-compare", times1, removed1)
    _check_times("survival-compare", times2, removed2)
    if not len(times1) + len(times2):
        raise OutOfRange(
            "survival-compare: nothing failed in either group. Wait for failures; then compare.",
            "times1",
        )
    if _one_left(times1, removed1, times2, removed2):
        raise OutOfRange(
            "survival-compare: nothing failed while both groups were watched, so nothing compares"
            " them.",
            "times1",
        )
    with np.errstate(divide="ignore", invalid="ignore"):
        result = logrank(
            CensoredData(list(times1), right=list(removed1)),
            CensoredData(list(times2), right=list(removed2)),
        )
    p, z = float(result.pvalue), float(result.statistic)
    if not math.isfinite(p):
        raise OutOfRange(
            "survival-compare: all that was watched failed at one time, so nothing compares them.",
            "times1",
        )
    words = "The two differ" if p < 0.05 else "No difference can be told"
    because = (
        f"{words}: log-rank p = {p:.3g} from {len(times1)} and {len(times2)} failures (normal form,"
        " rough for few)."
    )
    return Outcome(p, because, {"z": z, "failed1": len(times1), "failed2": len(times2)})


def _one_left(
    times1: Sequence[float],
    removed1: Sequence[float],
    times2: Sequence[float],
    removed2: Sequence[float],
) -> bool:
    """Whether no failure happens while both groups have something at risk."""
    both = min(max([*times1, *removed1]), max([*times2, *removed2]))
    return min([*times1, *times2]) > both


def _check_times(figure_name: str, times: Sequence[float], removed: Sequence[float]) -> None:
    if not len(times) + len(removed):
        raise OutOfRange(
            f"{figure_name}: no times arrived; give at least one failure or removal.", "times"
        )
    least = min([*times, *removed])
    if least < 0:
        raise OutOfRange(
            f"{figure_name}: the time {least:g} is below 0. Times count from the repair.", "times"
        )
