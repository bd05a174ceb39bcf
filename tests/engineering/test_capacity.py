"""The capacity test: charge until the end voltage, crossed on a straight line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.engineering.capacity import capacity_result, delivered, read_points, started


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
        "0,12.7\n30,12.3\n90,10.5",
        "0min 12.7v\n30min 12.3v\n90min 10.5v",
        "0 minutes 12.7 volts\n30 minutes 12.3 volts\n90 minutes 10.5 volts",
        "0h00 12.7\n0h30 12,3\n1h30 10.5",
        "0 - 12.7\n30 - 12.3\n90 = 10.5",
    ],
    ids=[
        "minutes",
        "hours and minutes",
        "three pieces",
        "by commas",
        "minutes and seconds",
        "mixed",
        "minutes by commas",
        "units without a blank",
        "units in words",
        "an h between hours and minutes",
        "marks between",
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


def test_a_testers_clock_starts_at_0() -> None:
    """7.5 A for 1 h 50 min are 13.75 A*h, not the 10 A*h of the last 80 minutes alone."""
    points = read_points("0:30 12.3\n1:00 11.9\n1:50 10.5", 7.5)
    times, volts = [at for at, _ in points], [value for _, value in points]
    result = capacity_result(times, volts, [7.5] * 3, 298.15, start=started(times))
    assert result["capacity"] == pytest.approx(13.75) and result["seconds"] == 6600


@pytest.mark.parametrize("times", [[4800, 6000], [2700, 3600, 4500], [32_400, 36_000]])
def test_a_start_that_the_points_do_not_show_is_asked_for(times: list[float]) -> None:
    with pytest.raises(BadInput, match="Did the discharge start at 0"):
        started(times)
    assert started([0, *times]) == 0


def test_a_test_that_begins_empty_is_none() -> None:
    with pytest.raises(OutOfRange, match=r"10\.4 V already"):
        delivered([0, 3600], [10.4, 10.2], [7.5, 7.5])
