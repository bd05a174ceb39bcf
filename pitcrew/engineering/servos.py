"""Servos and motors: torque at a sagged supply, force at a horn, torque at a speed, springs that
return a stage."""

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text, show
from pitcrew.engineering.constants import GRAVITY
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import count, number, quantity

LEAST_VOLTAGE, MOST_VOLTAGE = 0.5, 1.6  # of the rated voltage
SPRING_LEAST, SPRING_LOW, SPRING_HIGH = 1.25, 1.5, 2.0


@figure(
    "servo-torque",
    "N*m",
    value_is="stall torque at that voltage",
    source="DC motor: stall torque in proportion to voltage; data sheets follow it within 5 %",
    range=(
        "0.5 to 1.6 times the rated voltage: below, the electronics stop; above, nothing is"
        " published"
    ),
    extra_units={"share": "1"},
    rated_torque=quantity("torque", "stall torque of the data sheet", above=0.0),
    rated_voltage=quantity("voltage", "voltage of that torque", above=0.0),
    voltage=quantity("voltage", "voltage at the servo, as sagged", above=0.0),
)
def servo_torque(rated_torque: float, rated_voltage: float, voltage: float) -> Outcome:
    """Stall torque in N*m at another voltage; `share` of the rated one. Raises OutOfRange.

    Example: A servo of 2.5 N·m at 6 V gets only 5 V when the battery sags: 2.5 × 5 / 6 = 2.083 N·m.

        pitcrew figure servo-torque rated_torque="2.5 N*m" rated_voltage="6 V" voltage="5 V"
        servo-torque: 2.083 N·m
    """
    share = voltage / rated_voltage
    if not LEAST_VOLTAGE <= share <= MOST_VOLTAGE:
        raise OutOfRange(
            f"servo-torque: {voltage:g} V arrived for a servo rated at {rated_voltage:g} V; wanted"
            f" {LEAST_VOLTAGE * rated_voltage:g} to {MOST_VOLTAGE * rated_voltage:g} V (torque"
            " follows voltage only near it). Look into its data sheet.",
            "voltage",
        )
    torque = rated_torque * share
    because = (
        f"A servo of {mark(rated_torque, 'torque')} at {mark(rated_voltage, 'voltage')} stalls at"
        f" {mark(torque, 'torque')} with {mark(voltage, 'voltage')}; stall is not a working torque."
    )
    return Outcome(torque, because, {"share": share})


@figure(
    "servo-force",
    "N",
    value_is="force at the end of the horn, square to it",
    source="lever: force = torque / horn radius",
    range="the push is square to the horn",
    torque=quantity("torque", "torque of the servo", above=0.0),
    horn=quantity("length", "radius from the axis to where the horn pushes", above=0.0),
)
def servo_force(torque: float, horn: float) -> Outcome:
    """Force in N at a horn of that radius in m.

    Example: 2 N·m at the end of a 25 mm horn: 2 / 0.025 = 80 N.

        pitcrew figure servo-force torque="2 N*m" horn="25 mm"
        servo-force: 80 N
    """
    force = torque / horn
    because = (
        f"{mark(torque, 'torque')} push with {mark(force, 'force')} at the end of a horn of"
        f" {mark(horn, 'length')}."
    )
    return Outcome(force, because)


@figure(
    "motor-torque",
    "N*m",
    value_is="torque at that speed and the rated voltage",
    source="DC motor line T = Ts(1 - ω/ωn) (MIT 2.007 motor notes print worked values)",
    range="from stall to free speed, one supply voltage",
    extra_units={"power": "W"},
    stall_torque=quantity("torque", "torque at standstill", above=0.0),
    free_speed=quantity("angular_speed", "speed without load", above=0.0),
    speed=quantity("angular_speed", "speed at which the torque is wanted", least=0.0),
)
def motor_torque(stall_torque: float, free_speed: float, speed: float) -> Outcome:
    """Torque in N*m at a speed in rad/s; `power` delivered there in W. Raises OutOfRange above the
    free speed.

    Example: A motor of 4.7 N·m at stall and 6000 rpm free has half its torque left at half its
    speed: 4.7 × (1 - 3000 / 6000) = 2.35 N·m.

        pitcrew figure motor-torque stall_torque="4.7 N*m" free_speed="6000 rpm" speed="3000 rpm"
        motor-torque: 2.35 N·m
    """
    if speed > free_speed:
        raise OutOfRange(
            f"motor-torque: {show(speed, 'rpm', 4)} arrived; wanted at most"
            f" {show(free_speed, 'rpm', 4)}, the free speed (beyond it a motor brakes). Check both"
            " speeds.",
            "speed",
        )
    torque = stall_torque * (1 - speed / free_speed)
    because = (
        f"At {mark(speed, 'angular_speed')} of {mark(free_speed, 'angular_speed')} the motor has"
        f" {mark(torque, 'torque')} left of {mark(stall_torque, 'torque')} at stall."
    )
    return Outcome(torque, because, {"power": torque * speed})


@figure(
    "spring-force",
    "N",
    value_is="least force of each constant-force spring",
    source="common practice: 1.25 times the weight of the stage, 1.5 to 2 times is better",
    range="constant-force springs that lift a stage; sizing, not wear",
    extra_units={"low": "N", "high": "N"},
    mass=quantity("mass", "everything that the springs lift", above=0.0, most=200.0),
    springs=count("springs that share it", least=1, most=20),
    factor=number("times the weight", least=1.0, most=5.0, default=SPRING_LEAST),
)
def spring_force(mass: float, springs: int, factor: float) -> Outcome:
    """Force in N that each spring needs; `low` and `high` bound the better range in N.

    Example: Two springs lift a stage of 4 kg, with a quarter to spare: 4 × 9.80665 × 1.25 / 2 =
    24.52 N each.

        pitcrew figure spring-force mass="4 kg" springs=2
        spring-force: 24.52 N
    """
    weight = mass * GRAVITY.value / springs
    because = (
        f"{mark(mass, 'mass')} on {springs} spring{'s' if springs > 1 else ''} need"
        f" {mark(factor * weight, 'force')} each, {number_text(factor)} times the weight;"
        f" {mark(SPRING_LOW * weight, 'force')} to {mark(SPRING_HIGH * weight, 'force')} is better."
    )
    return Outcome(
        factor * weight, because, {"low": SPRING_LOW * weight, "high": SPRING_HIGH * weight}
    )
