"""How people type an amount: the number, then whatever follows it, in one reading only.

`6.2`, `6,2`, `1/8`, `16 1/4`, `½`, `1' 6"`, `1 ft 4 in`; what can be read in two ways is asked
again. The phone reads the same (`static/js/lib/format.js`). What the rest means as a unit is told
by `units.py`.
"""

import math
import re
import unicodedata

from pitcrew.base.errors import BadQuantity

LONGEST = 60
_NUMBER = re.compile(
    r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*", re.DOTALL
)
_FRACTION = re.compile(
    r"\s*([+-])?(?:(\d{1,4})(?:\s+|-))?(\d{1,3})/([1-9]\d{0,2})\s*(\D.*?)?\s*", re.DOTALL
)
_ONE_SIGN = re.compile(r"[¼-¾⅐-⅞]")
_INCHES = r"\d{1,4}(?:[.,]\d+)?|(?:\d{1,4}(?:\s+|-))?\d{1,3}/[1-9]\d{0,2}"
_FEET = re.compile(
    rf"\s*([+-])?(\d{{1,4}})\s*(?:'|ft|feet|foot)\.?\s*-?\s*({_INCHES})"
    r"\s*(?:\"|''|inch(?:es)?|in)?\s*"
)
_QUOTES = str.maketrans({"−": "-", "⁄": "/", "′": "'", "’": "'", "″": '"', "”": '"'})
INCHES_IN_A_FOOT = 12


def plain_text(text: str) -> str:
    """Text with plain signs: `½` as 1/2, minus signs, primes and curled quotes as on a keyboard."""

    def spelled(sign: re.Match[str]) -> str:
        return f" {unicodedata.normalize('NFKC', sign[0])}"

    return _ONE_SIGN.sub(spelled, text).translate(_QUOTES)


def split_number(text: str) -> tuple[float, str]:
    """The leading number (decimal point or comma) and the rest, stripped.

    Raises BadQuantity where there is no number, and where both marks occur (`1.234,5` is
    ambiguous).
    """
    shown = text if len(text) <= LONGEST else text[:LONGEST] + "…"
    if len(text) > LONGEST:
        raise BadQuantity(f"{shown!r} is too long for a number. Type one number, such as 6.2.")
    match = _NUMBER.fullmatch(plain_text(text))
    if not match:
        raise BadQuantity(f"{shown!r} is not a number. Type one, such as 6.2 or 6,2.")
    digits, rest = match.group(1), match.group(2)
    if rest and rest[0] in "0123456789.,":
        raise BadQuantity(
            f"{shown!r} can be read in two ways. Type it with one decimal mark and no thousands "
            "marks."
        )
    value = float(digits.replace(",", "."))
    if not math.isfinite(value):
        raise BadQuantity(f"{shown!r} is too large to be a measurement. Type it again.")
    return value, rest


def split_amount(text: str) -> tuple[float, str]:
    """The number and the rest, as `split_number`, but fractions and feet with inches are read too.

    `16 1/4 in` and `16¼ in` are (16.25, `in`), `1' 6"` and `1 ft 6` are (18.0, `in`).
    """
    if len(text) > LONGEST:
        return split_number(text)
    plain = plain_text(text)
    feet = _FEET.fullmatch(plain)
    if feet:
        inches = _inches(feet[3])
        if inches >= INCHES_IN_A_FOOT:
            raise BadQuantity(
                f"{text!r} can be read in two ways: there are 12 inches in a foot. Type it in one "
                "unit."
            )
        value = int(feet[2]) * INCHES_IN_A_FOOT + inches
        return (-value if feet[1] == "-" else value), "in"
    fraction = _FRACTION.fullmatch(plain)
    if fraction:
        value = int(fraction[2] or 0) + int(fraction[3]) / int(fraction[4])
        return (-value if fraction[1] == "-" else value), fraction[5] or ""
    return split_number(text)


def _inches(typed: str) -> float:
    """`6`, `6.5`, `1/2` or `6 1/2`."""
    fraction = _FRACTION.fullmatch(typed)
    if fraction:
        return int(fraction[2] or 0) + int(fraction[3]) / int(fraction[4])
    return float(typed.replace(",", "."))
