"""What a toothed belt bears: its cords and the teeth in mesh."""

from bisect import bisect_right

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import counted, mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import choice, count, quantity, text

# A maker's catalogue of polyurethane belts with steel cords: width in mm -> (allowable pull of an
# open belt, breaking force, pull over relative stretch), N; and what one tooth 1 cm wide bears, N.
# fmt: off
STEEL_CORD_BELTS: dict[str, tuple[dict[float, tuple[float, float, float]], float]] = {
    "t5": (
        {10: (360, 1500, 90e3), 16: (570, 2375, 142.5e3), 25: (900, 3750, 225e3),
         32: (1140, 4750, 285e3),
         50: (1800, 7500, 450e3), 75: (2700, 11250, 675e3), 100: (3600, 15000, 900e3)},
        24.70,
    ),
    "atl5": (
        {10: (1100, 4000, 275e3), 16: (1760, 6400, 440e3), 25: (2530, 9200, 632.5e3),
         32: (3080, 11200, 770e3),
         50: (5060, 18400, 1265e3), 75: (7590, 27600, 1897.5e3), 100: (10120, 36800, 2530e3)},
        36.40,
    ),
    "htd5m": (
        {10: (880, 3200, 220e3), 15: (1320, 4800, 330e3), 25: (2530, 9200, 632.5e3),
         50: (5060, 18400, 1265e3), 100: (10120, 36800, 2530e3)},
        36.80,
    ),
}
# fmt: on
_OTHER_BELTS = other_names({"htd5m": "htd 5m; 5m; htd-5m; htd 5 mm", "t5": "t 5", "atl5": "atl 5"})
MOST_TEETH = 12
"""Teeth in mesh that the catalogue lets count."""


def _at_width(table: dict[float, tuple[float, float, float]], width: float) -> tuple[float, ...]:
    """The table's three numbers at a width in mm, read linearly between the printed widths."""
    widths = sorted(table)
    at = min(max(bisect_right(widths, width), 1), len(widths) - 1)
    low, high = widths[at - 1], widths[at]
    part = (width - low) / (high - low)
    return tuple(a + (b - a) * part for a, b in zip(table[low], table[high], strict=True))


@figure(
    "belt-strength",
    "N",
    value_is="breaking force of an open belt whose ends are clamped",
    source="a maker's catalogue of polyurethane belts with steel cords, linear between its widths",
    range=(
        "polyurethane belts with steel cords, 10 to 100 mm wide, open ends; rubber belts with "
        "glass cords are refused: their makers print a working pull and no breaking force"
    ),
    extra_units={"allowable": "N", "spring_rate": "N", "teeth_bear": "N"},
    profile=text("profile of the teeth", *STEEL_CORD_BELTS),
    width=quantity("length", "width of the belt", least=0.01, most=0.1),
    cord=choice("what pulls in the belt", "steel", "glass", others={"fiberglass": "glass"}),
    teeth=count("teeth in mesh on the smallest pulley, or held in the clamp", least=1, most=500),
)
def belt_strength(profile: str, width: float, cord: str, teeth: int) -> Outcome:
    """Breaking force in N; `allowable` working pull in N; `teeth_bear` what the teeth in mesh pass
    on at a standstill in N; `spring_rate` the pull over the part of its length that it stretches.

    Raises UnknownName and OutOfRange.

    Example: The maker's table ends a T5 belt with steel cords, 15 mm wide, at 2229 N. What it may
    work at is a quarter of that or less.

        pitcrew figure belt-strength profile=t5 width="15 mm" cord=steel teeth=12
        belt-strength: 2229 N
    """
    if cord == "glass":
        raise OutOfRange(
            "belt-strength: a belt with glass cords arrived; wanted steel cords (nobody prints "
            "what glass ones break at). Take the maker's figure.",
            "cord",
        )
    name, (table, tooth) = row("The belt profile", profile, STEEL_CORD_BELTS, _OTHER_BELTS)
    allowable, breaking, rate = _at_width(table, width * 1000)
    teeth_bear = tooth * min(teeth, MOST_TEETH) * width * 100
    because = (
        f"A {mark(width, 'length')} {name.upper()} belt with steel cords breaks at "
        f"{mark(breaking, 'force')} and works at up to {mark(allowable, 'force')}; "
        f"{counted(min(teeth, MOST_TEETH), 'tooth', 'teeth')} in mesh can pass on "
        f"{mark(teeth_bear, 'force')}{' (no more teeth count)' if teeth > MOST_TEETH else ''}."
    )
    extras = {"allowable": allowable, "spring_rate": rate, "teeth_bear": teeth_bear}
    return Outcome(breaking, because, extras)
