"""Survival by scipy's and statsmodels' own code, and what must hold for any set of repairs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.duration.survfunc import SurvfuncRight, survdiff

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.survival import survival, survival_compare
from tests.engineering.published_sets import UNITS_FAILED, UNITS_REMOVED

MATCHES = st.lists(st.integers(1, 30).map(float), min_size=1, max_size=30)
MAYBE = st.lists(st.integers(1, 30).map(float), max_size=30)


@given(MATCHES, MAYBE)
def test_survival_by_scipy_and_statsmodels(times: list[float], removed: list[float]) -> None:
    found = survival(times, removed)
    second = stats.ecdf(stats.CensoredData(times, right=removed)).sf
    third = SurvfuncRight(times + removed, [1] * len(times) + [0] * len(removed))
    assert found.extras["series"] == pytest.approx(
        [float(second.evaluate(at)) for at in found.extras["at"]], abs=1e-12
    )
    assert found.extras["series"] == pytest.approx(third.surv_prob.tolist(), abs=1e-12)
    assert found.extras["at_risk"] == third.n_risk.astype(int).tolist()
    assert found.value == found.extras["series"][-1]


def test_intervals_by_scipy() -> None:
    found = survival(UNITS_FAILED, UNITS_REMOVED, 0.9)
    curve = stats.ecdf(stats.CensoredData(list(UNITS_FAILED), right=list(UNITS_REMOVED))).sf
    interval = curve.confidence_interval(0.9, method="log-log")
    assert found.extras["low"] == pytest.approx(
        [float(interval.low.evaluate(at)) for at in UNITS_FAILED], abs=1e-12
    )
    assert found.extras["high"] == pytest.approx(
        [float(interval.high.evaluate(at)) for at in UNITS_FAILED], abs=1e-12
    )


def test_units_still_good_at_the_end_do_not_count_as_failed() -> None:
    assert survival(UNITS_FAILED, UNITS_REMOVED).value == pytest.approx(0.670359, abs=5e-7)
    assert survival(UNITS_FAILED, UNITS_REMOVED).extras["median"] is None


def test_a_removal_at_the_time_of_a_failure_was_still_at_risk() -> None:
    assert survival([5.0], [5.0]).value == pytest.approx(0.5)


@given(MATCHES)
def test_without_removals_it_is_the_share_left(times: list[float]) -> None:
    found = survival(times)
    left = [sum(time > at for time in times) / len(times) for at in found.extras["at"]]
    assert found.extras["series"] == pytest.approx(left, abs=1e-12)
    assert found.value == 0 and found.extras["high"][-1] is None
    median = found.extras["median"]
    assert sum(time > median for time in times) <= len(times) / 2


@given(MATCHES, MAYBE)
def test_it_only_falls_and_its_interval_surrounds_it(
    times: list[float], removed: list[float]
) -> None:
    found = survival(times, removed).extras
    assert found["series"] == sorted(found["series"], reverse=True)
    for low, share, high in zip(found["low"], found["series"], found["high"], strict=True):
        assert low <= share and (high is None or share <= high)


def test_nothing_failed_yet() -> None:
    found = survival([], [3.0, 9.0])
    assert found.value == 1 and found.extras["series"] == [] and "None of 2 failed" in found.because


@pytest.mark.parametrize(
    ("times", "removed", "says"),
    [([], [], "no times"), ([-1.0], [], "below 0"), ([3.0], [-2.0], "below 0")],
)
def test_times_that_cannot_be_read(times: list[float], removed: list[float], says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        survival(times, removed)


def test_ten_thousand_repairs_are_answered() -> None:
    found = survival(
        [float(i % 977 + 1) for i in range(5000)], [float(i % 991 + 1) for i in range(5000)]
    )
    assert 0 <= found.value < 1 and len(found.extras["at"]) == 977


# two kinds of repair


@given(MATCHES, MATCHES, MAYBE, MAYBE)
def test_comparison_by_statsmodels(
    times1: list[float], times2: list[float], removed1: list[float], removed2: list[float]
) -> None:
    times1, times2 = [*times1, 2.0], [*times2, 31.0]
    found = survival_compare(times1, times2, removed1, removed2)
    everything = times1 + removed1 + times2 + removed2
    status = [1] * len(times1) + [0] * len(removed1) + [1] * len(times2) + [0] * len(removed2)
    group = [1] * (len(times1) + len(removed1)) + [2] * (len(times2) + len(removed2))
    statistic, p = survdiff(everything, status, group)
    assert found.value == pytest.approx(float(p), abs=1e-9)
    assert found.extras["z"] ** 2 == pytest.approx(float(statistic), rel=1e-9, abs=1e-12)


@given(MATCHES, MATCHES)
def test_the_order_of_the_kinds_does_not_matter(times1: list[float], times2: list[float]) -> None:
    times1, times2 = [*times1, 31.0], [*times2, 31.0]
    ours, swapped = survival_compare(times1, times2), survival_compare(times2, times1)
    assert swapped.value == pytest.approx(ours.value, abs=1e-12)
    assert swapped.extras["z"] == pytest.approx(-ours.extras["z"], abs=1e-9)


@pytest.mark.parametrize(
    ("groups", "says"),
    [
        (([], [], [3.0], [4.0]), "nothing failed"),
        (([9.0], [], [], [5.0]), "nothing compares"),
        (([], [3.0], [], []), "no times"),
        (([-1.0], [3.0], [], []), "below 0"),
    ],
)
def test_groups_that_cannot_be_compared(groups: tuple[list[float], ...], says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        survival_compare(*groups)


def test_all_failing_at_one_time_compares_nothing() -> None:
    """The log-rank variance is 0 where each failure takes all that is left: no p value, and no
    warning of a division."""
    with pytest.raises(OutOfRange, match="at one time"):
        survival_compare([2.0], [2.0])
