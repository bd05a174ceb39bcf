"""Worm gears: whether the load can turn them back."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import number, quantity
from pitcrew.engineering.ratchets import SURELY_LOCKS, SURELY_RUNS


@figure(
    "worm-hold",
    "1",
    value_is="efficiency when the load drives the worm, at or below 0 when it cannot",
    source=(
        "Shigley: (cos φ - f·cot λ)/(cos φ + f·tan λ), forward (cos φ - f·tan λ)/(cos φ + "
        "f·cot λ); a gear maker's advice: forward below 0.45 locks, 0.45 to 0.55 is uncertain"
    ),
    range="lead angles from 0.5° to 45° and friction up to 0.3; shaking lets any worm creep",
    extra_units={"forward": "1"},
    lead_angle=quantity(
        "angle", "lead angle of the worm", least=math.radians(0.5), most=math.radians(45)
    ),
    friction=number("coefficient of friction at the teeth, the greasy one", above=0.0, most=0.3),
    pressure_angle=quantity(
        "angle",
        "normal pressure angle",
        least=math.radians(10),
        most=math.radians(30),
        default=math.radians(20),
    ),
)
def worm_hold(lead_angle: float, friction: float, pressure_angle: float) -> Outcome:
    """Efficiency backward; `forward` when the motor drives; `locks` where that is sure, `uncertain`
    where no one can say. Raises OutOfRange where the motor could not turn it either.

    Example: A worm of 5° with greasy teeth: (cos(20°) - 0.1 / tan(5°)) / (cos(20°) + 0.1 × tan(5°))
    = -0.2144. Below zero the load cannot turn it.

        pitcrew figure worm-hold lead_angle="5 deg" friction=0.1
        worm-hold: -0.2144
    """
    cosine, slope = math.cos(pressure_angle), math.tan(lead_angle)
    forward = (cosine - friction * slope) / (cosine + friction / slope)
    if forward <= 0:
        raise OutOfRange(
            f"worm-hold: friction {friction:g} stops this worm both ways; wanted less. Check it.",
            "friction",
        )
    backward = (cosine - friction / slope) / (cosine + friction * slope)
    locks, uncertain = forward < SURELY_LOCKS, SURELY_LOCKS <= forward <= SURELY_RUNS
    angle = mark(lead_angle, "angle")
    because = f"A worm of {angle} with a friction of {number_text(friction)} " + (
        "locks when the load drives it, as long as nothing shakes it."
        if locks
        else (
            "may lock or run back, and nobody can say which: it needs a ratchet or brake."
            if uncertain
            else "runs back: it needs a ratchet or brake."
        )
    )
    return Outcome(backward, because, {"forward": forward, "locks": locks, "uncertain": uncertain})
