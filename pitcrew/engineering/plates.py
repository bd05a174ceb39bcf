"""Plate materials that screws are driven into, with the stress at which their threads shear."""

import re

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.constants import DATA_SHEET, MEASURED, Constant
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import text

_TYPICAL = (
    "Aluminum Association typical properties (ultimate shearing strength), as printed by metal"
    " suppliers"
)
_PLASTIC = "maker's data sheet of machine-grade sheet, ASTM D732"


def _pascals(megapascals: float, grade: str, source: str) -> Constant:
    return Constant(megapascals * 1e6, "Pa", grade, source)


# shear strength; plastics with the lower of the printed values, because they creep
PLATES: dict[str, Constant] = {
    "6061-t6": _pascals(205, DATA_SHEET, _TYPICAL),
    "6063-t5": _pascals(115, DATA_SHEET, _TYPICAL),
    "6063-t6": _pascals(150, DATA_SHEET, _TYPICAL + " (from memory)"),
    "5052-h32": _pascals(140, DATA_SHEET, _TYPICAL),
    "5052-h34": _pascals(145, DATA_SHEET, _TYPICAL),
    "2024-t3": _pascals(285, DATA_SHEET, _TYPICAL),
    "2024-t4": _pascals(285, DATA_SHEET, _TYPICAL),
    "7075-t6": _pascals(330, DATA_SHEET, _TYPICAL),
    "polycarbonate": _pascals(40, DATA_SHEET, _PLASTIC + ": 5800 to 6000 psi at yield"),
    "acetal": _pascals(
        34,
        DATA_SHEET,
        "Engineering Plastics Handbook, table 5.5: homopolymer 34 MPa, copolymer 53 MPa",
    ),
    "mild steel": _pascals(
        230,
        MEASURED,
        "0.577 times 400 MPa, the least tensile strength of A36 and S235-like steel (common"
        " practice)",
    ),
    "4130": _pascals(385, MEASURED, "0.577 times 670 MPa, normalised 4130 (from memory)"),
}
_OTHER_NAMES = other_names(
    {
        "6061-t6": "6061; 6061-t651; 6061 t6; 6061t6; al 6061-t6",
        "6063-t5": "6063 t5",
        "6063-t6": "6063 t6",
        "5052-h32": "5052; 5052 h32",
        "2024-t4": "2024; 2024-t351; 2024 t4",
        "7075-t6": "7075; 7075-t651; 7075 t6; 7075t6",
        "polycarbonate": "pc",
        "acetal": "pom; delrin",
        "mild steel": "steel; a36; s235; 1018",
    }
)
NUT = "nut"  # a matching nut: ISO 898-2 and SAE J995 make the bolt break first
PLATE = text("what the thread is cut in, or nut for a matching nut", *PLATES, NUT)


def plate(name: object) -> tuple[str, Constant | None]:
    """The material's name and its shear strength, None for a matching nut. Raises UnknownName with
    the nearest."""
    table: dict[str, Constant | None] = {**PLATES, NUT: None}
    return row("The plate material", name, table, _OTHER_NAMES)


# Amorphous plastics that crack under stress where anaerobic thread-locker (or its vapor) wets them:
# polycarbonate, ABS, their blends, SMA, ASA, PPO and acrylic (a car maker's test method lists them;
# adhesive makers warn of the same)
_CRACKING = re.compile(
    r"\b(polycarbonate|polycarb|pc|pc/abs|abs|asa|sma|ppo|acrylic|pmma)\b", re.IGNORECASE
)


def cracking_plastic(materials: object) -> str:
    """The first plastic among the materials named that thread-locker cracks; empty where there is
    none."""
    found = _CRACKING.search(str(materials or "").replace("_", " "))
    return found[0] if found else ""


LASTING: dict[str, Constant] = {
    "polycarbonate": _pascals(
        14, MEASURED, "2000 psi, makers' figure for stress that lasts, in air (from memory)"
    )
}
"""The pressure that a clamped plastic bears for months without creeping or cracking."""
_NOT_PC = re.compile(r"\b(pc/abs|abs|asa|sma|ppo|acrylic|pmma)\b", re.IGNORECASE)


def lasting_pressure(layers: object) -> tuple[str, float] | None:
    """The softest plastic among clamped layers and the pressure in Pa that it bears for long; None
    where none is a plastic that cracks. Raises OutOfRange for one without a known figure."""
    words = str(layers or "").replace("_", " ")
    if unknown := _NOT_PC.search(words):
        raise OutOfRange(
            f"The layers {words!r} include {unknown[0]}: no figure is known for what it bears for "
            "long. Tighten by hand until the washer just sits, and check the paint line.",
            "layers",
        )
    if not cracking_plastic(words):
        return None
    return "polycarbonate", LASTING["polycarbonate"].value


# what thread-locker leaves alone: metals, wood, and plastics that are partly crystalline or set by
# heat (common practice of adhesive makers' charts)
_UNHARMED = re.compile(
    r"\b(steel|stainless|iron|alumin(i?)um|brass|bronze|copper|titanium|magnesium|acetal|pom|nylon"
    r"|hdpe|uhmw|ptfe|wood|plywood|phenolic|g10|fr4|carbon fib(er|re)|fiberglass|rubber|a36|s235"
    r"|\d{4}(-?t\d+)?|\d{4} t\d)\b",
    re.IGNORECASE,
)


def unknown_layers(materials: object) -> list[str]:
    """Those of some layers (`polycarbonate; 6061-T6`) of which no one here knows whether
    thread-locker cracks them."""
    pieces = [piece.strip() for piece in re.split(r"[;,+/]| and ", str(materials or ""))]
    known = {*PLATES, *_OTHER_NAMES, NUT}
    return [
        piece
        for piece in pieces
        if piece
        and piece.casefold() not in known
        and not cracking_plastic(piece)
        and not _UNHARMED.search(piece.replace("_", " "))
    ]
