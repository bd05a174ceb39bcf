"""Intervals of rates and shares by second paths: scipy's and statsmodels' own, published factors,
and their true coverage."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.rates import rate_compare, rate_interval, share_interval

CONFIDENCE = st.floats(0.5, 0.999)
# NIST/SEMATECH e-Handbook 8.4.5.1: factors on T / r for the mean time between failures (exact
# chi-square quantiles)
NIST_FACTORS = [
    (1, 0.80, 0.25709, 9.49122),
    (2, 0.90, 0.31767, 5.62807),
    (5, 0.90, 0.47560, 2.53788),
    (10, 0.95, 0.54376, 2.08534),
]


@st.composite
def shares(draw: st.DrawFn) -> tuple[int, int]:
    tries = draw(st.integers(1, 400))
    return draw(st.integers(0, tries)), tries


@pytest.mark.parametrize(("failures", "confidence", "low", "high"), NIST_FACTORS)
def test_factors_of_the_mean_time_between_failures(
    failures: int, confidence: float, low: float, high: float
) -> None:
    rate = rate_interval(failures, 100.0, confidence)
    mtbf = 100.0 / failures
    assert 1 / rate.extras["high"] / mtbf == pytest.approx(low, abs=5e-6)
    assert 1 / rate.extras["low"] / mtbf == pytest.approx(high, abs=5e-6)


@given(st.integers(0, 5000), st.floats(0.1, 1e4), CONFIDENCE)
def test_rate_interval_by_statsmodels(events: int, exposure: float, confidence: float) -> None:
    found = rate_interval(events, exposure, confidence)
    low, high = confint_poisson(events, exposure, method="exact-c", alpha=1 - confidence)
    assert found.extras["high"] == pytest.approx(float(high), rel=1e-9)
    assert found.extras["low"] == pytest.approx(float(low) if events else 0.0, rel=1e-9)


@given(shares(), CONFIDENCE)
def test_share_intervals_by_scipy_and_statsmodels(
    share: tuple[int, int], confidence: float
) -> None:
    hits, tries = share
    for method, theirs in (("exact", "beta"), ("wilson", "wilson")):
        found = share_interval(hits, tries, confidence, method)
        second = stats.binomtest(hits, tries).proportion_ci(confidence, method)
        third = proportion_confint(hits, tries, alpha=1 - confidence, method=theirs)
        for key, a, b in zip(("low", "high"), second, third, strict=True):
            assert found.extras[key] == pytest.approx(float(a), rel=1e-8, abs=1e-12)
            assert found.extras[key] == pytest.approx(float(b), rel=1e-8, abs=1e-12)


@given(shares(), CONFIDENCE, st.sampled_from(["exact", "wilson"]))
def test_misses_have_the_mirrored_interval(
    share: tuple[int, int], confidence: float, method: str
) -> None:
    hits, tries = share
    ours, theirs = (
        share_interval(hits, tries, confidence, method),
        share_interval(tries - hits, tries, confidence, method),
    )
    assert ours.extras["low"] == pytest.approx(1 - theirs.extras["high"], abs=1e-9)
    assert ours.extras["upper_one_sided"] == pytest.approx(
        1 - theirs.extras["lower_one_sided"], abs=1e-9
    )
    assert ours.extras["low"] <= ours.value <= ours.extras["high"]


@given(st.integers(0, 200), st.floats(0.1, 1000), st.floats(0.1, 1000))
def test_rate_scales_with_exposure(events: int, exposure: float, factor: float) -> None:
    ours, scaled = rate_interval(events, exposure), rate_interval(events, exposure * factor)
    for key in ("low", "high", "upper_one_sided"):
        assert scaled.extras[key] == pytest.approx(ours.extras[key] / factor, rel=1e-9)


@given(st.integers(0, 200), st.integers(1, 200))
def test_more_events_never_lower_a_bound(events: int, more: int) -> None:
    ours, higher = rate_interval(events, 10.0), rate_interval(events + more, 10.0)
    assert ours.extras["low"] < higher.extras["low"] and ours.extras["high"] < higher.extras["high"]


@pytest.mark.parametrize("mean", [0.3, 1.0, 3.0, 5.0, 10.0, 20.0])
def test_exact_rate_intervals_cover_at_least_what_they_say(mean: float) -> None:
    """Summed over every count, not simulated: the chance that the 90 % interval holds the true
    mean."""
    counts = range(int(mean + 12 * math.sqrt(mean) + 12))
    covered = sum(
        stats.poisson.pmf(count, mean)
        for count in counts
        if (found := rate_interval(count, 1.0, 0.9).extras)["low"] <= mean <= found["high"]
    )
    assert 0.9 <= covered < 1


@pytest.mark.parametrize("tries", [3, 5, 12, 20])
def test_exact_shares_cover_at_least_what_they_say_and_wilson_nearly(tries: int) -> None:
    grid = [i / 101 for i in range(1, 101)]
    means = {}
    for method in ("exact", "wilson"):
        intervals = [share_interval(hits, tries, 0.9, method).extras for hits in range(tries + 1)]
        covered = [
            sum(
                stats.binom.pmf(hits, tries, p)
                for hits, found in enumerate(intervals)
                if found["low"] <= p <= found["high"]
            )
            for p in grid
        ]
        means[method] = sum(covered) / len(covered)
        if method == "exact":
            assert min(covered) >= 0.9
    assert 0.88 <= means["wilson"] <= 0.94 < means["exact"]


def test_nothing_in_twelve_matches_still_allows() -> None:
    """One-sided 95 %: 1 - 0.05^(1/12) = 22.1 % a match as a share, -ln(0.05) / 12 = 0.25 as a
    rate."""
    share, rate = share_interval(0, 12), rate_interval(0, 12.0)
    assert share.extras["upper_one_sided"] == pytest.approx(1 - 0.05 ** (1 / 12), rel=1e-12)
    assert rate.extras["upper_one_sided"] == pytest.approx(-math.log(0.05) / 12, rel=1e-12)
    assert (
        "22.1 %" in share.because and "one-sided" in share.because and "one-sided" in rate.because
    )


def test_one_sided_bounds_are_those_of_a_wider_two_sided_interval() -> None:
    for interval in (rate_interval, share_interval):
        found, wide = interval(4, 30, 0.95), interval(4, 30, 0.90)
        assert found.extras["upper_one_sided"] == pytest.approx(wide.extras["high"], rel=1e-12)
        assert found.extras["lower_one_sided"] == pytest.approx(wide.extras["low"], rel=1e-12)


def test_more_hits_than_tries_are_refused() -> None:
    with pytest.raises(OutOfRange, match="5 hits in 4 tries"):
        share_interval(5, 4)


@given(st.integers(0, 40), st.floats(0.5, 50), st.integers(0, 40), st.floats(0.5, 50))
def test_two_rates_by_the_binomial_of_scipy(
    events1: int, exposure1: float, events2: int, exposure2: float
) -> None:
    found = rate_compare(events1, exposure1, events2, exposure2).extras
    total, share = events1 + events2, exposure1 / (exposure1 + exposure2)
    higher = stats.binomtest(events1, total, share, alternative="greater").pvalue if total else 1.0
    lower = stats.binomtest(events1, total, share, alternative="less").pvalue if total else 1.0
    assert (found["p_higher"], found["p_lower"]) == (
        pytest.approx(higher, abs=1e-10),
        pytest.approx(lower, abs=1e-10),
    )
    assert found["low"] <= (found["ratio"] if found["ratio"] is not None else found["low"])


def test_the_ratio_of_rates_has_an_end_only_where_both_happened() -> None:
    assert rate_compare(3, 10, 0, 10).extras["high"] is None
    assert rate_compare(0, 10, 3, 10).extras["low"] == 0
    assert rate_compare(0, 10, 0, 10).value == 1
