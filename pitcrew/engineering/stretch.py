"""How far a line stretches under load. Of sources that disagree the stiffer counts, because a line
that stretches less catches a fall harder."""

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.constants import INCH, POUND_FORCE
from pitcrew.engineering.cords import FIBER, fiber_name, fiber_words
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import number, quantity, text
from pitcrew.engineering.ropes import rope_material

_PSI = POUND_FORCE.value / INCH.value**2
# A cable maker's stretch factors G for E% = W·G/D² in pounds and inches: carbon, stainless.
# The print has 7.35e-5 for 1x7 stainless, ten times its neighbors: a slip, read as 7.35e-6.
MAKERS_G: dict[str, tuple[float, float]] = {
    "1x7": (6.61e-6, 7.35e-6),
    "1x19": (6.98e-6, 7.79e-6),
    "7x7": (1.07e-5, 1.20e-5),
    "7x19": (1.40e-5, 1.62e-5),
    "6x19": (1.36e-5, 1.57e-5),
    "6x37": (1.44e-5, 1.60e-5),
    "19x7": (1.78e-5, 1.97e-5),
}
# A planning table, upper ends: modulus in psi times the metal's share of the circle, for carbon.
_PLANNED_STIFFNESS = {"7x19": 12e6 * 0.56, "6x19": 14e6 * 0.62, "19x7": 15e6 * 0.60}
_CIRCLE = 0.7853981633974483  # π/4
# Settling of a new rope as a part of its length: the planning table's upper ends; makers: under 1 %
_SETTLING = {"7x19": 0.0175, "6x19": 0.010, "19x7": 0.009}
_SETTLING_BY_MAKERS = 0.01
_OTHER_MAKES = other_names(
    {"6x19": "6x19 iwrc; 6x19iwrc", "6x37": "6x37 iwrc", "1x19": "1x19 strand"}
)
MOST_ELASTIC = 0.02  # ropes of wire break before they are this much longer


def rope_stiffness(construction: object, material: object) -> float:
    """E·A/d² of a wire rope in Pa, the stiffest that is published. Raises UnknownName."""
    make, (carbon, stainless) = row("The rope construction", construction, MAKERS_G, _OTHER_MAKES)
    metal = rope_material(material)[0]
    planned = _PLANNED_STIFFNESS.get(make, 0.0) * _CIRCLE if metal == "carbon" else 0.0
    return max(100 / (carbon if metal == "carbon" else stainless), planned) * _PSI


@figure(
    "rope-stretch",
    "m",
    value_is="elastic stretch of a wire rope under the load",
    source=(
        "cable maker's E% = W·G/D² by construction and metal, and a planning table (modulus × "
        "metal share); where the two disagree the stiffer counts"
    ),
    range="wire rope within its elastic range: up to 2 % longer, where it would break",
    extra_units={"settling": "m", "stiffness": "N/m"},
    diameter=quantity("length", "diameter of the rope", above=0.0, most=0.1),
    construction=text("strands and wires in each", *MAKERS_G),
    material=text("metal of the wires", "carbon", "stainless"),
    length=quantity("length", "length of rope under load", above=0.0, most=1000.0),
    load=quantity("force", "pull in the rope", least=0.0),
)
def rope_stretch(
    diameter: float, construction: str, material: str, length: float, load: float
) -> Outcome:
    """Elastic stretch in m; `settling` is what a new rope may lengthen for good when it is first
    loaded, in m; `stiffness` in N/m. Raises UnknownName and OutOfRange.

    Example: 600 N are 134.9 lbf and 3.2 mm are 0.126 in. By the cable maker's rule 7x19 stainless
    stretches 134.9 × 0.0000162 / 0.126^2 = 0.1377 %, of 1 m that is 1.377 mm.

        pitcrew figure rope-stretch diameter="3.2 mm" construction=7x19 material=stainless \\
            length="1 m" load="600 N" --units metric
        rope-stretch: 1.377 mm
    """
    make = row("The rope construction", construction, MAKERS_G, _OTHER_MAKES)[0]
    rate = rope_stiffness(construction, material) * diameter**2 / length
    stretch = load / rate
    if stretch > MOST_ELASTIC * length:
        raise OutOfRange(
            f"rope-stretch: {load:.4g} N would make a {diameter * 1000:.4g} mm {make} rope "
            f"{100 * stretch / length:.3g} % longer; it breaks before 2 %. Check the diameter and "
            "the load.",
            "load",
        )
    settling = _SETTLING.get(make, _SETTLING_BY_MAKERS) * length
    because = (
        f"{mark(load, 'force')} stretches {mark(length, 'length')} of "
        f"{mark(diameter, 'length', 4)} {make} rope by {mark(stretch, 'length')}. A new one "
        f"also settles by up to {mark(settling, 'length')}, once: load it fully twice first."
    )
    return Outcome(stretch, because, {"settling": settling, "stiffness": rate})


# (part longer, part of the breaking force) by each source; the stiffest counts
ELONGATION: dict[str, tuple[tuple[float, float], ...]] = {
    "hmpe": ((0.035, 1.0),),  # fiber at break, from memory
    "aramid": ((0.037, 1.0),),
    "polyester": ((0.14, 1.0), (0.035, 0.30)),  # the fiber at break; a rope at 30 % of its strength
    "nylon": ((0.19, 1.0), (0.13, 0.50)),
    "polypropylene": ((0.20, 1.0),),
}


@figure(
    "cord-stretch",
    "m",
    value_is="stretch of a fiber cord under the load",
    source=(
        "rope makers' elongation of fibers and ropes, in proportion to the load; where sources "
        "disagree the stiffer counts; high-modulus polyethylene from memory"
    ),
    range="a broken-in cord up to its breaking force; knots, splices and creep stretch more",
    extra_units={"stiffness": "N/m"},
    fiber=FIBER,
    strength=quantity("force", "breaking force by the cord's maker", above=0.0),
    length=quantity("length", "length of cord under load", above=0.0, most=1000.0),
    load=quantity("force", "pull in the cord", least=0.0),
    elongation=number(
        "the maker's own elongation of this cord, which then counts",
        above=0.0,
        most=1.0,
        default=None,
    ),
    at=number(
        "part of the breaking force at which the maker states it", above=0.0, most=1.0, default=1.0
    ),
)
def cord_stretch(
    fiber: str, strength: float, length: float, load: float, elongation: float | None, at: float
) -> Outcome:
    """Stretch in m; `stiffness` in N/m. Raises UnknownName, and OutOfRange above the strength.

    Example: A nylon cord of 5 kN carries 500 N, a tenth. The stiffest figure is 19 % at break: 0.1
    × 0.19 × 1000 = 19 mm for each meter.

        pitcrew figure cord-stretch fiber=nylon strength="5 kN" length="1 m" load="500 N" \\
            --units metric
        cord-stretch: 19 mm
    """
    if load > strength:
        raise OutOfRange(
            f"cord-stretch: the load is {load:.4g} N and the cord breaks at {strength:.4g} N; "
            "wanted at most that. Check both.",
            "load",
        )
    material = fiber_name(fiber)
    softness = min(longer / share for longer, share in ELONGATION[material])
    if elongation is not None:
        softness = elongation / at
    stretch = softness * length * load / strength
    whose = "by its maker" if elongation is not None else "by the stiffest published figure"
    part = number_text(100 * load / strength)
    because = (
        f"{mark(load, 'force')} is {part} % of what this {fiber_words(fiber)} cord bears; "
        f"{mark(length, 'length')} of it stretches by {mark(stretch, 'length')}, {whose}."
    )
    return Outcome(stretch, because, {"stiffness": strength / (softness * length)})
