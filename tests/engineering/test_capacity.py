"""The capacity test: charge until the end voltage, crossed on a straight line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.engineering.capacity import capacity_result, delivered, read_points


@given(st.floats(1, 20), st.floats(0.5, 5), st.floats(0.1, 0.9))
def test_a_steady_current_is_current_times_time(amps: float, hours: float, share: float) -> None:
    """The voltage crosses 10.5 V after `share` of the last hour."""
    times = [0.0, hours * 3600, (hours + 1) * 3600]
    volts = [12.7, 10.5 + share, 10.5 - (1 - share)]
    charge, seconds = delivered(times, volts, [amps] * 3)
    assert charge == pytest.approx(amps * (hours + share)) and seconds == pytest.approx(
        (hours + share) * 3600
    )


def test_a_changing_current_is_a_trapezoid() -> None:
    assert delivered([0, 3600], [12.0, 10.5], [10.0, 6.0])[0] == pytest.approx(8.0)


def test_the_correction_is_that_of_the_figure() -> None:
    """At 1 h k = 0.01 per °C: 9 A*h at 15 °C are 10 at 25 °C (a maker's rule, see
    battery-capacity)."""
    assert capacity_result([0, 3600], [12.0, 10.5], [9.0, 9.0], 288.15)[
        "capacity_25"
    ] == pytest.approx(10.0)


@pytest.mark.parametrize(
    "times, volts, said",
    [
        ([0], [12.0], "two points"),
        ([0, 0], [12.0, 10.0], "must rise"),
        ([0, 3600], [12.0, 11.0], "goes down to 10.5 V"),
    ],
)
def test_what_is_no_test_is_said(times: list[float], volts: list[float], said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        delivered(times, volts, [7.5] * len(times))


@pytest.mark.parametrize(
    "text",
    [
        "0 12.7\n30 12.3\n90 10.5",
        "0:00 12.7\n0:30 12.3\n1:30 10.5",
        "0:00:00;12,7\n0:30:00;12,3\n1:30:00;10,5",
        "0:00,12.7\n0:30,12.3\n1:30,10.5",
        "00:00 12.7 V\n30:00 12.3 V\n\n90:00 10.5V",
        "0 12.7\n0:30 12.3\n1:30 10.5",
    ],
    ids=[
        "minutes",
        "hours and minutes",
        "three pieces",
        "by commas",
        "minutes and seconds",
        "mixed",
    ],
)
def test_points_as_testers_write_them(text: str) -> None:
    """1:30 at 7.5 A is 11.25 A*h as hours and minutes and 0.19 as minutes and seconds; 90:00 the
    other way round."""
    assert read_points(text, 7.5) == [(0, 12.7), (1800, 12.3), (5400, 10.5)]


@pytest.mark.parametrize(
    "text, said",
    [
        ("0 12.7\nx y", "Line 2 of the points is 'x y'"),
        ("0:75 12.7", "Line 1"),
        ("0:00 12.7\n0:02 12.3", "hours and minutes, or in minutes and"),
        ("0 12.7 3", "Line 1"),
    ],
)
def test_points_that_cannot_be_told_are_asked_about(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_points(text, 7.5)
