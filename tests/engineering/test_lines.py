"""Lines: NIST's certified fit and statsmodels beside ours; robustness, scaling, and where a limit
is met."""

import math
from statistics import median

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.lines import line, odd_reading, robust_line
from tests.engineering.published_sets import norris

POINTS = st.lists(
    st.tuples(st.integers(0, 200).map(float), st.floats(-50, 50)), min_size=4, max_size=40
)
EXACT_POINTS = st.lists(
    st.tuples(st.integers(0, 200).map(float), st.integers(-400, 400).map(lambda i: i / 8)),
    min_size=4,
    max_size=40,
)


def test_norris_certified_values() -> None:
    """NIST StRD Norris (low difficulty: it proves the formula and its errors, not the numerics)."""
    found = line(*norris())
    assert found.value == pytest.approx(1.00211681802045, rel=1e-10)
    assert found.extras["intercept"] == pytest.approx(-0.262323073774029, rel=1e-10)
    assert found.extras["slope_error"] == pytest.approx(0.429796848199937e-03, rel=1e-8)
    assert found.extras["intercept_error"] == pytest.approx(0.232818234301152, rel=1e-8)
    assert found.extras["residual_sd"] == pytest.approx(0.884796396144373, rel=1e-8)


@given(POINTS)
def test_least_squares_by_statsmodels(points: list[tuple[float, float]]) -> None:
    x, y = [list(column) for column in zip(*points, strict=True)]
    assume(len(set(x)) > 2 and np.std(y) > 0.01)
    found = line(x, y, 0.9)
    fit = sm.OLS(y, sm.add_constant(np.array(x))).fit()
    assume(fit.mse_resid > 1e-9)
    pairs = {
        "slope": fit.params[1],
        "intercept": fit.params[0],
        "slope_error": fit.bse[1],
        "intercept_error": fit.bse[0],
        "r2": fit.rsquared,
        "low": fit.conf_int(0.1)[1][0],
        "high": fit.conf_int(0.1)[1][1],
        "residual_sd": math.sqrt(fit.mse_resid),
        "p": fit.pvalues[1],
    }
    for name, theirs in pairs.items():
        assert found.extras[name] == pytest.approx(float(theirs), rel=1e-6, abs=1e-8), name


@given(POINTS)
def test_robust_slope_is_the_median_of_all_slopes(points: list[tuple[float, float]]) -> None:
    x, y = [list(column) for column in zip(*points, strict=True)]
    assume(len(set(x)) > 1)
    slopes = [
        (y[j] - y[i]) / (x[j] - x[i]) for i in range(len(x)) for j in range(i) if x[i] != x[j]
    ]
    found = robust_line(x, y)
    assert found.value == pytest.approx(median(slopes), abs=1e-9)
    assert found.extras["intercept"] == pytest.approx(median(y) - found.value * median(x), abs=1e-9)
    assert found.extras["low"] <= found.value <= found.extras["high"]


@given(POINTS, st.floats(0.5, 0.99))
def test_robust_interval_by_scipy(points: list[tuple[float, float]], confidence: float) -> None:
    """scipy's formula fails where both x and y have ties, so it is asked where x has none."""
    y = [rise for _, rise in points]
    found = robust_line([float(i) for i in range(len(y))], y, confidence).extras
    theirs = stats.theilslopes(y, range(len(y)), alpha=confidence)
    assert (found["low"], found["high"]) == pytest.approx(
        (float(theirs.low_slope), float(theirs.high_slope)), abs=1e-9
    )


def test_equal_readings_in_one_match_are_a_flat_line() -> None:
    found = robust_line([0.0, 0.0, 0.0, 1.0], [2.0, 2.0, 2.0, 2.0])
    assert (found.value, found.extras["low"], found.extras["high"]) == (0, 0, 0)


@pytest.mark.parametrize("fit", [line, robust_line])
@given(slope=st.floats(-5, 5), intercept=st.floats(-100, 100))
def test_points_on_a_line_give_the_line(fit, slope: float, intercept: float) -> None:
    x = [1.0, 2.0, 4.0, 7.0, 11.0]
    found = fit(x, [slope * at + intercept for at in x])
    assert found.value == pytest.approx(slope, abs=1e-9) and found.extras[
        "intercept"
    ] == pytest.approx(intercept, abs=1e-8)


@pytest.mark.parametrize("fit", [line, robust_line])
@given(
    points=EXACT_POINTS, shift=st.integers(-100, 100), factor=st.sampled_from([0.25, 0.5, 2.0, 8.0])
)
def test_shift_and_scale_carry_over(
    fit, points: list[tuple[float, float]], shift: float, factor: float
) -> None:
    x, y = [list(column) for column in zip(*points, strict=True)]
    assume(len(set(x)) > 2)
    ours, moved = fit(x, y), fit(x, [value * factor + shift for value in y])
    assert moved.value == pytest.approx(ours.value * factor, abs=1e-6)
    assert moved.extras["high"] == pytest.approx(ours.extras["high"] * factor, abs=1e-5)


@pytest.mark.parametrize("fit", [line, robust_line])
@pytest.mark.parametrize("level", [0.0, 5.0, 0.1])
def test_readings_that_are_all_alike_give_a_level_line(fit, level: float) -> None:
    """By hand: no residual, so no error of the slope and no interval about it."""
    found = fit([0.0, 0.0, 1.0, 2.0], [level] * 4)
    assert (found.value, found.extras["low"], found.extras["high"], found.extras["intercept"]) == (
        0,
        0,
        0,
        level,
    )
    assert "nan" not in found.because and "-0" not in found.because
    assert found.extras.get("p", 1) == 1


def test_one_wild_reading_bends_only_the_plain_line() -> None:
    x = [float(i) for i in range(1, 13)]
    y = [0.1 * at for at in x]
    y[10] = 9.0
    assert robust_line(x, y).value == pytest.approx(0.1, abs=1e-9)
    assert line(x, y).value > 0.25


def test_where_a_limit_is_met() -> None:
    """Chain elongation of 0.1 % a match from 0.2 %: 3 % is met at match 28."""
    x = [2.0, 4.0, 6.0, 8.0, 10.0]
    found = robust_line(x, [0.2 + 0.1 * at for at in x], 0.95, 3.0)
    assert found.extras["reach"] == pytest.approx(28) and "meets 3 at 28" in found.because


def test_a_limit_that_is_met_surely_early_and_perhaps_never() -> None:
    x = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0]
    flat = robust_line(x, [1.0, 1.4, 0.8, 1.3, 1.1, 0.9, 1.5, 1.2], 0.95, 3.0).extras
    assert flat["low"] < 0 < flat["high"]
    assert flat["reach_early"] is not None and flat["reach_late"] is None
    rising = robust_line(x, [1.0, 1.11, 1.19, 1.31, 1.38, 1.52, 1.6, 1.71], 0.95, 3.0).extras
    assert rising["reach_early"] < rising["reach"] < rising["reach_late"]
    falling = robust_line(x, [2.0 - 0.1 * at for at in x], 0.95, 3.0)
    assert falling.extras["reach"] is None and "does not approach" in falling.because


@given(POINTS, st.floats(51, 200))
def test_a_crossing_lies_on_its_line(points: list[tuple[float, float]], limit: float) -> None:
    x, y = [list(column) for column in zip(*points, strict=True)]
    assume(len(set(x)) > 1)
    found = robust_line(x, y, 0.95, limit)
    reach = found.extras["reach"]
    assert (reach is None) == (found.value <= 0)
    if reach is not None and found.value > 1e-6:
        assert reach * found.value + found.extras["intercept"] == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize("fit", [line, robust_line])
def test_points_that_carry_no_line(fit) -> None:
    with pytest.raises(OutOfRange, match="two places"):
        fit([3.0, 3.0, 3.0], [1.0, 2.0, 3.0])
    with pytest.raises(OutOfRange, match="as many of each"):
        fit([1.0, 2.0, 3.0], [1.0, 2.0])
    with pytest.raises(OutOfRange, match="as many of each"):
        fit([], [])


def test_ten_thousand_points() -> None:
    x = [float(i) for i in range(10_000)]
    assert line(x, [2 * at for at in x]).value == pytest.approx(2)
    with pytest.raises(OutOfRange, match="at most 2000"):
        robust_line(x, x)


def test_the_place_where_a_limit_is_met_by_the_band_of_statsmodels() -> None:
    """Inverse estimation: the band ends where the confidence limit of the mean crosses the limit
    (Draper and Smith; Fieller 1954)."""
    x, y = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0], [8.1, 8.2, 8.5, 8.4, 8.9, 9.0, 9.0, 9.4]
    found = line(x, y, 0.9, 12.0).extras
    fit = sm.OLS(y, sm.add_constant(np.array(x))).fit()
    for place, edge in ((found["reach_early"], 1), (found["reach_late"], 0)):
        assert fit.get_prediction([[1.0, place]]).conf_int(alpha=0.1)[0][edge] == pytest.approx(
            12.0, abs=1e-9
        )
    assert found["reach_early"] < found["reach"] < found["reach_late"]


@given(
    st.lists(st.integers(-40, 40).map(lambda i: i / 8), min_size=5, max_size=20), st.floats(-20, 20)
)
def test_a_place_belongs_to_the_band_where_the_line_may_meet_the_limit(
    values: list[float], limit: float
) -> None:
    """By trying places: those after the middle at which statsmodels' limits of the mean hold the
    limit are those of the band."""
    x = [float(place) for place in range(len(values))]
    assume(np.std(values) > 0.01)
    found = line(x, values, 0.9, limit).extras
    early, late = found["reach_early"], found["reach_late"]
    fit = sm.OLS(values, sm.add_constant(np.array(x))).fit()
    assume(fit.mse_resid > 1e-6)
    middle = sum(x) / len(x)
    for place in np.linspace(middle, middle + 30, 31):
        low, high = fit.get_prediction([[1.0, place]]).conf_int(alpha=0.1)[0]
        if early is not None and min(abs(limit - low), abs(limit - high)) > 1e-6:
            assert (low <= limit <= high) == (early <= place and (late is None or place <= late))


def test_an_odd_reading_is_found_as_statsmodels_tests_outliers() -> None:
    """The externally studentized residual, its p value times the number of readings (Bonferroni);
    the last one is left alone."""
    random = np.random.default_rng(2)
    y = 8 + 0.1 * np.arange(12) + random.normal(0, 0.1, 12)
    assert odd_reading(range(12), y) is None
    for place, found in ((4, 4), (11, None)):
        shifted = y + 1.5 * (np.arange(12) == place)
        tested = sm.OLS(shifted, sm.add_constant(np.arange(12.0))).fit().outlier_test()
        assert (tested[place][2] < 0.01) and odd_reading(range(12), shifted) == found
