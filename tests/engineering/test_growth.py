"""The power law: exact intervals by second derivations, likelihoods by their slope, coverage by
simulation."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import integrate, special, stats

from pitcrew.base.errors import BadInput
from pitcrew.engineering.growth import growth, growth_grouped
from tests.engineering.published_sets import (
    CROW_END,
    CROW_TIMES,
    MIL_END,
    MIL_TIMES,
    NIST_END,
    NIST_REPAIRS,
)

TIMES = st.lists(st.floats(0.01, 99.0), min_size=3, max_size=40).map(sorted)


def factors(
    times: list[float], end: float | None, truncated: str, confidence: float
) -> tuple[float, float]:
    found = growth(times, end, truncated, confidence).extras
    return found["mtbf_low"] / found["mtbf"], found["mtbf_high"] / found["mtbf"]


def test_crows_published_coefficients() -> None:
    """NASA TM-103511 tables 1B and 1C: n = 23, 80 %: .6762, 1.5744; n = 27, 90 %: .6361467,
    1.6817864."""
    low, high = factors(list(CROW_TIMES), CROW_END, "time", 0.80)
    assert (low, high) == (pytest.approx(0.6762, abs=5e-5), pytest.approx(1.5744, abs=5e-5))
    assert (low, high) == (
        pytest.approx(0.6761942617196254, rel=1e-9),
        pytest.approx(1.5744289897315853, rel=1e-9),
    )
    low, high = factors(list(MIL_TIMES), MIL_END, "time", 0.90)
    assert (low, high) == (pytest.approx(0.6361467, abs=5e-8), pytest.approx(1.6817864, abs=5e-8))


def test_failure_truncated_factors() -> None:
    """Handbook factors for 26 failures, 95 %, as literals of a public test suite: 0.6333100346,
    1.9193282778."""
    times = np.geomspace(1, 1000, 26).tolist()
    assert factors(times, None, "failure", 0.95) == pytest.approx(
        (0.6333100346074767, 1.919328277802955), rel=1e-9
    )


@pytest.mark.parametrize("n", [2, 5, 23, 200])
def test_crows_weights_are_a_bessel_function(n: int) -> None:
    """sum x^k / (k! (k-1)!) = sqrt(x) I1(2 sqrt x): our bounds put exactly the tails where they
    belong."""
    times = np.linspace(10, 90, n).tolist()
    low, high = factors(times, 100.0, "time", 0.9)
    for factor, ours in ((low, lambda k: k <= n), (high, lambda k: k >= n)):
        x = n * n / factor
        k = np.array([k for k in range(1, n + 600) if ours(k)])
        root = 2 * math.sqrt(x)
        total = 0.5 * math.log(x) + math.log(special.ive(1, root)) + root
        assert float(
            np.exp(k * math.log(x) - special.gammaln(k + 1) - special.gammaln(k) - total).sum()
        ) == pytest.approx(0.05, rel=1e-8)


@pytest.mark.parametrize("n", [3, 8, 40])
def test_failure_truncated_bounds_by_quadrature(n: int) -> None:
    """P(product of Gamma(n) and Gamma(n-1) <= q) integrated adaptively gives the tail at each
    bound."""
    low, high = factors(np.geomspace(1, 50, n).tolist(), None, "failure", 0.9)
    for factor, tail in ((low, 0.95), (high, 0.05)):
        product = n * n / factor
        chance, _ = integrate.quad(
            lambda g, product=product: stats.gamma.pdf(g, n) * special.gammainc(n - 1, product / g),
            0,
            np.inf,
            epsabs=1e-11,
            limit=400,
        )
        assert chance == pytest.approx(tail, abs=1e-8)


def test_nist_interval_uses_the_right_root() -> None:
    """NIST's listing gives 157.7138 and 548.5566; the look-alike sqrt(r z^2/4 + z^4/16) would give
    179.32."""
    found = growth(NIST_REPAIRS, NIST_END, "time", 0.8).extras
    z, r, m = stats.norm.ppf(0.9), 10, found["mtbf_unbiased"]
    alike = m * r * (r - 1) / (r + z * z / 4 + math.sqrt(r * z * z / 4 + z**4 / 16)) ** 2
    assert alike == pytest.approx(179.32, abs=0.005)
    assert found["mtbf_low_approx"] == pytest.approx(157.7138, abs=5e-5) and found[
        "mtbf_high_approx"
    ] == pytest.approx(548.5566, abs=5e-5)


@pytest.mark.parametrize(("n", "truncated", "low", "high"), [
    (3, "time", 0.333, 6.326), (4, "time", 0.385, 4.243), (5, "time", 0.426, 3.386), (10, "time", 0.549, 2.136),
    (3, "failure", 0.6840, 8.927), (4, "failure", 0.6601, 5.328), (5, "failure", 0.6568, 4.000), (10, "failure", 0.6852, 2.287),
])  # fmt: skip
def test_the_mean_time_s_interval_has_the_handbook_s_coefficients(
    n: int, truncated: str, low: float, high: float
) -> None:
    """MIL-HDBK-189 (1981), tables of 80 % coefficients for time- and failure-terminated tests (from
    memory): they need n alone."""
    times = [float(number * number) for number in range(1, n + 1)]
    found = growth(times, times[-1] + 5.0 if truncated == "time" else None, truncated, 0.8).extras
    digits = 0.0005 if truncated == "time" else 0.00005
    assert found["mtbf_low"] / found["mtbf"] == pytest.approx(low, abs=digits * 1.2)
    assert found["mtbf_high"] / found["mtbf"] == pytest.approx(high, abs=0.0006)


@given(TIMES)
def test_beta_and_lambda_are_where_the_likelihood_is_flat(times: list[float]) -> None:
    assume(times[0] < 98)
    found = growth(times, 100.0)
    n, beta, scale = len(times), found.value, found.extras["lambda"]
    slope_beta = (
        n / beta + sum(math.log(time) for time in times) - scale * 100.0**beta * math.log(100.0)
        if scale
        else 0.0
    )
    assert slope_beta == pytest.approx(0, abs=1e-6 * n * (1 + 1 / beta))
    if scale:
        assert scale * 100.0**beta == pytest.approx(n, rel=1e-9)


@given(TIMES, st.floats(0.01, 100), st.floats(0.5, 0.99))
def test_the_unit_of_time_scales_the_mean_time_alone(
    times: list[float], factor: float, confidence: float
) -> None:
    ours = growth(times, 100.0, "time", confidence).extras
    scaled = growth([time * factor for time in times], 100.0 * factor, "time", confidence).extras
    for name in ("beta", "beta_unbiased", "low", "high", "cramer_von_mises"):
        assert scaled[name] == pytest.approx(ours[name], rel=1e-6)
    for name in ("mtbf", "mtbf_unbiased", "mtbf_low", "mtbf_high"):
        assert scaled[name] == pytest.approx(ours[name] * factor, rel=1e-6)


@given(TIMES, st.floats(0.5, 0.9))
def test_intervals_surround_and_widen(times: list[float], confidence: float) -> None:
    narrow, wide = (
        growth(times, 100.0, "time", confidence).extras,
        growth(times, 100.0, "time", confidence + 0.09).extras,
    )
    assert wide["low"] < narrow["low"] < narrow["high"] < wide["high"]
    assert wide["mtbf_low"] < narrow["mtbf_low"] < narrow["mtbf_high"] < wide["mtbf_high"]


@pytest.mark.parametrize(("n", "beta"), [(3, 0.6), (5, 1.0), (10, 1.6), (20, 0.6)])
def test_exact_intervals_cover_what_they_say(n: int, beta: float) -> None:
    """300 seeded failure-truncated histories each: 90 % intervals of beta and of the mean time hold
    the truth 85 to 95 times in 100."""
    random = np.random.default_rng(1000 + n)
    hits_beta = hits_mtbf = 0
    for _ in range(300):
        times = np.cumsum(random.exponential(size=n)) ** (1 / beta)
        found = growth(times.tolist(), None, "failure", 0.9).extras
        hits_beta += found["low"] <= beta <= found["high"]
        hits_mtbf += found["mtbf_low"] <= times[-1] ** (1 - beta) / beta <= found["mtbf_high"]
    assert 0.85 <= hits_beta / 300 <= 0.95 and 0.85 <= hits_mtbf / 300 <= 0.95


def test_time_truncated_intervals_are_not_too_short() -> None:
    """400 seeded histories with about 8 faults; Crow's bounds are conservative, so nine in ten or
    more hold the truth."""
    random = np.random.default_rng(5)
    beta, hits, done = 0.7, 0, 0
    while done < 400:
        n = random.poisson(8.0)
        if n < 2:
            continue
        times = np.sort(random.uniform(size=n)) ** (1 / beta) * 100
        found = growth(times.tolist(), 100.0, "time", 0.9).extras
        hits += found["mtbf_low"] <= 100.0 / (8.0 * beta) <= found["mtbf_high"]
        done += 1
    assert hits / done >= 0.88


def test_hostile_histories() -> None:
    assert growth([1.0, 1.0, 1.0], 10.0).value == pytest.approx(3 / (3 * math.log(10)))
    huge = growth([99.9999999, 99.99999999], 100.0)
    assert huge.extras["lambda"] is None and math.isfinite(huge.extras["mtbf"])
    many = growth(np.linspace(0.01, 99.99, 10_000).tolist(), 100.0)
    assert (
        many.value == pytest.approx(1.0, abs=0.01)
        and many.extras["mtbf_low"] < many.extras["mtbf"] < many.extras["mtbf_high"]
    )
    for times, end, truncated in (
        ([5.0], 10.0, "time"),
        ([5.0, 6.0], None, "failure"),
        ([], 10.0, "time"),
    ):
        with pytest.raises(BadInput, match="at least"):
            growth(times, end, truncated)


# grouped counts


def test_grouped_likelihood_is_flat_at_beta() -> None:
    ends, counts = [20.0, 40.0, 60.0, 80.0, 100.0], [13, 16, 5, 8, 7]
    beta = growth_grouped(ends, counts).value

    def likelihood(b: float) -> float:
        masses = np.diff(np.concatenate([[0.0], np.array(ends) ** b])) / 100.0**b
        return float((np.array(counts) * np.log(masses)).sum())

    assert (likelihood(beta + 1e-5) - likelihood(beta - 1e-5)) / 2e-5 == pytest.approx(0, abs=1e-4)
    low, high = (
        growth_grouped(ends, counts).extras["low"],
        growth_grouped(ends, counts).extras["high"],
    )
    for bound in (low, high):
        assert 2 * (likelihood(beta) - likelihood(bound)) == pytest.approx(
            stats.chi2.ppf(0.95, 1), rel=1e-6
        )


def test_two_intervals_have_a_closed_form() -> None:
    """Two intervals fit exactly: (T1 / T2)^beta is the share of the first."""
    found = growth_grouped([25.0, 100.0], [30, 70])
    assert found.value == pytest.approx(math.log(0.3) / math.log(0.25), rel=1e-9)
    assert found.extras["expected"] == pytest.approx([30, 70])


def test_fine_groups_approach_single_times() -> None:
    single = growth(list(MIL_TIMES), MIL_END).value
    ends = np.linspace(0.1, 300, 3000)
    counts = np.histogram(MIL_TIMES, bins=np.concatenate([[0.0], ends]))[0]
    assert growth_grouped(ends.tolist(), counts.tolist()).value == pytest.approx(single, rel=2e-3)


@given(st.lists(st.integers(0, 50), min_size=2, max_size=12), st.floats(0.01, 1000))
def test_grouped_fits_add_up_and_ignore_the_unit(counts: list[int], factor: float) -> None:
    total = sum(counts)
    assume(total >= 2 and counts[0] < total and counts[-1] < total)
    ends = [float(i) for i in range(1, len(counts) + 1)]
    ours, scaled = (
        growth_grouped(ends, counts),
        growth_grouped([end * factor for end in ends], counts),
    )
    assert sum(ours.extras["expected"]) == pytest.approx(total, rel=1e-9)
    assert ours.extras["low"] < ours.value < ours.extras["high"]
    assert scaled.value == pytest.approx(ours.value, rel=1e-6)
    assert scaled.extras["mtbf"] == pytest.approx(ours.extras["mtbf"] * factor, rel=1e-6)


@pytest.mark.parametrize(
    ("ends", "counts", "says"),
    [
        ([], [], "0 ends"),
        ([10.0], [3], "1 ends"),
        ([10.0, 20.0], [3], "1 counts"),
        ([10.0, 20.0], [0, 0], "no power law"),
        ([10.0, 20.0], [3, 0], "no power law"),
        ([20.0, 10.0], [1, 2], "must rise"),
        ([10.0, 20.0], [1, -2], "whole numbers"),
        ([10.0, 20.0], [1.5, 2], "whole numbers"),
        ([0.0, 20.0], [1, 2], "must rise"),
    ],
)
def test_groups_that_cannot_be_fitted(ends: list[float], counts: list[float], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        growth_grouped(ends, counts)
