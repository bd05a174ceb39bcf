"""Fiber rope and cord: the fiber, what a knot leaves of it, how many wraps stay on a drum."""

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import number_text
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import choice, text

FIBERS = ("hmpe", "aramid", "polyester", "nylon", "polypropylene")
_NAMED = {fiber: fiber for fiber in FIBERS}
_OTHER_FIBERS = other_names(
    {
        "hmpe": (
            "uhmwpe; uhmw-pe; hmpe 12-strand; high-modulus polyethylene; "
            "high modulus polyethylene; ultra-high-molecular-weight polyethylene"
        ),
        "aramid": "para-aramid; aramide",
        "polyester": "pes; pet; polyester rope",
        "nylon": "polyamide; pa; pa6; pa66; perlon",
        "polypropylene": "pp; polypro",
    }
)
FIBER = text("what the cord is made of", *FIBERS)

# Part of the strength left in nylon and polyester: Cordage Institute, as printed in a sailing
# magazine, the lower value of each range; the figure-eight loop from a rope maker's tests (-28 %).
COMMON_KNOTS: dict[str, float] = {
    "none": 1.0,
    "bowline": 0.67,
    "figure-eight": 0.72,
    "square": 0.43,
    "fisherman": 0.50,
    "sheet bend": 0.48,
    "splice": 0.90,
}
# High-modulus polyethylene is slippery: a university's pull tests left a third with each of these;
# a magazine's test machine found under 40 % for the bowline and 38 % over nine knots.
_HMPE_KNOTS = {
    "none": 1.0,
    "bowline": 0.33,
    "figure-eight": 0.33,
    "fisherman": 0.33,
    "splice": 0.90,
}
_SPLICE_ONLY = {"none": 1.0, "splice": 0.90}
KNOTS_BY_FIBER: dict[str, dict[str, float]] = {
    "hmpe": _HMPE_KNOTS,
    "aramid": _SPLICE_ONLY,
    "polyester": COMMON_KNOTS,
    "nylon": COMMON_KNOTS,
    "polypropylene": _SPLICE_ONLY,
}
OTHER_KNOTS = other_names(
    {
        "none": "no; no knot",
        "bowline": "bowline knot",
        "figure-eight": (
            "figure eight; figure 8; figure-8; figure-eight loop; figure eight loop; "
            "figure eight on a bight; figure-of-eight; figure of eight; flemish loop"
        ),
        "square": "square knot; reef; reef knot",
        "fisherman": (
            "fisherman's; fisherman's knot; fishermans; double fisherman; double fisherman's"
        ),
        "splice": "spliced; eye splice; buried splice",
    }
)
KNOT_SOURCE = (
    "Cordage Institute, lower value of each range (nylon, polyester); a rope maker's tests for the "
    "figure-eight; a university's pull tests for high-modulus polyethylene (HMPE), where a knot "
    "keeps a third"
)


def fiber_name(written: object) -> str:
    """The fiber by its name as written (`UHMWPE`, `polyamide`). Raises UnknownName."""
    return row("The fiber", written, _NAMED, _OTHER_FIBERS)[0]


def fiber_words(written: object) -> str:
    """The fiber as it is in a sentence: HMPE, nylon. Raises UnknownName."""
    found = fiber_name(written)
    return "HMPE" if found == "hmpe" else found


def knot_left(fiber: object, knot: object) -> float:
    """Part of the strength (0 to 1) that a knot leaves of a fiber.

    Raises UnknownName for an unknown name, OutOfRange for a knot that no one has published for it.
    """
    found, name = fiber_name(fiber), row("The knot", knot, COMMON_KNOTS, OTHER_KNOTS)[0]
    left = KNOTS_BY_FIBER[found].get(name)
    if left is None:
        known = ", ".join(other for other in KNOTS_BY_FIBER[found] if other != "none")
        raise OutOfRange(
            f"knot-left: a {name} in {fiber_words(found)} arrived; there are figures only "
            f"for: {known}. Use one of these, or the maker's own figure.",
            "knot",
        )
    return left


@figure(
    "knot-left",
    "%",
    value_is="part of the strength that a knot leaves",
    source=KNOT_SOURCE,
    range=(
        "the knots named here in new cord, pulled slowly; other fibers and knots are refused, "
        "because nobody has published them"
    ),
    fiber=FIBER,
    knot=text("the knot, or splice, or none", *COMMON_KNOTS),
)
def knot_left_figure(fiber: str, knot: str) -> Outcome:
    """What is left of a cord's strength in %. Raises UnknownName and OutOfRange.

    Example: A bowline in a nylon cord. Tests found 67 % in the worst case, so a cord of 3000 N
    counts as 0.67 × 3000 = 2010 N.

        pitcrew figure knot-left fiber=nylon knot=bowline
        knot-left: 67 %
    """
    left, name = knot_left(fiber, knot), row("The knot", knot, COMMON_KNOTS, OTHER_KNOTS)[0]
    material = fiber_words(fiber)
    because = {
        "none": f"Without a knot, {material} keeps all of its strength.",
        "splice": f"A good splice leaves {number_text(100 * left)} % of {material}.",
    }.get(name, f"A {name} in {material} leaves {number_text(100 * left)} % of its strength.")
    if fiber_name(fiber) == "hmpe" and left < 0.5:
        because = because[:-1] + ": the fiber is slippery and the knot cuts it. Splice it instead."
    return Outcome(100 * left, because)


# wraps on the drum that the load never takes off: ASME B30.7 for wire rope, a rope maker's page
# on winding for fibers
WRAPS = {"wire rope": 2, "hmpe": 8, "polyester": 4, "nylon": 4}


@figure(
    "wraps-least",
    "1",
    value_is="wraps that must stay on the drum",
    source=(
        "ASME B30.7 (wire rope: 2); a rope maker's winding instructions (HMPE 8, nylon and "
        "polyester 4); another source asks for 5 and 10"
    ),
    range="a rope fixed to a smooth drum; other fibers are refused: nobody has published them",
    rope=choice(
        "what is on the drum",
        *WRAPS,
        others={
            "wire": "wire rope",
            "uhmwpe": "hmpe",
            "polyamide": "nylon",
            "steel": "wire rope",
        },
    ),
)
def wraps_least(rope: str) -> Outcome:
    """Wraps that stay on the drum, so that its friction and not the knot holds the load.

    Example: A cord of HMPE is slippery: 8 wraps must stay on the drum when the robot is all the way
    down.

        pitcrew figure wraps-least rope=hmpe
        wraps-least: 8
    """
    wraps = WRAPS[rope]
    why = "it is slippery" if rope == "hmpe" else "friction on the drum holds the load, not the end"
    return Outcome(
        float(wraps),
        f"At least {wraps} wraps of {rope.replace('hmpe', 'HMPE')} stay on the drum: {why}.",
    )
