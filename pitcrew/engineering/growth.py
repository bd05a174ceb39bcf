"""The power law of faults: expected faults up to t are lambda * t^beta, so beta below 1 means that
they grow rarer.

Maximum likelihood as in MIL-HDBK-189, the bias-corrected forms of the NIST handbook, and intervals:
exact for beta and for the mean time between faults at the end (Crow), NIST's approximation beside
them. For grouped counts by likelihood.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.histories import (
    History,
    end_parameter,
    history,
    times_parameter,
    truncated_parameter,
)
from pitcrew.engineering.parameters import number, numbers

_WIDEST = 60.0  # |ln| of the widest bracket in which a quantile is sought


@figure(
    "growth",
    "1",
    value_is=(
        "beta by maximum likelihood: below 1 improving, above 1 worsening; low and high are its"
        " exact interval"
    ),
    source=(
        "power law: MIL-HDBK-189 (1981) appendix C; bias correction and approximate MTBF interval:"
        " NIST/SEMATECH e-Handbook 8.4.5.1; exact MTBF interval: Crow's time-truncated"
        " coefficients, a product of two gammas for failure-truncated"
    ),
    range="at least 2 faults before the end; a steady improvement or decline, one repaired thing",
    extra_units=dict.fromkeys(
        (
            "beta",
            "lambda",
            "mtbf",
            "intensity",
            "beta_unbiased",
            "lambda_unbiased",
            "mtbf_unbiased",
            "growth_slope",
            "low",
            "high",
            "mtbf_low",
            "mtbf_high",
            "mtbf_low_approx",
            "mtbf_high_approx",
            "cramer_von_mises",
            "faults",
            "confidence",
        ),
        "1",
    ),
    times=times_parameter(),
    end=end_parameter(),
    truncated=truncated_parameter(),
    confidence=number(
        "confidence of the two-sided intervals", least=0.01, most=0.9999, default=0.95
    ),
)
def growth(
    times: Sequence[float],
    end: float | None = None,
    truncated: str = "time",
    confidence: float = 0.95,
) -> Outcome:
    """Power law of cumulative fault times.

    `mtbf` is the time between faults at the end; `..._unbiased` are bias-corrected; `growth_slope`
    is 1 - beta_unbiased;
    `mtbf_low`, `mtbf_high` are exact, `..._approx` NIST's (time-truncated only, None where they do
    not exist).

    Example: Faults in matches 2, 5, 9, 20 and 34 of 40 come further and further apart: 5 / (ln(40 /
    2) + ln(40 / 5) + ln(40 / 9) + ln(40 / 20) + ln(40 / 34)) = 0.6736. Below 1 it gets better, but
    five faults cannot prove it.

        pitcrew figure growth times=2,5,9,20,34 end=40
        growth: 0.6736
    """
    record = history("growth", times, end, truncated, least=2)
    n, tail = len(record.times), (1 - confidence) / 2
    logs = math.fsum(math.log(record.end / time) for time in record.free)
    beta, unbiased = n / logs, (n - 1 - record.by_failure) / logs
    low, high = _beta_interval(record, beta, tail)
    mtbf, mtbf_unbiased = record.end / (n * beta), record.end / (n * unbiased)
    factor_low, factor_high = (
        _product_factors(n, tail) if record.by_failure else _crow_factors(n, tail)
    )
    approx_low, approx_high = (
        (None, None) if record.by_failure else _nist_interval(n, mtbf_unbiased, tail)
    )
    extras = {
        "beta": beta,
        "lambda": _scale(n, beta, record.end),
        "mtbf": mtbf,
        "intensity": 1 / mtbf,
        "beta_unbiased": unbiased,
        "lambda_unbiased": _scale(n, unbiased, record.end),
        "mtbf_unbiased": mtbf_unbiased,
        "growth_slope": 1 - unbiased,
        "low": low,
        "high": high,
        "mtbf_low": mtbf * factor_low,
        "mtbf_high": mtbf * factor_high,
        "mtbf_low_approx": approx_low,
        "mtbf_high_approx": approx_high,
        "cramer_von_mises": _cramer_von_mises(record, unbiased),
        "faults": n,
        "confidence": confidence,
    }
    return Outcome(beta, _say(extras, record), extras)


def _say(extras: Mapping[str, Any], record: History) -> str:
    return (
        f"{_words(extras['low'], extras['high'])}: {extras['faults']} faults up to {record.end:g},"
        f" beta = {extras['beta']:.3g} ({extras['low']:.3g} to {extras['high']:.3g}, exact"
        f" {extras['confidence']:.4g}); one fault in {extras['mtbf_unbiased']:.3g} now,"
        f" bias-corrected (exact {extras['mtbf_low']:.3g} to {extras['mtbf_high']:.3g})."
    )


def _words(low: float, high: float) -> str:
    return "improving" if high < 1 else "worsening" if low > 1 else "cannot tell"


def _scale(n: float, beta: float, end: float) -> float | None:
    """lambda = n / T^beta; None where it is too large or too small for a number."""
    log = math.log(n) - beta * math.log(end)
    return math.exp(log) if abs(log) < 700 else None


def _beta_interval(record: History, beta: float, tail: float) -> tuple[float, float]:
    """Exact: 2 n beta / beta_mle is chi-square on twice the number of free times."""
    from scipy.special import gammainccinv, gammaincinv

    n, free = len(record.times), len(record.free)
    return beta * float(gammaincinv(free, tail)) / n, beta * float(gammainccinv(free, tail)) / n


@lru_cache(maxsize=1024)
def _crow_factors(n: int, tail: float) -> tuple[float, float]:
    """Crow's coefficients for a time-truncated record: MTBF bounds over its maximum-likelihood
    value.

    Given the sum of logarithms, P(N = k) is proportional to x^k / (k! (k - 1)!), k >= 1, with x =
    intensity * T * sum; the bounds are the x at which n or fewer, and n or more, have the
    probability `tail`. Conservative, as N is discrete.
    """
    import numpy as np
    from scipy.special import gammaln

    most = int(n + 40 * math.sqrt(n) + 200)
    k = np.arange(1, most + 1)
    weights = -gammaln(k + 1) - gammaln(k)

    def chance(log_x: float, start: int, stop: int) -> float:
        terms = weights + k * log_x
        shares = np.exp(terms - terms.max())
        return float(shares[start:stop].sum() / shares.sum())

    middle = 2 * math.log(n)
    at_most = _root(lambda log_x: tail - chance(log_x, 0, n), middle - 1, middle + 1)
    at_least = _root(lambda log_x: chance(log_x, n - 1, most) - tail, middle - 1, middle + 1)
    return math.exp(middle - at_most), math.exp(middle - at_least)


@lru_cache(maxsize=1024)
def _product_factors(n: int, tail: float) -> tuple[float, float]:
    """MTBF bounds over the maximum-likelihood value for a failure-truncated record: n^2 over the
    product of two gammas.

    beta / beta_mle is Gamma(n - 1) / n and lambda T^beta is Gamma(n), independent; the distribution
    of their product is integrated over the normal score of the second by the trapezoid rule, which
    converges as fast as that bell vanishes.
    """
    import numpy as np
    from scipy.special import gammainc, gammainccinv, gammaincinv, ndtr

    score = np.linspace(-8.0, 8.0, 641)
    second = np.where(score < 0, gammaincinv(n, ndtr(score)), gammainccinv(n, ndtr(-score)))
    weight = np.exp(-score * score / 2) * (score[1] - score[0]) / math.sqrt(2 * math.pi)

    def below(log_product: float) -> float:
        return float((weight * gammainc(n - 1, np.exp(log_product) / second)).sum())

    middle = 2 * math.log(n)
    high = _root(lambda log: below(log) - (1 - tail), middle - 1, middle + 1)
    low = _root(lambda log: below(log) - tail, middle - 1, middle + 1)
    return math.exp(middle - high), math.exp(middle - low)


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """The zero of a rising function, from a first bracket that is widened as needed."""
    from scipy.optimize import brentq

    step = high - low
    while rising(low) > 0 and step < _WIDEST:
        low, step = low - step, 2 * step
    while rising(high) < 0 and step < _WIDEST:
        high, step = high + step, 2 * step
    return float(brentq(rising, low, high, xtol=1e-13, rtol=1e-13))


def _nist_interval(n: int, mtbf_unbiased: float, tail: float) -> tuple[float, float | None]:
    """NIST's approximate MTBF interval for a time-truncated record; no upper bound for very few
    faults."""
    from scipy.special import ndtri

    z = float(ndtri(1 - tail))
    spread = n + z * z / 4 + math.sqrt(n * z * z / 2 + z**4 / 16)
    rest = n - z * math.sqrt(n / 2)
    low = mtbf_unbiased * n * (n - 1) / spread**2
    return low, (mtbf_unbiased * n * (n - 1) / rest**2 if rest > 0 else None)


def _cramer_von_mises(record: History, unbiased: float) -> float:
    """How far the record is from a power law; above about 0.22 it does not follow one (5 %, many
    faults)."""
    free = record.free
    m = len(free)
    squares = (
        ((time / record.end) ** unbiased - (2 * i - 1) / (2 * m)) ** 2
        for i, time in enumerate(free, start=1)
    )
    return 1 / (12 * m) + math.fsum(squares)


@figure(
    "growth-grouped",
    "1",
    value_is=(
        "beta by maximum likelihood from counts in intervals: below 1 improving; low and high by"
        " likelihood ratio"
    ),
    source=(
        "MIL-HDBK-189C section 6.2.3 (grouped data); interval by the likelihood ratio, approximate"
    ),
    range=(
        "at least 2 intervals that are not the same, faults neither all in the first nor all in the"
        " last"
    ),
    extra_units=dict.fromkeys(
        (
            "beta",
            "lambda",
            "mtbf",
            "intensity",
            "mtbf_last",
            "expected",
            "chi2",
            "chi2_df",
            "low",
            "high",
            "faults",
            "confidence",
        ),
        "1",
    ),
    ends=numbers("end of each interval (matches, hours), rising, the first one starting at 0"),
    counts=numbers("faults counted in each interval"),
    confidence=number("confidence of the interval", least=0.01, most=0.9999, default=0.95),
)
def growth_grouped(
    ends: Sequence[float], counts: Sequence[float], confidence: float = 0.95
) -> Outcome:
    """Power law of grouped counts.

    `mtbf` is at the end, `mtbf_last` the average over the last interval, `expected` the fitted
    counts.

    Example: 5 faults in the first ten matches, 3 in the next, 1 in the last. Beta is below 1, so it
    looks better, but its interval reaches beyond 1: too few to be sure.

        pitcrew figure growth-grouped ends=10,20,30 counts=5,3,1
        growth-grouped: 0.5073
    """
    _check_groups(ends, counts)
    n, end = sum(counts), ends[-1]
    shares = [stop / end for stop in ends]
    beta = math.exp(_root(lambda log_beta: -_score(shares, counts, math.exp(log_beta)), -1.0, 1.0))
    low, high = _likelihood_interval(shares, counts, beta, confidence)
    expected = [n * share for share in _masses(shares, beta)]
    mtbf = end / (n * beta)
    extras = {
        "beta": beta,
        "lambda": _scale(n, beta, end),
        "mtbf": mtbf,
        "intensity": 1 / mtbf,
        "mtbf_last": (end - ends[-2]) / expected[-1],
        "expected": expected,
        "chi2": math.fsum(
            (found - fit) ** 2 / fit for found, fit in zip(counts, expected, strict=True)
        ),
        "chi2_df": len(ends) - 2,
        "low": low,
        "high": high,
        "faults": n,
        "confidence": confidence,
    }
    because = (
        f"{_words(low, high)}: {n:g} faults in {len(ends)} intervals up to {end:g}, beta ="
        f" {beta:.3g} ({low:.3g} to {high:.3g}, approximate {confidence:.4g}); one fault in"
        f" {mtbf:.3g} now."
    )
    return Outcome(beta, because, extras)


def _check_groups(ends: Sequence[float], counts: Sequence[float]) -> None:
    if len(ends) != len(counts) or len(ends) < 2:
        raise OutOfRange(
            f"growth-grouped: {len(ends)} ends and {len(counts)} counts arrived; each interval"
            " needs one of both, at least two intervals.",
            "counts",
        )
    if any(later <= earlier for earlier, later in pairwise((0.0, *ends))):
        raise OutOfRange(
            "growth-grouped: the ends must rise, the first from 0. Join intervals that end"
            " together.",
            "ends",
        )
    if any(found < 0 or found != int(found) for found in counts):
        raise OutOfRange(
            "growth-grouped: the counts must be whole numbers from 0. Correct them.", "counts"
        )
    total = sum(counts)
    if total < 2 or counts[0] == total or counts[-1] == total:
        raise OutOfRange(
            f"growth-grouped: {total:g} faults, {counts[0]:g} in the first interval and"
            f" {counts[-1]:g} in the last, fit no power law. It needs faults in two intervals. Wait"
            " for more, or take shorter intervals.",
            "counts",
        )


def _masses(shares: Sequence[float], beta: float) -> list[float]:
    """The share of the faults that falls in each interval; the ends are shares of the whole
    time."""
    return [
        later**beta - (earlier**beta if earlier else 0.0)
        for earlier, later in pairwise((0.0, *shares))
    ]


def _likelihood_interval(
    shares: Sequence[float], counts: Sequence[float], beta: float, confidence: float
) -> tuple[float, float]:
    """Where the likelihood has fallen by half the chi-square quantile on one degree of freedom."""
    from scipy.special import chdtri

    drop, best = float(chdtri(1, 1 - confidence)) / 2, _likelihood(shares, counts, beta)

    def bound(sign: int) -> float:
        reach = _root(
            lambda log: best - _likelihood(shares, counts, beta * math.exp(sign * log)) - drop,
            0.0,
            1.0,
        )
        return beta * math.exp(sign * reach)

    return bound(-1), bound(1)


def _likelihood(shares: Sequence[float], counts: Sequence[float], beta: float) -> float:
    masses = _masses(shares, beta)
    if any(mass <= 0 and found for found, mass in zip(counts, masses, strict=True)):
        return -1e300
    return math.fsum(
        found * math.log(mass) for found, mass in zip(counts, masses, strict=True) if found
    )


def _score(shares: Sequence[float], counts: Sequence[float], beta: float) -> float:
    """The derivative of the likelihood by beta; falling in beta."""

    def slope(share: float) -> float:
        return share**beta * math.log(share) if share > 0 else 0.0

    total = 0.0
    for (earlier, later), found in zip(pairwise((0.0, *shares)), counts, strict=True):
        mass = later**beta - (earlier**beta if earlier else 0.0)
        if found and mass > 0:
            total += found * (slope(later) - slope(earlier)) / mass
    return total
