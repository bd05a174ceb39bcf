"""Timing belts: tension from a tone or from a deflection, and the free span."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import quantity

FEWEST_PITCHES = 20


@figure(
    "belt-tension",
    "N",
    value_is="pull in one strand",
    source="string formula T = 4·m·t²·f² (belt tension meters of the trade use it)",
    range=(
        "the first tone of a free span of 20 belt pitches and more; on shorter spans stiffness"
        " makes it read too high"
    ),
    mass_per_length=quantity(
        "mass_per_length", "mass of the whole belt width per length; weigh a cut belt", above=0.0
    ),
    span=quantity(
        "length", "free span between the points of contact, not the centre distance", above=0.0
    ),
    frequency=quantity("frequency", "first tone of the plucked span", above=0.0, most=5000.0),
    pitch=quantity(
        "length", "belt pitch, to check that the span is long enough", above=0.0, default=None
    ),
)
def belt_tension(
    mass_per_length: float, span: float, frequency: float, pitch: float | None
) -> Outcome:
    """Pull of one strand in N, from kg/m, m and Hz. Raises OutOfRange for a span under 20 pitches,
    where the pitch is given.

    Example: A belt of 35 g per meter sounds at 110 Hz over a free span of 0.3 m: 4 × 0.035 × 0.3^2
    × 110^2 = 152.5 N.

        pitcrew figure belt-tension mass_per_length="35 g/m" span="300 mm" frequency="110 Hz"
        belt-tension: 152.5 N
    """
    if pitch is not None and span < FEWEST_PITCHES * pitch:
        raise OutOfRange(
            f"belt-tension: the span is {span / pitch:.1f} pitches; wanted at least"
            f" {FEWEST_PITCHES} (meter manuals). Use the deflection instead.",
            "span",
        )
    tension = 4 * mass_per_length * span**2 * frequency**2
    because = (
        f"A span of {mark(span, 'length')} that weighs {mark(mass_per_length, 'mass_per_length')}"
        f" and sounds at {mark(frequency, 'frequency')} is pulled with {mark(tension, 'force')};"
        " the shaft feels about twice that."
    )
    return Outcome(tension, because)


@figure(
    "belt-span",
    "m",
    value_is="free span, from contact to contact",
    source="tangent of two circles, t = √(CD² - ((PD-pd)/2)²)",
    range="pulleys that do not overlap, open belt",
    extra_units={"deflection": "m"},
    centre=quantity("length", "distance between the shaft centres", above=0.0),
    diameter1=quantity("length", "pitch diameter of one pulley", above=0.0),
    diameter2=quantity("length", "pitch diameter of the other pulley", above=0.0),
)
def belt_span(centre: float, diameter1: float, diameter2: float) -> Outcome:
    """Free span in m; `deflection` is the 1/64 of it to which a belt is pressed. Raises OutOfRange
    when the pulleys overlap.

    Example: Pulleys of 30 mm and 60 mm stand 400 mm apart. The belt touches them √(400^2 - ((60 -
    30) / 2)^2) = 399.7 mm apart.

        pitcrew figure belt-span centre="400 mm" diameter1="30 mm" diameter2="60 mm" --units metric
        belt-span: 399.7 mm
    """
    if centre <= (diameter1 + diameter2) / 2:
        raise OutOfRange(
            f"belt-span: the centres are {centre * 1000:.4g} mm apart; pulleys of"
            f" {diameter1 * 1000:.4g} and {diameter2 * 1000:.4g} mm overlap there (geometry). Check"
            " the three lengths.",
            "centre",
        )
    half = (diameter1 - diameter2) / 2
    span = math.sqrt((centre - half) * (centre + half))
    because = (
        f"Pulleys of {mark(diameter1, 'length')} and {mark(diameter2, 'length')} at"
        f" {mark(centre, 'length', 4)} leave a free span of {mark(span, 'length', 4)}."
    )
    return Outcome(span, because, {"deflection": span / 64})


@figure(
    "belt-deflection",
    "N",
    value_is="force at mid-span that deflects it by 1/64 of the span",
    source="SDP/SI D790 eq. (1-4), (1-5): F = (T + (t/L)·Y)/16, and 1.1 T for the upper end",
    range=(
        "deflection of one 64th of the span; the stiffness term needs the belt's own Y and length"
    ),
    extra_units={"deflection": "m", "low": "N", "high": "N"},
    tension=quantity("force", "pull wanted in one strand", above=0.0),
    span=quantity("length", "free span", above=0.0),
    length=quantity("length", "pitch length of the whole belt", above=0.0, default=None),
    stiffness=quantity(
        "force", "the maker's constant Y for this belt and width", least=0.0, default=None
    ),
)
def belt_deflection(
    tension: float, span: float, length: float | None, stiffness: float | None
) -> Outcome:
    """Force in N at mid-span for a `deflection` of span/64 in m; `low` and `high` in N bound the
    right tension.

    Example: A strand should be pulled with 150 N. Pressed in by 1/64 of its span it pushes back
    with 150 / 16 = 9.375 N.

        pitcrew figure belt-deflection tension="150 N" span="300 mm"
        belt-deflection: 9.375 N
    """
    if (length is None) != (stiffness is None):
        raise OutOfRange(
            "belt-deflection: length and stiffness belong together; one is missing. Give both or"
            " neither.",
            "length",
        )
    if length is not None and length < 2 * span:
        raise OutOfRange(
            "belt-deflection: the belt is shorter than its two spans (geometry). Check the length.",
            "length",
        )
    stiff = span / length * stiffness if length is not None and stiffness is not None else 0.0
    low, high, deflection = (tension + stiff) / 16, (1.1 * tension + stiff) / 16, span / 64
    because = (
        f"Pressed {mark(deflection, 'length')} at mid-span, a strand pulled with"
        f" {mark(tension, 'force')} answers with {mark(low, 'force')} to {mark(high, 'force')}."
    )
    return Outcome(low, because, {"deflection": deflection, "low": low, "high": high})
