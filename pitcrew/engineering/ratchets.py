"""Holding a robot in the air: ratchet, pawl, drop and impact."""

import math

from pitcrew.base.units import mark, number_text
from pitcrew.engineering.constants import GRAVITY, KSI
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.holding import winding_diameter
from pitcrew.engineering.parameters import choice, count, number, quantity, yes_no

RATCHET_SHAPES = ((12, 50.0), (20, 35.0), (math.inf, 20.0))  # teeth up to, factor F
RATCHET_STRESS = {"shock": 2.5 * KSI.value, "steady": 4.0 * KSI.value}
STATICS = (
    "statics of a winch: torque = load × (drum + rope) / 2, tooth force = torque / pawl radius"
)
LAYERS = count("layers of rope on the drum; the outermost counts", least=1, most=50, default=1)


@figure(
    "ratchet-hold",
    "N",
    value_is="force on the ratchet tooth, at the radius where the pawl bears",
    source=STATICS,
    range="a robot at rest; efficiency is taken as 1, so that friction helps nobody",
    extra_units={"torque": "N*m", "drum_torque": "N*m", "tension": "N", "load": "N"},
    mass=quantity("mass", "robot as it climbs: bumpers and battery on", above=0.0, most=1000.0),
    drum=quantity("length", "diameter of the drum", above=0.0),
    rope=quantity("length", "diameter of the rope", least=0.0),
    lines=count("separate lines wound on the drum", least=1, most=20),
    ratio=number("ratchet turns per drum turn", above=0.0, most=1000.0),
    pawl_radius=quantity("length", "from the ratchet's axis to where the pawl bears", above=0.0),
    parts=count(
        "parts of rope that one reeved line holds the load with", least=1, most=20, default=1
    ),
    equalised=yes_no("an equaliser shares the load over the lines", default=False),
    layers=LAYERS,
)
def ratchet_hold(
    mass: float,
    drum: float,
    rope: float,
    lines: int,
    ratio: float,
    pawl_radius: float,
    parts: int,
    equalised: bool,
    layers: int,
) -> Outcome:
    """Tooth force in N; `torque` at the ratchet, `drum_torque`, `tension` in the line that must
    hold, `load`, all SI.

    Lines on one drum do not divide the torque; `parts` of one reeved line divide the tension and
    with it the torque. Separate lines share the tension only where an equaliser is stated.

    Example: 60 kg hang on a 40 mm drum with 4 mm rope: 60 × 9.80665 × (0.04 + 0.004) / 2 = 12.945
    N·m. The pawl bears 30 mm from the axis: 12.945 / 0.03 = 431.5 N.

        pitcrew figure ratchet-hold mass="60 kg" drum="40 mm" rope="4 mm" lines=1 ratio=1 \\
            pawl_radius="30 mm"
        ratchet-hold: 431.5 N
    """
    load = mass * GRAVITY.value
    at_drum = load / parts
    drum_torque = at_drum * winding_diameter(drum, rope, layers) / 2
    torque = drum_torque / ratio
    force = torque / pawl_radius
    tension = at_drum / lines if equalised else at_drum
    shared = (
        "The lines share it through the equaliser."
        if equalised
        else f"Any one of the {lines} lines must hold it all: no equaliser."
    )
    because = (
        f"{mark(mass, 'mass')} on a drum of {mark(drum, 'length')}{_in_layer(layers)} put"
        f" {mark(torque, 'torque')} on the ratchet and {mark(force, 'force')} on a tooth at"
        f" {mark(pawl_radius, 'length')}; efficiency 1, because friction cannot be counted on to"
        " hold." + (f" {shared}" if lines > 1 else "")
    )
    return Outcome(
        force,
        because,
        {"torque": torque, "drum_torque": drum_torque, "tension": tension, "load": load},
    )


def _in_layer(layers: int) -> str:
    return f" with {layers} layers of rope" if layers > 1 else ""


def drop_per_tooth(drum: float, teeth: int, ratio: float, rope: float, layers: int = 1) -> float:
    """Rope in m that runs out of the outermost layer between two teeth of the ratchet."""
    return math.pi * winding_diameter(drum, rope, layers) / (teeth * ratio)


@figure(
    "ratchet-drop",
    "m",
    value_is="longest fall before a tooth catches",
    source=(
        "geometry: one tooth of the ratchet at the drum, plus speed × latency of the release servo,"
        " and g·latency²/2 where nothing else holds meanwhile"
    ),
    range="a pawl that needs at most one tooth to seat",
    extra_units={"per_tooth": "m", "delay": "m"},
    drum=quantity("length", "diameter of the drum", above=0.0),
    teeth=count("teeth of the ratchet", least=2, most=1000),
    ratio=number("ratchet turns per drum turn", above=0.0, most=1000.0),
    latency=quantity(
        "time", "time until the pawl is free to fall", least=0.0, most=10.0, default=0.0
    ),
    speed=quantity("speed", "speed of the rope meanwhile", least=0.0, most=20.0, default=0.0),
    rope=quantity("length", "diameter of the rope, where it counts", least=0.0, default=0.0),
    layers=LAYERS,
    free=yes_no(
        "nothing holds during the latency, so that the robot falls faster and faster", default=False
    ),
)
def ratchet_drop(
    drum: float,
    teeth: int,
    ratio: float,
    latency: float,
    speed: float,
    rope: float,
    layers: int,
    free: bool,
) -> Outcome:
    """Longest fall in m: `per_tooth` of the ratchet and `delay` of the servo, both in m.

    Example: A wheel of 12 teeth sits right on a 40 mm drum: at worst the robot falls by one tooth,
    π × 40 / 12 = 10.47 mm.

        pitcrew figure ratchet-drop drum="40 mm" teeth=12 ratio=1 --units metric
        ratchet-drop: 10.47 mm
    """
    per_tooth = drop_per_tooth(drum, teeth, ratio, rope, layers)
    delay = latency * speed + (GRAVITY.value * latency**2 / 2 if free else 0.0)
    because = (
        f"{teeth} teeth at {number_text(ratio)} ratchet turns a drum turn catch within"
        f" {mark(per_tooth, 'length')}"
        + (f"; {mark(latency, 'time')} of latency add {mark(delay, 'length')}." if delay else ".")
    )
    return Outcome(per_tooth + delay, because, {"per_tooth": per_tooth, "delay": delay})


@figure(
    "impact-factor",
    "1",
    value_is="peak load over static load",
    source=(
        "energy of a falling load on an elastic line, n = 1 + √(1 + 2h/δ + v²/(g·δ)); h is the drop"
        " and what falls in the latency, v·t + g·t²/2"
    ),
    range=(
        "elastic line, load falls freely; sudden loading without any fall already doubles the load"
    ),
    extra_units={"fall": "m", "caught_at": "m/s"},
    drop=quantity(
        "length",
        "free fall before the line is taut, without that of the latency",
        least=0.0,
        most=10.0,
    ),
    stretch=quantity(
        "length", "stretch of the line under the same load at rest", above=0.0, most=10.0
    ),
    speed=quantity(
        "speed", "speed downward when the fall begins", least=0.0, most=20.0, default=0.0
    ),
    latency=quantity(
        "time", "time that it falls before the pawl is free", least=0.0, most=10.0, default=0.0
    ),
)
def impact_factor(drop: float, stretch: float, speed: float, latency: float) -> Outcome:
    """Peak over static load of a fall `drop` onto a line that stretches `stretch` at rest, both in
    m.

    `fall` is the whole fall in m, `caught_at` the speed in m/s at which the line gets taut.

    Example: A robot falls 10 mm into a rope that stretches 5 mm under it at rest: 1 + √(1 + 2 × 10
    / 5) = 3.236 times its weight. Even with no fall it would be 2.

        pitcrew figure impact-factor drop="10 mm" stretch="5 mm"
        impact-factor: 3.236
    """
    gravity = GRAVITY.value
    fall = drop + speed * latency + gravity * latency**2 / 2
    factor = 1 + math.sqrt(1 + 2 * fall / stretch + speed**2 / (gravity * stretch))
    from_speed = f" from {mark(speed, 'speed')} on" if speed else ""
    waited = f", {mark(fall - drop, 'length')} of it before the pawl is free," if latency else ""
    because = (
        f"Falling {mark(fall, 'length')}{from_speed}{waited} onto a line that stretches"
        f" {mark(stretch, 'length')} at rest loads it with {number_text(factor)} times the load at"
        " rest."
    )
    caught_at = math.sqrt(speed**2 + 2 * gravity * fall)
    return Outcome(factor, because, {"fall": fall, "caught_at": caught_at})


@figure(
    "hold-slip",
    "1",
    value_is="ratchet teeth that a measured slip amounts to",
    source="geometry: one tooth of the ratchet at the drum",
    range=(
        "a timed hold test, low and over a mat; settling by up to one tooth is the pawl seating,"
        " more is slipping"
    ),
    extra_units={"per_tooth": "m"},
    slip=quantity("length", "how far the robot sank in the test", least=0.0, most=5.0),
    drum=quantity("length", "diameter of the drum", above=0.0),
    teeth=count("teeth of the ratchet", least=2, most=1000),
    ratio=number("ratchet turns per drum turn", above=0.0, most=1000.0),
    rope=quantity("length", "diameter of the rope, where it counts", least=0.0, default=0.0),
    layers=LAYERS,
)
def hold_slip(
    slip: float, drum: float, teeth: int, ratio: float, rope: float, layers: int
) -> Outcome:
    """Teeth that a slip in m amounts to; `per_tooth` in m.

    Example: The robot sank 10 mm. A tooth at the drum is π × 40 / 12 = 10.47 mm, so that is 10 /
    10.47 = 0.955 teeth: the pawl may just have seated.

        pitcrew figure hold-slip slip="10 mm" drum="40 mm" teeth=12 ratio=1
        hold-slip: 0.9549
    """
    per_tooth = drop_per_tooth(drum, teeth, ratio, rope, layers)
    slipped = slip / per_tooth
    verdict = "the pawl may only have seated" if slipped <= 1 else "the ratchet did not hold"
    because = (
        f"It sank {mark(slip, 'length')}, which is {number_text(slipped)} teeth of"
        f" {mark(per_tooth, 'length')}: {verdict}."
    )
    return Outcome(slipped, because, {"per_tooth": per_tooth})


@figure(
    "ratchet-pitch",
    "m",
    value_is="least circular pitch of the ratchet's teeth",
    source=(
        "Machinery's Handbook, ratchet gearing: P = √(F·M/(L·S·N)), F 50 to 12 teeth, 35 to 20,"
        " else 20; S 2500 psi shock, 4000 psi steady"
    ),
    range="a ratchet of 5 teeth and more in ordinary steel",
    extra_units={"module": "m", "diameter": "m"},
    torque=quantity("torque", "torque on the ratchet", above=0.0),
    width=quantity("length", "face width of the ratchet", above=0.0),
    teeth=count("teeth of the ratchet", least=5, most=1000),
    service=choice("how the load comes on", "shock", "steady", default="shock"),
)
def ratchet_pitch(torque: float, width: float, teeth: int, service: str) -> Outcome:
    """Least circular pitch in m for a torque in N*m; the `module` (pitch/π) and `diameter` of such
    a ratchet in m.

    Example: 13 N·m on a wheel of 12 teeth, 12 mm wide, with shock: 50 is the handbook's number up
    to 12 teeth and 17.24 MPa the steel's stress: √(50 × 13000 / (12 × 17.24 × 12)) = 16.18 mm from
    tooth to tooth.

        pitcrew figure ratchet-pitch torque="13 N*m" width="12 mm" teeth=12 --units metric
        ratchet-pitch: 16.18 mm
    """
    shape = next(factor for most, factor in RATCHET_SHAPES if teeth <= most)
    pitch = math.sqrt(shape * torque / (width * RATCHET_STRESS[service] * teeth))
    diameter = pitch * teeth / math.pi
    because = (
        f"{mark(torque, 'torque')} with {service} on {teeth} teeth {mark(width, 'length')} wide"
        f" need a circular pitch of {mark(pitch, 'length')} or more, a ratchet of"
        f" {mark(diameter, 'length')}."
    )
    return Outcome(pitch, because, {"module": pitch / math.pi, "diameter": diameter})


SURELY_LOCKS, SURELY_RUNS = 0.45, 0.55
"""Efficiencies of a worm drive: below the first it locks, above the second it does not; between,
no one knows."""


@figure(
    "back-drive",
    "1",
    value_is="efficiency when the load drives, at or below 0 when it locks",
    source=(
        "reverse efficiency of screws and worms, 2 - 1/η (common practice); a gear maker's advice:"
        " below 0.45 it locks, 0.45 to 0.55 is uncertain, above it runs back"
    ),
    range="screws and worms with equal friction both ways",
    efficiency=number("efficiency when the motor drives", above=0.0, most=1.0),
)
def back_drive(efficiency: float) -> Outcome:
    """Reverse efficiency of a screw or worm; `locks` is true only where it is sure to, below 0.45;
    `uncertain` is true from 0.45 to 0.55.

    Example: A worm drive that works at 40 % going forward: 2 - 1 / 0.4 = -0.5. Below zero it locks.

        pitcrew figure back-drive efficiency=0.4
        back-drive: -0.5
    """
    reverse = 2 - 1 / efficiency
    locks, uncertain = efficiency < SURELY_LOCKS, SURELY_LOCKS <= efficiency <= SURELY_RUNS
    because = f"A drive of efficiency {number_text(efficiency)} " + (
        "locks when the load drives it, as long as it does not shake."
        if locks
        else (
            "may lock or run back, and nobody can say which: it needs a ratchet or brake."
            if uncertain
            else f"runs back with efficiency {number_text(reverse)}: it needs a ratchet or brake."
        )
    )
    return Outcome(reverse, because, {"locks": locks, "uncertain": uncertain})
