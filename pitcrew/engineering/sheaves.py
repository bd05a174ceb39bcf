"""Rope over a sheave: the strength it keeps while bent, and the smallest sheave for it."""

from bisect import bisect_right

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.cords import (
    FIBERS,
    fiber_name,
    fiber_words,
)
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import row
from pitcrew.engineering.parameters import quantity, text

# wire rope maker's handbook: strength left in % over a pin or sheave of that many rope diameters
BENDING: tuple[tuple[float, float], ...] = (
    (1, 50),
    (2, 65),
    (4, 75),
    (6, 79),
    (8, 83),
    (10, 86),
    (15, 89),
    (20, 91),
    (40, 95),
)


def bend_efficiency(ratio: float) -> float:
    """Strength left in % at a ratio of sheave to rope diameter of 1 and more; held at 95 % above
    40, which is the safe side."""
    at = bisect_right([step[0] for step in BENDING], ratio)
    if at == len(BENDING):
        return BENDING[-1][1]
    (low, left), (high, right) = BENDING[at - 1], BENDING[at]
    return left + (right - left) * (ratio - low) / (high - low)


@figure(
    "rope-bend",
    "%",
    value_is="strength left while bent over the sheave",
    source=(
        "the wire-rope trade's published table of efficiency over pins and sheaves, read linearly"
        " between its points"
    ),
    range=(
        "wire rope over a sheave of 1 rope diameter and more; above 40 its last 95 % is held, the"
        " safe side"
    ),
    extra_units={"ratio": "1"},
    diameter=quantity("length", "diameter of the rope", above=0.0),
    sheave=quantity("length", "diameter of the sheave at its tread, or of the pin", above=0.0),
    fiber=text("what a cord is made of: cord is refused", *FIBERS, default=None),
)
def rope_bend(diameter: float, sheave: float, fiber: str | None) -> Outcome:
    """Strength left in % over a sheave; `ratio` of the two diameters. Raises OutOfRange below 1,
    and for cord.

    Example: A 3.2 mm rope over a 32 mm sheave: 32 / 3.2 = 10 diameters, where the table says 86 %.

        pitcrew figure rope-bend diameter="3.2 mm" sheave="32 mm"
        rope-bend: 86 %
    """
    if fiber is not None:
        raise OutOfRange(
            f"rope-bend: {fiber_words(fiber)} arrived; wanted a wire rope. Nobody has published"
            " what a cord keeps over a sheave: give it the diameter of sheave-least.",
            "fiber",
        )
    ratio = sheave / diameter
    if ratio < 1 - 1e-12:
        raise OutOfRange(
            f"rope-bend: the sheave is {ratio:.3g} rope diameters; wanted at least 1 (the published"
            " table's end). Use a larger one.",
            "sheave",
        )
    left = bend_efficiency(max(ratio, 1.0))
    beyond = "; the table ends at 40 and its last value is held" if ratio > BENDING[-1][0] else ""
    because = (
        f"A sheave of {mark(sheave, 'length')} is {number_text(ratio)} diameters of the"
        f" {mark(diameter, 'length')} rope, which keeps {number_text(left)} % of its strength over"
        f" it{beyond}."
    )
    return Outcome(left, because, {"ratio": ratio})


SHEAVES: dict[str, tuple[float, float | None]] = {
    "7x19": (24, 18),
    "7x7": (42, None),
}  # rope diameters: wanted, critical
# a rigger's handbook: six to eight diameters for fiber rope; HMPE and aramid from memory, the upper
# end of what is said
FIBER_SHEAVES: dict[str, float] = {
    "nylon": 8,
    "polyester": 8,
    "polypropylene": 8,
    "hmpe": 8,
    "aramid": 20,
}


def _sheave_row(
    construction: str | None, fiber: str | None
) -> tuple[str, tuple[float, float | None]]:
    if fiber is not None:
        return fiber_words(fiber), (FIBER_SHEAVES[fiber_name(fiber)], None)
    return row("The rope construction", construction, SHEAVES)


@figure(
    "sheave-least",
    "m",
    value_is="tread diameter that a sheave should have at least",
    source=(
        "cable maker's table: 24 and 18 D for 7x19, 42 D for 7x7; a rigger's handbook: up to 8 D"
        " for fiber rope; HMPE 8 D and aramid 20 D from memory"
    ),
    range="aircraft cable of 7x19 and 7x7, and fiber rope, that runs over the sheave",
    extra_units={"critical": "m"},
    diameter=quantity("length", "diameter of the rope", above=0.0),
    construction=text("strands and wires in each, of a wire rope", *SHEAVES, default=None),
    fiber=text("what a cord is made of", *FIBERS, default=None),
)
def sheave_least(diameter: float, construction: str | None, fiber: str | None) -> Outcome:
    """Least tread diameter in m; for 7x19 also the `critical` one in m. Raises UnknownName,
    BadInput without either name.

    Example: 7x19 rope wants a sheave of 24 diameters: 24 × 3.2 = 76.8 mm for a 3.2 mm rope.

        pitcrew figure sheave-least diameter="3.2 mm" construction=7x19 --units metric
        sheave-least: 76.8 mm
    """
    if (construction is None) == (fiber is None):
        raise BadInput(
            "sheave-least needs construction (strands and wires in each) for a wire rope, or fiber"
            " for a cord, one of the two. Add construction=7x19 or fiber=nylon.",
            "construction",
        )
    make, (wanted, critical) = _sheave_row(construction, fiber)
    least = wanted * diameter
    because = (
        f"{make[0].upper()}{make[1:]} rope of {mark(diameter, 'length', 4)} runs over"
        f" {mark(least, 'length')} or more ({wanted:g} of its diameters)"
    )
    if critical is None:
        return Outcome(least, because + ".")
    never = critical * diameter
    return Outcome(
        least, because + f", and never under {mark(never, 'length')}.", {"critical": never}
    )
