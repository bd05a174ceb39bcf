"""What a hold path has to carry: design factors, drums with several layers, stall, swing."""

import math

from pitcrew.base.units import mark, number_text
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import choice, count, number, quantity

HOLD_FACTORS: dict[str, tuple[float, str, str]] = {
    "textile": (7.0, "A cord or webbing", "the European rule for textile slings and ropes"),
    "wire rope": (5.0, "A wire rope", "the European and American rules"),
    "chain": (6.0, "A roller chain", "its makers' rule for the working load, at the weakest link"),
    "short-link chain": (4.0, "A short-link chain", "the European rule for lifting chain"),
    "metal": (4.0, "A metal part", "the European rule for lifting gear"),
}
YIELD_FACTOR = 2.0
"""Yield over load that a metal part must also have (common practice)."""


@figure(
    "hold-factor",
    "1",
    value_is="breaking force over load that a part must have where it holds a robot up",
    source=(
        "Machinery Directive 2006/42/EC, annex I, 4.1.2.5 and EN 1492, EN 13414-1, EN 818-4 "
        "(from memory): textile 7, wire rope 5, short-link chain and metal 4; roller chain makers' "
        "working load: a sixth of the breaking force; 2 against yield is common practice"
    ),
    range="the materials named here; chain is roller chain, the stricter of the two kinds",
    material=choice(
        "what the part is made of",
        *HOLD_FACTORS,
        others={
            "cord": "textile",
            "fiber rope": "textile",
            "fibre rope": "textile",
            "webbing": "textile",
            "wire-rope": "wire rope",
            "wire_rope": "wire rope",
            "cable": "wire rope",
            "roller chain": "chain",
            "roller-chain": "chain",
            "short link chain": "short-link chain",
            "link chain": "short-link chain",
            "steel": "metal",
            "aluminum": "metal",
            "aluminium": "metal",
        },
    ),
)
def hold_factor(material: str) -> Outcome:
    """Factor against breaking; for metal also the factor against `yield`.

    Example: A cord that holds the robot up must be 7 times as strong as its load: a robot that
    pulls with 600 N needs a cord of 7 × 600 = 4200 N.

        pitcrew figure hold-factor material=textile
        hold-factor: 7
    """
    factor, part, rule = HOLD_FACTORS[material]
    because = f"{part} that holds a robot up needs a factor of {factor:g} against breaking ({rule})"
    if material == "metal":
        return Outcome(
            factor,
            because + f", and of {YIELD_FACTOR:g} before it bends for good.",
            {"yield": YIELD_FACTOR},
        )
    return Outcome(factor, because + ".")


def winding_diameter(drum: float, rope: float, layers: int) -> float:
    """Diameter in m of the circle that the rope's middle makes in the outermost layer."""
    return drum + (2 * layers - 1) * rope


@figure(
    "drum-torque",
    "N*m",
    value_is="torque of the load on the drum, with the rope in its outermost layer",
    source=(
        "statics: torque = load × (drum + (2·layers - 1)·rope) / 2; winch makers print the same "
        "loss of pull from layer to layer"
    ),
    range="layers wound one on top of the other; where they nest, the torque is a little less",
    extra_units={"radius": "m"},
    load=quantity("force", "pull in the rope", above=0.0),
    drum=quantity("length", "diameter of the bare drum", above=0.0),
    rope=quantity("length", "diameter of the rope", least=0.0),
    layers=count("layers of rope on the drum when the robot hangs", least=1, most=50),
)
def drum_torque(load: float, drum: float, rope: float, layers: int) -> Outcome:
    """Torque in N*m at the middle of the outermost layer, whose `radius` is in m.

    Example: 300 N of pull, a drum of 40 mm, rope of 4 mm in its second layer: 300 × (0.04 + (2 × 2
    - 1) × 0.004) / 2 = 7.8 N·m.

        pitcrew figure drum-torque load="300 N" drum="40 mm" rope="4 mm" layers=2
        drum-torque: 7.8 N·m
    """
    radius = winding_diameter(drum, rope, layers) / 2
    torque = load * radius
    more = winding_diameter(drum, rope, layers) / winding_diameter(drum, rope, 1)
    grown = f", {number_text(more)} times that of the first layer" if layers > 1 else ""
    because = (
        f"{mark(load, 'force')} in layer {layers} pulls {mark(radius, 'length', 4)} from the "
        f"middle of the drum: {mark(torque, 'torque')}{grown}."
    )
    return Outcome(torque, because, {"radius": radius})


@figure(
    "stall-pull",
    "N",
    value_is="pull in the rope when every motor stalls against a hard stop",
    source="statics: all motors × ratio over the radius of the innermost layer, efficiency 1",
    range="motors at a standstill; running into the stop adds the energy of the spinning rotors",
    extra_units={"torque": "N*m"},
    stall_torque=quantity("torque", "stall torque of one motor", above=0.0),
    motors=count("motors on the winch", least=1, most=20),
    ratio=number("motor turns per drum turn", above=0.0, most=10_000.0),
    drum=quantity("length", "diameter of the bare drum", above=0.0),
    rope=quantity("length", "diameter of the rope", least=0.0),
)
def stall_pull(stall_torque: float, motors: int, ratio: float, drum: float, rope: float) -> Outcome:
    """Pull in N on the innermost layer, where it is greatest; `torque` at the drum in N*m.

    Example: One motor stalls at 2.6 N·m through 20 to 1 on a 40 mm drum with 4 mm rope: 2.6 × 20 /
    ((0.04 + 0.004) / 2) = 2364 N. That is the weight of four robots.

        pitcrew figure stall-pull stall_torque="2.6 N*m" motors=1 ratio=20 drum="40 mm" rope="4 mm"
        stall-pull: 2364 N
    """
    torque = stall_torque * motors * ratio
    pull = torque / (winding_diameter(drum, rope, 1) / 2)
    stalled = f"{motors} motors stall" if motors > 1 else "the motor stalls"
    because = (
        f"When {stalled} at {mark(stall_torque, 'torque')}{' each' if motors > 1 else ''} through "
        f"{number_text(ratio)} to 1, the rope is pulled with {mark(pull, 'force')}. Running into "
        "the stop adds the rotors' energy."
    )
    return Outcome(pull, because, {"torque": torque})


@figure(
    "swing-factor",
    "1",
    value_is="largest pull over the weight at rest when let go at that angle",
    source="pendulum let go at rest: 3 - 2·cos θ at the bottom; held aside at rest: 1/cos θ",
    range="0° to 90° from straight down, on a taut line that does not stretch",
    angle=quantity("angle", "angle of the line from straight down", least=0.0, most=math.pi / 2),
)
def swing_factor(angle: float) -> Outcome:
    """Peak over static pull of a pendulum; `held` is the factor while it is held aside at rest.

    `held` is missing at 90°, where no pull is large enough.

    Example: A robot let go at 30° swings through the bottom with 3 - 2 × cos(30°) = 1.268 times its
    weight.

        pitcrew figure swing-factor angle="30 deg"
        swing-factor: 1.268
    """
    swing, upright = 3 - 2 * math.cos(angle), math.cos(angle)
    because = (
        f"A robot that is let go at {mark(angle, 'angle')} pulls with {number_text(swing)} times "
        "its weight at the bottom of the swing."
    )
    return Outcome(swing, because, {"held": 1 / upright} if upright > 1e-6 else {})
