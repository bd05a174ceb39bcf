"""Control charts: the average by its closed form, the limits, and which places signal."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.charts import ewma, individuals

VALUES = st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=50)


@given(VALUES, st.floats(0.05, 1))
def test_the_average_is_a_weighted_sum(values: list[float], weight: float) -> None:
    """E_n = (1 - w)^n E_0 + sum of w (1 - w)^(n - i) x_i."""
    n = len(values)
    closed = (1 - weight) ** n * 10 + sum(
        weight * (1 - weight) ** (n - i) * value for i, value in enumerate(values, start=1)
    )
    found = ewma(values, 10.0, 2.0, weight)
    assert found.value == pytest.approx(closed, abs=1e-9 * (1 + max(map(abs, values))))
    assert len(found.extras["series"]) == n and found.extras["series"][-1] == found.value


@given(VALUES, st.floats(-100, 100), st.floats(0.1, 10))
def test_shift_and_scale_carry_over(values: list[float], shift: float, factor: float) -> None:
    ours = ewma(values, 10.0, 2.0)
    moved = ewma([value * factor + shift for value in values], 10.0 * factor + shift, 2.0 * factor)
    assert moved.value == pytest.approx(ours.value * factor + shift, abs=1e-6)
    assert moved.extras["high"] - moved.extras["low"] == pytest.approx(
        (ours.extras["high"] - ours.extras["low"]) * factor
    )


def test_weight_one_is_the_plain_chart() -> None:
    found = ewma([10.0, 16.1, 9.0], 10.0, 2.0, 1.0)
    assert found.extras["high"] == pytest.approx(16.0)
    assert found.extras["signals"] == [2] and "place 2" in found.because


def test_the_published_drift_gives_no_signal() -> None:
    """NIST 6.3.2.4: all points inside the limits although the values drift visibly at the end."""
    values = [
        52.0,
        47.0,
        53.0,
        49.3,
        50.1,
        47.0,
        51.0,
        50.1,
        51.2,
        50.5,
        49.6,
        47.6,
        49.9,
        51.3,
        47.8,
        51.2,
        52.6,
        52.4,
        53.6,
        52.1,
    ]
    assert ewma(values, 50.0, 2.0539, 0.3).extras["signals"] == []
    assert individuals(values[10:]).extras["signals"] == []


def test_a_lasting_shift_signals_within_a_few_points() -> None:
    assert ewma([10.0] * 5 + [13.0] * 10, 10.0, 1.0, 0.3).extras["signals"][0] in range(6, 10)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=50))
def test_individual_limits_are_symmetric_about_the_mean(values: list[float]) -> None:
    found = individuals(values)
    assert found.value == pytest.approx(math.fsum(values) / len(values))
    assert found.extras["low"] + found.extras["high"] == pytest.approx(2 * found.value, abs=1e-9)
    outside = [
        place
        for place, value in enumerate(values, start=1)
        if not found.extras["low"] <= value <= found.extras["high"]
    ]
    assert found.extras["signals"] == outside


def test_a_jump_signals_in_the_individuals_chart() -> None:
    assert individuals([10.0, 10.2, 9.9, 10.1, 10.0, 9.8, 14.0, 10.1, 10.0]).extras["signals"] == [
        7
    ]


def test_too_few_values_are_refused() -> None:
    with pytest.raises(OutOfRange, match="no values"):
        ewma([], 1.0, 1.0)
    with pytest.raises(OutOfRange, match="at least 2"):
        individuals([1.0])
