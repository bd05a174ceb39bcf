"""Sizes of roller chain by their numbers, and how much strength a connecting link leaves."""

from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.constants import INCH, POUND_FORCE
from pitcrew.engineering.lookup import other_names, row

# ASME B29.1, least tensile strength in lbf: 12 500 times the square of the pitch in inches,
# rounded, but for #41
B29_STRENGTH = {
    25: 780,
    35: 1760,
    41: 1500,
    40: 3125,
    50: 4880,
    60: 7030,
    80: 12500,
    100: 19530,
    120: 28125,
    140: 38280,
    160: 50000,
    180: 63280,
    200: 78125,
    240: 112500,
}
SIZES_TEXT = "chain number such as 25, #35, 40 or 08A"


@dataclass(frozen=True)
class Chain:
    """A size of chain: `pitch` in m; `strength` is the least breaking force in N, None where ASME
    B29.1 gives none."""

    name: str
    pitch: float
    strength: float | None


def _ansi(number: int, pounds: int) -> Chain:
    """The first digits of a chain number are its pitch in eighths of an inch."""
    return Chain(f"#{number}", number // 10 / 8 * INCH.value, pounds * POUND_FORCE.value)


# pitch in mm of chains whose strength their maker states: heavy plates, and the European series of
# ISO 606
_MAKERS_STRENGTH = {
    "25h": 6.35,
    "35h": 9.525,
    "40h": 12.7,
    "50h": 15.875,
    "60h": 19.05,
    "05b": 8.0,
    "06b": 9.525,
    "08b": 12.7,
    "10b": 15.875,
    "12b": 19.05,
    "16b": 25.4,
}
SIZES: dict[str, Chain] = {
    str(number): _ansi(number, pounds) for number, pounds in B29_STRENGTH.items()
} | {name: Chain(name.upper(), pitch * 1e-3, None) for name, pitch in _MAKERS_STRENGTH.items()}
ISO_606 = (  # the same chains in the same order
    "04c 06c 085 08a 10a 12a 16a 20a 24a 28a 32a 36a 40a 48a"
)
_OTHER_NAMES = other_names(
    {size: f"{iso}; {iso}-1; {size}-1" for iso, size in zip(ISO_606.split(), SIZES, strict=False)}
) | other_names({"41": "041", **{size: f"{size}-1" for size in _MAKERS_STRENGTH}})


def chain(size: str) -> Chain:
    """The chain of a size as written (`#40`, `ANSI 40`, `08 A`). Raises UnknownName with the
    nearest, OutOfRange for more strands."""
    text = str(size).replace(" ", "")
    if text.removeprefix("#")[-2:] in ("-2", "-3"):
        raise OutOfRange(
            f"The chain size {size} has {text[-1]} strands; wanted a single strand. Take its"
            " maker's figure.",
            "size",
        )
    return row(
        "The chain size",
        text,
        SIZES,
        _OTHER_NAMES,
        ("roller", "chain", "ansi", "iso", "no", "rs", "#"),
    )[1]


# what a link leaves of the chain's strength: chain makers' guides, the greatest loss that they
# print
LINKS = {
    "none": 1.0,
    "press-fit connecting link": 1.0,
    "connecting link": 0.70,
    "two-pitch offset link": 0.75,
    "offset link": 0.65,
}
_OTHER_LINKS = other_names(
    {
        "none": "no; endless; riveted",
        "connecting link": (
            "slip-fit connecting link; slip fit connecting link; standard connecting link; master"
            " link; clip link; spring clip link; clip; quick link; cotter link"
        ),
        "press-fit connecting link": (
            "press fit connecting link; tap-fit connecting link; press-fit link; tap-fit link"
        ),
        "offset link": "half link; half-link; one-pitch offset link; offset; single offset link",
        "two-pitch offset link": "two pitch offset link; two-pitch offset; double offset link",
    }
)


def caliper_pitches(size: str, reach: float = 0.150, most: int = 16) -> int:
    """The most pitches, an even number up to `most`, that a caliper which opens `reach` (m)
    measures on a chain that is 3 % longer than new. Raises BadInput for a size that is not
    known."""
    return min(most, int(reach / (1.03 * chain(size).pitch)) // 2 * 2)


def link_kept(written: object) -> tuple[str, float]:
    """The weakest of the links as written (`connecting link; half link`), and the part of the
    chain's strength that it keeps.

    Raises UnknownName with the nearest.
    """
    found = [
        row("The link", name, LINKS, _OTHER_LINKS)
        for name in str(written).split(";")
        if name.strip()
    ]
    return min(found or [row("The link", written, LINKS)], key=lambda link: link[1])
