"""Trend tests: exact distributions by full enumeration and rational arithmetic, and what must hold
for any history."""

import math
from fractions import Fraction
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.engineering.trends import irwin_hall, reverse_arrangements, trend
from tests.engineering.published_sets import NIST_END, NIST_REPAIRS

TIMES = st.lists(st.floats(0.01, 99.9), min_size=2, max_size=40).map(sorted)


def rational_irwin_hall(n: int, x: Fraction) -> Fraction:
    """The textbook alternating sum, which only rational arithmetic can carry out."""
    total = sum((-1) ** k * math.comb(n, k) * (x - k) ** n for k in range(int(x) + 1))
    return Fraction(total, math.factorial(n))


@pytest.mark.parametrize("n", [1, 2, 3, 5, 10, 30, 80])
def test_irwin_hall_against_rational_arithmetic(n: int) -> None:
    for share in (0.02, 0.2, 0.4, 0.5, 0.73, 0.99):
        x = n * share
        exact = float(rational_irwin_hall(n, Fraction(x)))
        assert irwin_hall(n, x) == pytest.approx(exact, rel=1e-11)


@pytest.mark.parametrize(("n", "printed"), [(10, 0.0490), (5, 0.0478), (3, 0.0469)])
def test_exact_laplace_p_where_the_normal_says_five_percent(n: int, printed: float) -> None:
    """Exact two-sided p at |z| = 1.96, computed independently: .0490, .0478, .0469."""
    share = 0.5 - 1.96 / math.sqrt(12 * n)
    assert 2 * irwin_hall(n, n * share) == pytest.approx(printed, abs=5e-5)


@pytest.mark.parametrize("n", [2, 3, 5, 7])
def test_reverse_arrangements_against_every_permutation(n: int) -> None:
    counts = [
        sum(b > a for i, a in enumerate(order) for b in order[i + 1 :])
        for order in permutations(range(n))
    ]
    for order in list(permutations(range(n)))[:: max(1, math.factorial(n) // 40)]:
        count, rising, falling, _ = reverse_arrangements([float(gap) for gap in order])
        assert rising == pytest.approx(sum(found >= count for found in counts) / len(counts))
        assert falling == pytest.approx(sum(found <= count for found in counts) / len(counts))


@pytest.mark.parametrize(("least", "printed"), [(31, 0.0779), (33, 0.03628), (36, 0.0083)])
def test_tails_of_ten_gaps(least: int, printed: float) -> None:
    """Full enumeration of 10 gaps, computed independently: P(R >= 31), P(R >= 33), P(R >= 36)."""
    from pitcrew.engineering.trends import _at_least

    assert _at_least(10, least) == pytest.approx(printed, abs=5e-5)


@given(st.lists(st.floats(0.01, 100), min_size=2, max_size=60, unique=True))
def test_reverse_arrangements_are_kendalls_exact_tau(gaps: list[float]) -> None:
    count, rising, falling, _ = reverse_arrangements(gaps)
    for expected, found in (("greater", rising), ("less", falling)):
        assert found == pytest.approx(
            stats.kendalltau(range(len(gaps)), gaps, method="exact", alternative=expected).pvalue,
            abs=1e-9,
        )
    assert 0 <= count <= len(gaps) * (len(gaps) - 1) // 2


@given(TIMES)
def test_chi_square_tails_by_scipy(times: list[float]) -> None:
    found = trend(times, 100.0).extras
    statistic = 2 * sum(math.log(100.0 / time) for time in times)
    assert found["chi2"] == pytest.approx(statistic)
    assert found["chi2_lower"] == pytest.approx(
        stats.chi2.cdf(statistic, 2 * len(times)), abs=1e-12
    )
    assert found["chi2_lower"] + found["chi2_upper"] == pytest.approx(1)


@given(TIMES, st.floats(0.001, 1000))
def test_the_unit_of_time_does_not_matter(times: list[float], factor: float) -> None:
    ours, scaled = trend(times, 100.0), trend([time * factor for time in times], 100.0 * factor)
    assert scaled.value == pytest.approx(ours.value, abs=1e-9)
    assert scaled.extras["laplace_p"] == pytest.approx(ours.extras["laplace_p"], abs=1e-9)
    assert scaled.extras["chi2"] == pytest.approx(ours.extras["chi2"], rel=1e-9)


@given(TIMES)
def test_a_history_run_backwards_has_the_opposite_trend(times: list[float]) -> None:
    ours, back = trend(times, 100.0), trend(sorted(100.0 - time for time in times), 100.0)
    assert back.value == pytest.approx(-ours.value, abs=1e-9)
    assert back.extras["laplace_p"] == pytest.approx(ours.extras["laplace_p"], abs=1e-9)


@given(TIMES)
def test_stopping_with_the_last_fault_drops_it(times: list[float]) -> None:
    if times[0] == times[-1]:
        return
    stopped = trend(times, None, "failure")
    assert stopped.value == pytest.approx(trend(times[:-1], times[-1]).value, abs=1e-12)
    assert stopped.extras["chi2_df"] == 2 * (len(times) - 1)


def test_exact_and_normal_p_differ_for_few_and_agree_for_many() -> None:
    few = trend(NIST_REPAIRS, NIST_END).extras
    assert few["laplace_p"] > few["laplace_p_normal"]
    times = sorted(np.random.default_rng(7).uniform(0.01, 100, 3000).tolist())
    many = trend(times, 100.0).extras
    assert many["laplace_p"] == pytest.approx(many["laplace_p_normal"], abs=1e-4)


def test_p_values_are_uniform_when_nothing_changes() -> None:
    """Under a constant rate the exact p lies below 0.1 about one time in ten (400 seeded histories
    of 6 faults)."""
    random = np.random.default_rng(11)
    ps = [
        trend(sorted(random.uniform(0, 1, 6).tolist()), 1.0).extras["laplace_p"] for _ in range(400)
    ]
    assert 0.055 < sum(p < 0.1 for p in ps) / len(ps) < 0.145


def test_equal_gaps_and_faults_in_one_match_are_no_trend_by_order() -> None:
    regular = trend([10.0, 20.0, 30.0, 40.0, 50.0], 55.0).extras
    assert regular["reverse_arrangements"] == 0
    assert (
        regular["reverse_arrangements_p"],
        regular["reverse_arrangements_p_low"],
    ) == pytest.approx((1, 1))
    assert trend([5.0, 5.0, 5.0], 12.0).extras["reverse_arrangements_p"] == pytest.approx(1)


def test_one_fault_tells_its_place_alone() -> None:
    found = trend([3.0], 12.0)
    assert found.value == pytest.approx(math.sqrt(12) * (0.25 - 0.5))
    assert found.extras["laplace_p"] == pytest.approx(0.5)
    assert found.because.startswith("cannot tell")


def test_words_follow_the_exact_p() -> None:
    early, late = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [94.0, 95.0, 96.0, 97.0, 98.0, 99.0]
    assert trend(early, 100.0).because.startswith("improving")
    assert trend(late, 100.0).because.startswith("worsening")


def test_ten_thousand_faults_are_answered() -> None:
    times = sorted(np.random.default_rng(3).uniform(0.01, 100, 10_000).tolist())
    found = trend(times, 100.0)
    assert math.isfinite(found.value)
    assert all(
        0 <= found.extras[name] <= 1 for name in ("laplace_p", "chi2_p", "reverse_arrangements_p")
    )


@pytest.mark.parametrize(
    ("times", "end", "truncated", "says"),
    [
        ([], 10.0, "time", "at least 1"),
        ([5.0], None, "failure", "at least 2"),
        ([5.0, 3.0], 10.0, "time", "must rise"),
        ([5.0, 12.0], 10.0, "time", "beyond the end"),
        ([0.0, 5.0], 10.0, "time", "not above 0"),
        ([-1.0, 5.0], 10.0, "time", "not above 0"),
        ([5.0, 7.0], None, "time", "needs end"),
        ([10.0, 10.0], 10.0, "time", "fall on the end"),
        ([7.0, 7.0], None, "failure", "fall on the end"),
    ],
)
def test_histories_that_cannot_be_read(
    times: list[float], end: float | None, truncated: str, says: str
) -> None:
    with pytest.raises(BadInput, match=says):
        trend(times, end, truncated)


def test_a_refusal_says_what_arrived() -> None:
    with pytest.raises(OutOfRange, match="12 lies beyond the end 10"):
        trend([5.0, 12.0], 10.0)
