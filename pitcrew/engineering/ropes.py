"""Wire rope and cord: breaking strength, working load, loss of diameter."""

from pitcrew.base.errors import BadInput, BadQuantity, OutOfRange, UnknownName
from pitcrew.base.typed import split_number
from pitcrew.base.units import inches_text, mark, number_text
from pitcrew.engineering.constants import INCH, POUND_FORCE
from pitcrew.engineering.cords import (
    COMMON_KNOTS,
    FIBERS,
    OTHER_KNOTS,
    fiber_words,
    knot_left,
)
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, plain, row
from pitcrew.engineering.parameters import choice, number, quantity, text

# FAA AC 43.13-1B, table 7-3, pounds: (diameter in 32nds of an inch, construction) -> (carbon,
# stainless, nonmagnetic stainless)
_TABLE: dict[tuple[int | float, str], tuple[int | None, int | None, int | None]] = {
    (1, "3x7"): (110, 110, None),
    (1.5, "7x7"): (270, 270, None),
    (2, "7x7"): (480, 480, None),
    (2, "7x19"): (480, 480, None),
    (3, "7x7"): (920, 920, None),
    (3, "7x19"): (1000, 920, 700),
    (4, "7x19"): (2000, 1760, 1300),
    (5, "7x19"): (2800, 2400, 2000),
    (6, "7x19"): (4200, 3700, 2900),
    (7, "7x19"): (5600, 5000, 3800),
    (8, "7x19"): (7000, 6400, 4900),
    (9, "7x19"): (8000, 7800, 6100),
    (10, "7x19"): (9800, 9000, 7600),
    (11, "7x19"): (12500, None, None),
    (12, "7x19"): (14400, 12000, 11000),
    (14, "6x19"): (17600, 16300, 14900),
    (16, "6x19"): (22800, 22800, 19300),
    (18, "6x19"): (28500, 28500, 24300),
    (20, "6x19"): (35000, 35000, 30100),
    (24, "6x19"): (49600, 49600, 42900),
    (28, "6x19"): (66500, 66500, 58000),
    (32, "6x19"): (85400, 85400, 75200),
    (36, "6x19"): (106400, 106400, None),
    (40, "6x19"): (129400, 129400, None),
    (44, "6x19"): (153600, 153600, None),
    (48, "6x19"): (180500, 180500, None),
}
CONSTRUCTIONS = {construction: construction for _, construction in _TABLE}
MATERIALS = {"carbon": 0, "stainless": 1, "nonmagnetic stainless": 2}
_OTHER_CONSTRUCTIONS = other_names({"6x19": "6x19 iwrc; 6x19iwrc; 6x19-iwrc"})
_OTHER_MATERIALS = other_names(
    {
        "carbon": (
            "carbon steel; galvanized; galvanised; galvanized steel; zinc; steel; comp a;"
            " composition a; a"
        ),
        "stainless": (
            "stainless steel; cres; corrosion resistant; corrosion-resistant; comp b; composition"
            " b; b; inox; 302; 304"
        ),
        "nonmagnetic stainless": "nonmagnetic; 305; 316; mil-c-18375",
    }
)
DIAMETER_MATCH = 0.02  # a rope called by a rounded diameter, such as 3.2 mm for 1/8 inch


def rope_construction(written: object) -> str:
    """The construction of the table by a name as written (`7x19`, `7 × 19`). Raises UnknownName
    with the nearest."""
    return row("The rope construction", written, CONSTRUCTIONS, _OTHER_CONSTRUCTIONS)[0]


def rope_material(written: object) -> tuple[str, int]:
    """The metal and its column of the table by a name as written (`galvanized`). Raises UnknownName
    with the nearest."""
    return row("The rope material", written, MATERIALS, _OTHER_MATERIALS)


@figure(
    "rope-strength",
    "N",
    value_is="least breaking force of a new rope",
    source="FAA AC 43.13-1B, table 7-3 (MIL-W-83420, MIL-C-18375)",
    range=(
        "the table's ropes, 1/32 to 1-1/2 inch, within 2 % of their nominal diameter; cord and"
        " others by their maker's figure"
    ),
    extra_units={"diameter": "m"},
    diameter=quantity("length", "nominal diameter of the rope", above=0.0),
    construction=text("strands and wires in each", *CONSTRUCTIONS),
    material=text("metal of the wires", *MATERIALS),
    stated=quantity(
        "force",
        "breaking force by the rope's maker, which then counts instead of the table's",
        above=0.0,
        default=None,
    ),
)
def rope_strength(
    diameter: float, construction: str, material: str, stated: float | None
) -> Outcome:
    """Least breaking force in N of aircraft cable, or its maker's; `diameter` of the table in m.
    Raises UnknownName and OutOfRange.

    Example: The table prints 1760 lbf for 1/8 inch stainless 7x19: 1760 × 4.44822 = 7829 N when
    new.

        pitcrew figure rope-strength diameter="1/8 in" construction=7x19 material=stainless
        rope-strength: 7829 N
    """
    if stated is not None:
        because = (
            f"The maker of this {mark(diameter, 'length', 4)} rope says that it breaks at"
            f" {mark(stated, 'force')} or more."
        )
        return Outcome(stated, because, {"diameter": diameter})
    make, metal, column = rope_construction(construction), *rope_material(material)
    sizes = {
        parts / 32 * INCH.value: pounds[column]
        for (parts, kind), pounds in _TABLE.items()
        if kind == make
    }
    nominal = min(sizes, key=lambda size: abs(size - diameter))
    pounds = sizes[nominal] if abs(nominal / diameter - 1) <= DIAMETER_MATCH else None
    if pounds is None:
        known = ", ".join(inches_text(size) for size, value in sizes.items() if value)
        raise OutOfRange(
            f"rope-strength: {diameter * 1000:.4g} mm {make} {metal} is not in AC 43.13-1B, table"
            f" 7-3, which holds {known or 'none such'}. Take the maker's breaking force.",
            "diameter",
        )
    strength = pounds * POUND_FORCE.value
    because = (
        f"New {mark(nominal, 'length', 4)} {make} {metal} rope breaks at {mark(strength, 'force')}"
        " or more; ends, bends and knots take from that."
    )
    return Outcome(strength, because, {"diameter": nominal})


# ends: US Army TM 5-3810-305-10, table 4; the lower value where a range is printed
TERMINATIONS = {
    "none": 1.0,
    "swaged": 1.0,
    "spelter": 1.0,
    "sleeve": 0.95,
    "sleeve on fibre core": 0.925,
    "hand-tucked": 0.86,
    "wedge": 0.75,
    "clips": 0.80,
}
KNOTS = COMMON_KNOTS
_OTHER_PARTS = (
    other_names(
        {
            "none": "no",
            "swaged": "swage",
            "spelter": "socket; zinc",
            "sleeve": "mechanical splice; oval sleeve; crimped sleeve",
            "hand-tucked": "hand tucked",
            "wedge": "wedge socket",
            "clips": "clip; wire rope clips",
        }
    )
    | OTHER_KNOTS
)
PART_TEXT = 'as 0.95, as "95 %" or by name'


def part_kept(name: str, typed: object, table: dict[str, float]) -> float:
    """A kept part of the strength between 0 and 1: a number up to 1, a percentage, or a name of the
    table.

    Raises UnknownName, BadInput for a bare number above 1 (`95` may mean 0.95 or nothing), and
    OutOfRange.
    """
    text = plain(typed)
    try:
        value, rest = split_number(text)
    except BadQuantity:
        return row(f"rope-load: the {name}", typed, table, _OTHER_PARTS)[1]
    if rest not in ("", "%"):
        raise UnknownName(f"rope-load: the {name}", typed, table, name)
    if rest == "" and value > 1:
        raise BadInput(
            f'rope-load: {name} is {typed}; wanted a part of the strength. Write 0.95 or "95 %".',
            name,
        )
    kept = value / 100 if rest else value
    if not 0 < kept <= 1:
        raise OutOfRange(
            f"rope-load: {name} is {typed}; wanted above 0 and at most 1, or 100 % (nothing is"
            " stronger than the rope).",
            name,
        )
    return kept


def _knot_kept(knot: object, fiber: str | None) -> tuple[float, str]:
    """The part that a knot leaves, and what to add where the fiber was not given."""
    tied = part_kept("knot", knot, KNOTS)
    try:
        split_number(plain(knot))
    except BadQuantity:
        if fiber is not None:
            return knot_left(fiber, knot), f" in {fiber_words(fiber)}"
        return tied, (
            " (nylon or polyester; other fibers keep less)" if tied < KNOTS["splice"] else ""
        )
    return tied, ""


@figure(
    "rope-load",
    "N",
    value_is="working load",
    source="WLL = breaking force × end × bend × knot / design factor (OSHA 1926.451: ends count)",
    range=(
        "each part kept between 0 and 1, design factor of 1 and more (common: 5; 3.5 running hoist,"
        " 10 over people)"
    ),
    extra_units={"reduced": "N"},
    strength=quantity("force", "breaking force of the new rope", above=0.0),
    termination=text(f"strength kept by the ends, {PART_TEXT}", *TERMINATIONS),
    bend=text(f"strength kept over the sheave, {PART_TEXT}", "none"),
    knot=text(f"strength kept by a knot, {PART_TEXT}", *KNOTS, default="none"),
    factor=number("design factor", least=1.0, most=50.0),
    fiber=text("what a cord is made of, which says what a named knot keeps", *FIBERS, default=None),
)
def rope_load(
    strength: float,
    termination: object,
    bend: object,
    knot: object,
    factor: float,
    fiber: str | None,
) -> Outcome:
    """Working load in N; `reduced` is the breaking force in N that is left, `kept` its part.

    Raises UnknownName, BadInput and OutOfRange.

    Example: A rope that breaks at 7800 N, swaged ends, over a sheave that leaves 86 %, a factor of
    5: 7800 × 1 × 0.86 / 5 = 1341.6 N.

        pitcrew figure rope-load strength="7800 N" termination=swaged bend=0.86 factor=5
        rope-load: 1342 N
    """
    end, over = (
        part_kept("termination", termination, TERMINATIONS),
        part_kept("bend", bend, {"none": 1.0}),
    )
    tied, cord = _knot_kept(knot, fiber)
    kept = end * over * tied
    reduced = strength * kept
    end_text, over_text, tied_text = (f"{number_text(100 * part)} %" for part in (end, over, tied))
    because = (
        f"Of {mark(strength, 'force')} the end keeps {end_text}, the bend {over_text} and the knot"
        f" {tied_text}{cord}: {mark(reduced, 'force')}, and a factor of {number_text(factor)}"
        f" leaves {mark(reduced / factor, 'force')} to work with."
    )
    return Outcome(reduced / factor, because, {"reduced": reduced, "kept": kept})


LOSS_RULES = {
    "osha": (5.0, "OSHA 1926.1413 (from memory)"),
    "mine": (6.0, "30 CFR 56.19024"),
    "sling": (10.0, "ASME B30.9, as crane firms print it"),
}


@figure(
    "rope-diameter-loss",
    "%",
    value_is="loss of diameter",
    source="loss = 100(1 - d/d nominal); limits by the named rule",
    range="wire rope, measured across the crowns; not cord, which has no such rule",
    extra_units={"limit": "%"},
    nominal=quantity("length", "diameter of the rope when new", above=0.0),
    measured=quantity("length", "diameter now, the least found", above=0.0),
    rule=choice("whose limit: osha 5 %, mine 6 %, sling 10 %", *LOSS_RULES, default="osha"),
)
def rope_diameter_loss(nominal: float, measured: float, rule: str) -> Outcome:
    """Loss of diameter in % and the rule's `limit` in %. Raises OutOfRange for a diameter that is
    no rope's.

    Example: A 3.2 mm rope measures 3.1 mm at its thinnest: 100 × (1 - 3.1 / 3.2) = 3.125 %. OSHA's
    rule takes it off above 5 %.

        pitcrew figure rope-diameter-loss nominal="3.2 mm" measured="3.1 mm"
        rope-diameter-loss: 3.125 %
    """
    lost = 100 * (1 - measured / nominal)
    if not -15 <= lost <= 50:
        raise OutOfRange(
            f"rope-diameter-loss: {measured * 1000:.4g} mm arrived for a rope of"
            f" {nominal * 1000:.4g} mm; wanted 50 to 115 % of it (new ropes are a little over"
            " size). Measure across the crowns again.",
            "measured",
        )
    limit, source = LOSS_RULES[rule]
    because = (
        f"The rope was {mark(nominal, 'length', 4)} and is {mark(measured, 'length', 4)}:"
        f" {number_text(lost)} % thinner; {source} discards it above {number_text(limit)} %."
    )
    return Outcome(lost, because, {"limit": limit})
