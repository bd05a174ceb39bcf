"""How sure a rate or a share is that was counted from few events: exact Poisson and binomial
intervals.

Each carries the two-sided interval and the one-sided upper bound, which is the one to say when
nothing has failed yet.
"""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import choice, count, number

_CONFIDENCE = {"least": 0.01, "most": 0.999999}


@figure(
    "rate-interval",
    "1",
    value_is="events per unit of exposure",
    source=(
        "exact Poisson (Garwood 1936): chi2(a/2; 2k)/2 and chi2(1 - a/2; 2k + 2)/2; one-sided with"
        " all of a in one tail"
    ),
    range="events counted at a constant rate, whole numbers from 0; exposure above 0",
    extra_units={
        "low": "1",
        "high": "1",
        "upper_one_sided": "1",
        "lower_one_sided": "1",
        "confidence": "1",
    },
    events=count("how many happened", least=0, most=1_000_000_000),
    exposure=number("matches, climbs, hours or cycles in which they could happen", above=0),
    confidence=number("confidence of each interval", default=0.95, **_CONFIDENCE),
)
def rate_interval(events: int, exposure: float, confidence: float = 0.95) -> Outcome:
    """Rate per unit of exposure with its exact two-sided interval `low`, `high` and the one-sided
    bounds.

    Example: 3 faults in 12 matches: 3 / 12 = 0.25 a match. With so few it may be anything from 0.05
    to 0.73.

        pitcrew figure rate-interval events=3 exposure=12
        rate-interval: 0.25
    """
    tail = (1 - confidence) / 2
    low, high = poisson_lower(events, tail) / exposure, poisson_upper(events, tail) / exposure
    upper, lower = (
        poisson_upper(events, 2 * tail) / exposure,
        poisson_lower(events, 2 * tail) / exposure,
    )
    if events == 0:
        because = (
            f"0 in {exposure:g} still allows up to {upper:.3g} for each unit of exposure (one-sided"
            f" {confidence:.4g}, exact Poisson: a rate, which may count several in one match)."
        )
    else:
        because = (
            f"{events} in {exposure:g} is {events / exposure:.3g} for each unit of exposure;"
            f" {low:.3g} to {high:.3g} ({confidence:.4g}, two-sided, exact Poisson)."
        )
    extras = {
        "low": low,
        "high": high,
        "upper_one_sided": upper,
        "lower_one_sided": lower,
        "confidence": confidence,
    }
    return Outcome(events / exposure, because, extras)


@figure(
    "share-interval",
    "1",
    value_is="share of the tries that hit (0 to 1)",
    source=(
        "Clopper and Pearson 1934 (exact, beta quantiles); Wilson 1927 as in the NIST handbook,"
        " section 7.2.4.1"
    ),
    range="hits at most tries, tries at least 1; independent tries with one chance",
    extra_units={
        "low": "1",
        "high": "1",
        "upper_one_sided": "1",
        "lower_one_sided": "1",
        "confidence": "1",
    },
    hits=count("how many of them", least=0, most=1_000_000_000),
    tries=count("out of how many", least=1, most=1_000_000_000),
    confidence=number("confidence of each interval", default=0.95, **_CONFIDENCE),
    method=choice(
        "exact never covers less than it says; wilson is near it on average",
        "exact",
        "wilson",
        default="exact",
        others={"clopper-pearson": "exact"},
    ),
)
def share_interval(
    hits: int, tries: int, confidence: float = 0.95, method: str = "exact"
) -> Outcome:
    """Share with its two-sided interval `low`, `high` and the one-sided bounds. Raises OutOfRange
    for more hits than tries.

    Example: 9 of 12 climbs held: 9 / 12 = 0.75. The true share may be anything from 0.43 to 0.95.

        pitcrew figure share-interval hits=9 tries=12
        share-interval: 0.75
    """
    if hits > tries:
        raise OutOfRange(
            f"share-interval: {hits} hits in {tries} tries; hits are at most tries. Check which is"
            " which.",
            "hits",
        )
    tail = (1 - confidence) / 2
    bounds = _wilson if method == "wilson" else _clopper_pearson
    low, high = bounds(hits, tries, tail)
    lower, upper = bounds(hits, tries, 2 * tail)
    name = "Wilson" if method == "wilson" else "exact"
    if hits == 0:
        because = (
            f"0 in {tries} still allows up to {upper * 100:.3g} % (one-sided {confidence:.4g},"
            f" {name})."
        )
    else:
        because = (
            f"{hits} in {tries} is {hits / tries * 100:.3g} %; {low * 100:.3g} to {high * 100:.3g}"
            f" % ({confidence:.4g}, two-sided, {name})."
        )
    extras = {
        "low": low,
        "high": high,
        "upper_one_sided": upper,
        "lower_one_sided": lower,
        "confidence": confidence,
    }
    return Outcome(hits / tries, because, extras)


@figure(
    "rate-compare",
    "1",
    value_is="chance of so large a difference at equal rates (two-sided p: twice the smaller tail)",
    source=(
        "exact conditional test of two Poisson rates (Przyborowski and Wilenski 1940): given the"
        " sum, the first count is binomial; interval of the ratio by Clopper and Pearson"
    ),
    range="events at constant rates, whole numbers from 0; exposures above 0, both in one unit",
    extra_units=dict.fromkeys(("ratio", "low", "high", "p_higher", "p_lower", "confidence"), "1"),
    events1=count("how many in the first", least=0, most=1_000_000_000),
    exposure1=number("matches, climbs, hours or cycles of the first", above=0),
    events2=count("how many in the second", least=0, most=1_000_000_000),
    exposure2=number("the same of the second, in the same unit", above=0),
    confidence=number("confidence of the interval of the ratio", default=0.95, **_CONFIDENCE),
)
def rate_compare(
    events1: int, exposure1: float, events2: int, exposure2: float, confidence: float = 0.95
) -> Outcome:
    """Are two rates alike? `ratio` of the first to the second with its exact interval `low`,
    `high`.

    `p_higher` is the chance of so many or more in the first at equal rates, `p_lower` of so few;
    `ratio` and `high` are None where nothing happened in the second.

    Example: 6 faults in 12 matches before, 1 in 12 after. If nothing had changed, 7 coins would
    fall 6 to 1 or worse in 2 × (7 + 1) / 2^7 = 0.125 of all cases. That happens by luck.

        pitcrew figure rate-compare events1=6 exposure1=12 events2=1 exposure2=12
        rate-compare: 0.125
    """
    from scipy.special import bdtr, bdtrc

    total, share, scale = (
        events1 + events2,
        exposure1 / (exposure1 + exposure2),
        exposure2 / exposure1,
    )
    higher = float(bdtrc(events1 - 1, total, share)) if events1 else 1.0
    lower = float(bdtr(events1, total, share)) if events2 else 1.0
    low, high = _clopper_pearson(events1, total, (1 - confidence) / 2) if total else (0.0, 1.0)
    p = min(1.0, 2 * min(higher, lower))
    extras = {
        "ratio": events1 / events2 * scale if events2 else None,
        "low": low / (1 - low) * scale,
        "high": high / (1 - high) * scale if high < 1 else None,
        "p_higher": higher,
        "p_lower": lower,
        "confidence": confidence,
    }
    words = "The rates differ" if p < 0.05 else "No difference can be told"
    counts = f"{events1} in {exposure1:g} against {events2} in {exposure2:g}"
    return Outcome(p, f"{words}: {counts}, exact p = {p:.3g}.", extras)


def poisson_upper(events: int, tail: float) -> float:
    """Expected count at which `events` or fewer have the probability `tail` (Garwood)."""
    from scipy.special import gammainccinv

    return float(gammainccinv(events + 1, tail))


def poisson_lower(events: int, tail: float) -> float:
    """Expected count at which `events` or more have the probability `tail`; 0 for no events
    (Garwood)."""
    from scipy.special import gammaincinv

    return float(gammaincinv(events, tail)) if events else 0.0


def _clopper_pearson(hits: int, tries: int, tail: float) -> tuple[float, float]:
    from scipy.special import betainccinv, betaincinv

    low = float(betaincinv(hits, tries - hits + 1, tail)) if hits else 0.0
    high = float(betainccinv(hits + 1, tries - hits, tail)) if hits < tries else 1.0
    return low, high


def _wilson(hits: int, tries: int, tail: float) -> tuple[float, float]:
    from scipy.special import ndtri

    z2 = float(ndtri(tail)) ** 2
    share = hits / tries
    middle = share + z2 / (2 * tries)
    half = math.sqrt(z2 * (share * (1 - share) / tries + z2 / (4 * tries**2)))
    scale = 1 + z2 / tries
    return max(0.0, (middle - half) / scale) if hits else 0.0, (
        min(1.0, (middle + half) / scale) if hits < tries else 1.0
    )
