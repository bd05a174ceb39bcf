"""Servos and motors: ranges and laws."""

import pytest

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.catalogue import find


@pytest.mark.parametrize(
    ("voltage", "allowed"), [(3.0, True), (9.6, True), (2.99, False), (9.61, False)]
)
def test_servo_torque_holds_near_the_rated_voltage(voltage: float, allowed: bool) -> None:
    arguments = {"rated_torque": 1.0, "rated_voltage": 6.0, "voltage": voltage}
    if allowed:
        assert find("servo-torque").compute(arguments).value == pytest.approx(voltage / 6)
    else:
        with pytest.raises(OutOfRange, match=r"wanted 3 to 9\.6 V"):
            find("servo-torque").compute(arguments)


def test_power_is_greatest_at_half_speed() -> None:
    figure = find("motor-torque")
    powers = [
        figure.compute({"stall_torque": 0.3, "free_speed": 60.0, "speed": speed}).extras["power"]
        for speed in range(0, 61, 5)
    ]
    assert max(powers) == powers[6] == pytest.approx(0.3 * 60 / 4)


def test_a_motor_stops_pulling_at_its_free_speed() -> None:
    figure = find("motor-torque")
    assert figure.compute({"stall_torque": 0.3, "free_speed": 60.0, "speed": 60.0}).value == 0
    with pytest.raises(OutOfRange, match="free speed"):
        figure.compute({"stall_torque": 0.3, "free_speed": 60.0, "speed": 60.1})


def test_springs_share_the_stage() -> None:
    figure = find("spring-force")
    assert figure.compute({"mass": 6.0, "springs": 2}).value == pytest.approx(
        figure.compute({"mass": 6.0, "springs": 1}).value / 2
    )
