"""Wires, bus and air: scaling, and the words that a reading earns."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.engineering.electrical import bus_resistance, wire_diameter, wire_drop
from pitcrew.engineering.pneumatics import leak_rate

GAUGE = st.integers(-3, 40)


def test_the_ends_of_the_gauge_standard() -> None:
    """ASTM B258: gauge 36 is 0.005 in and gauge 0000 is 0.46 in exactly."""
    assert wire_diameter(36) == pytest.approx(0.005 * 0.0254, rel=1e-12)
    assert wire_diameter(-3) == pytest.approx(0.46 * 0.0254, rel=1e-12)


@given(GAUGE, st.floats(0.01, 100), st.floats(0.1, 300), st.floats(1.1, 5))
def test_drop_is_proportional_to_length_and_current(
    gauge: int, length: float, current: float, factor: float
) -> None:
    drop = wire_drop(length, gauge, current).value
    assert wire_drop(length * factor, gauge, current).value == pytest.approx(
        drop * factor, rel=1e-9
    )
    assert wire_drop(length, gauge, current * factor).value == pytest.approx(
        drop * factor, rel=1e-9
    )


@given(st.integers(-3, 34))
def test_six_gauges_halve_the_diameter(gauge: int) -> None:
    ratio = wire_drop(1, gauge + 6, 1).value / wire_drop(1, gauge, 1).value
    assert ratio == pytest.approx(92 ** (12 / 39), rel=1e-9)


def test_resistance_is_that_of_both_conductors() -> None:
    found = wire_drop(2.0, 12, 10.0)
    area = math.pi / 4 * found.extras["diameter"] ** 2
    assert found.extras["resistance"] == pytest.approx(1.7241e-8 * 4.0 / area)
    assert found.value == pytest.approx(10 * found.extras["resistance"])


@pytest.mark.parametrize(
    ("ohms", "ends", "fits", "word"),
    [
        (60, 2, 1, "both ends"),
        (55, 2, 1, "both ends"),
        (120, 1, 1, "One end is missing"),
        (40, 3, 1, "Take the extra"),
        (75, 2, 0, "poor contact"),
        (180, 1, 0, "poor contact"),
        (241, 0, 1, "open"),
        (1e6, 0, 1, "open"),
        (1, 120, 1, "short"),
    ],
)
def test_what_a_meter_across_the_bus_says(ohms: float, ends: int, fits: int, word: str) -> None:
    found = bus_resistance(ohms)
    assert (found.value, found.extras["fits"]) == (ends, fits)
    assert word in found.because


@given(st.integers(1, 4), st.floats(100.001, 129.999))
def test_terminators_within_their_tolerance_are_counted(ends: int, each: float) -> None:
    assert bus_resistance(each / ends).value == ends


@given(st.floats(1e-4, 1e-2), st.floats(1e3, 8e5), st.floats(10, 600), st.floats(1.1, 10))
def test_leak_scales_with_volume_drop_and_time(
    volume: float, drop: float, time: float, factor: float
) -> None:
    leak = leak_rate(volume, drop, time).value
    assert leak_rate(volume * factor, drop, time).value == pytest.approx(leak * factor)
    assert leak_rate(volume, drop * factor, time).value == pytest.approx(leak * factor)
    assert leak_rate(volume, drop, time * factor).value == pytest.approx(leak / factor)


def test_leak_in_moles_is_that_of_the_regulation_example() -> None:
    """40 CFR 1065.644: V (p2/T2 - p1/T1) / (R dt) with its numbers, by the ideal gas law from our
    free-air flow."""
    moles = leak_rate(0.002, 25300, 70).value * 101325 / (8.314472 * 293.15)
    assert moles == pytest.approx(
        0.002 / 8.314472 * (50600 / 293.15 - 25300 / 293.15) / 70, rel=1e-12
    )
