"""Quantities at the edges: typed text in, SI floats inside, the team's units out.

`typed.py` splits number and unit by its own grammar and `units.py` hands pint only names from the
table in `unittable.py`: pint on raw text reads `6,2 V` as 62 V. Temperatures are absolute (kelvin
inside); a difference of temperatures is given in K.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from pitcrew.base.errors import BadQuantity, hint
from pitcrew.base.spoken import with_article
from pitcrew.base.typed import split_amount
from pitcrew.base.unittable import DEFINITIONS, NAMES, SI_UNIT, TEMPERATURES, UNITS
from pitcrew.base.unitwords import escaped, table_name, unit_forms

if TYPE_CHECKING:
    from pint import UnitRegistry


@dataclass(frozen=True)
class Quantity:
    """A number with its unit as read: `value` in `unit`, `si` in the dimension's SI unit, `typed`
    as it came."""

    value: float
    unit: str
    dimension: str
    si: float
    typed: str


def unit_name(text: str, dimension: str = "") -> str:
    """The table's name for a unit as written: `mΩ` -> `mohm`, `lb-ft` -> `ft*lbf`.

    `C` and `F` are degrees where a temperature is expected. Raises BadQuantity with the nearest
    name, of a `dimension` if given.
    """
    name = table_name(text, dimension, UNITS)
    if name not in UNITS:
        known = hint(text, NAMES.get(dimension, UNITS))
        raise BadQuantity(f"The unit {text!r} is not known. {known}")
    return name


def unit_pattern(dimension: str) -> str:
    """A regular expression of every way to write a unit of a dimension, for the editors'
    schemas."""
    own = sorted(NAMES[dimension], key=len, reverse=True)
    also = [r"[CF]"] if dimension == "temperature" else []
    return "|".join([*(escaped(name) for name in own), *also, *unit_forms(NAMES[dimension])])


def dimension_of(unit: str) -> str:
    """The dimension of a unit name, for example `torque`."""
    return UNITS[unit_name(unit)][0]


@cache
def _registry() -> "UnitRegistry[float]":
    import pint

    registry: UnitRegistry[float] = pint.UnitRegistry(
        DEFINITIONS.strip().splitlines(), cache_folder=None
    )
    return registry


@cache
def _factor(unit: str) -> tuple[float, float]:
    """(scale, offset) so that SI = value * scale + offset."""
    dimension, pint_name = UNITS[unit]
    if dimension == "temperature":
        return TEMPERATURES[unit]
    si_name = UNITS[SI_UNIT[dimension]][1]
    if pint_name == si_name:
        return 1.0, 0.0
    registry = _registry()
    return float(registry.Quantity(1.0, pint_name).to(si_name).magnitude), 0.0


def scale_of(unit: str) -> tuple[float, float]:
    """(scale, offset) of a unit, so that SI = value * scale + offset; the phone gets these two
    numbers."""
    return _factor(unit_name(unit))


def to_si(value: float, unit: str) -> float:
    """A number in `unit` as SI."""
    scale, offset = scale_of(unit)
    return value * scale + offset


def from_si(si: float, unit: str) -> float:
    """An SI number in `unit`."""
    scale, offset = scale_of(unit)
    return (si - offset) / scale


def parse_quantity(text: object, dimension: str) -> Quantity:
    """Read `"412 mm"` or `"16 1/4 in"` as a quantity of `dimension` (`number` needs no unit).
    Raises BadQuantity.

    A bare number where a unit is needed is a mistake, and so is text that is not a string.
    """
    if not isinstance(text, str):
        if dimension == "number" and isinstance(text, int | float) and not isinstance(text, bool):
            return _quantity(float(text), "1", str(text))
        raise BadQuantity(
            f"{text!r} has no unit. Write it in quotes with one, such as {_examples(dimension)}."
        )
    value, rest = split_amount(text)
    if not rest:
        if dimension == "number":
            return _quantity(value, "1", text)
        raise BadQuantity(f"{text!r} has no unit. Add one, such as {_examples(dimension)}.")
    unit = unit_name(rest, dimension)
    found = UNITS[unit][0]
    if found != dimension:
        raise BadQuantity(
            f"{text!r} is {_words(found)}; wanted {_words(dimension)}, such as"
            f" {_examples(dimension)}."
        )
    return _quantity(value, unit, text)


def parse_reading(
    typed: str, unit: str, least: float | None = None, most: float | None = None
) -> Quantity:
    """Read what a person typed for an input measured in `unit`: the unit may be left out, never be
    another dimension.

    `least` and `most` (in `unit`) bound what is possible; a number outside is not stored but asked
    again. Returns the quantity in the unit that was typed, or in `unit`. Raises BadQuantity.
    """
    name = unit_name(unit)
    value, rest = split_amount(typed)
    given = name
    if rest:
        try:
            given = unit_name(rest, UNITS[name][0])
        except BadQuantity:
            raise BadQuantity(
                f"{typed!r} ends in {rest!r}; expected a number in {unit}. Type the number alone."
            ) from None
        if UNITS[given][0] != UNITS[name][0]:
            raise BadQuantity(
                f"{typed!r} is {_words(UNITS[given][0])}; expected {_words(UNITS[name][0])} in"
                f" {unit}."
            )
    quantity = _quantity(value, given, typed)
    in_unit = value if given == name else from_si(quantity.si, name)
    if (least is not None and in_unit < least) or (most is not None and in_unit > most):
        low = "" if least is None else f"{least:g}"
        high = "" if most is None else f"{most:g}"
        span = (
            f"{low} to {high} {unit}"
            if low and high
            else (f"{low} {unit} or more" if low else f"{high} {unit} or less")
        )
        raise BadQuantity(
            f"{typed!r} is outside what is possible here ({span}). Look again and type it once"
            " more."
        )
    return quantity


def show(si: float, unit: str, digits: int = 3) -> str:
    """An SI number in words for a screen: `show(0.412, "mm")` is `412 mm`. `digits` are significant
    ones."""
    name = unit_name(unit)
    number = number_text(from_si(si, name), digits)
    return number if name == "1" else f"{number} {_screen_name(name)}"


def number_text(value: float, digits: int = 3) -> str:
    """A number with `digits` significant figures and no exponent where a person would write
    none."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    if decimals > 9 or abs(value) >= 1e9:
        return f"{value:.{digits}g}"
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def inches_text(metres: float) -> str:
    """A length as inch sizes are called, to the nearest 64th where it is one: `3/64 in`, `1-1/2
    in`, `0.06 in`."""
    inches = metres / 0.0254
    parts = round(inches * 64)
    if parts == 0 or abs(inches * 64 - parts) > 1e-6:
        return f"{number_text(inches)} in"
    whole, rest = divmod(parts, 64)
    fraction = str(Fraction(rest, 64)) if rest else ""
    return "-".join(part for part in (str(whole) if whole else "", fraction) if part) + " in"


_SCREEN = {
    "ohm": "Ω",
    "mohm": "mΩ",
    "uohm": "µΩ",
    "kohm": "kΩ",
    "Mohm": "MΩ",
    "degC": "°C",
    "degF": "°F",
    "deg": "°",
    "N*m": "N·m",
    "in*lbf": "in·lbf",
    "ft*lbf": "ft·lbf",
    "A*h": "A·h",
    "kgf*cm": "kgf·cm",
    "mm^2": "mm²",
    "m^2": "m²",
    "in^2": "in²",
    "m^3": "m³",
    "cm^3": "cm³",
    "in^3": "in³",
}


def _screen_name(unit: str) -> str:
    return _SCREEN.get(unit, unit)


screen_name = _screen_name

_METRIC = {
    "length": "mm",
    "area": "mm^2",
    "volume": "l",
    "pressure": "bar",
    "resistance": "mohm",
    "temperature": "degC",
    "angle": "deg",
    "angular_speed": "rpm",
    "speed": "mm/s",
    "time": "s",
    "stress": "MPa",
}
_INCH = _METRIC | {
    "length": "in",
    "area": "in^2",
    "force": "lbf",
    "torque": "in*lbf",
    "mass": "lb",
    "pressure": "psi",
    "temperature": "degF",
    "speed": "in/s",
    "mass_per_length": "lb/ft",
    "weight_per_length": "lbf/ft",
    "volume": "in^3",
    "stress": "ksi",
}
SYSTEMS = {"metric": _METRIC, "inch": _INCH}


def screen_unit(dimension: str, system: str) -> str:
    """The unit in which a team of that `system` (`metric` or `inch`) reads a dimension."""
    names = SYSTEMS[system]
    return names[dimension] if dimension in names else SI_UNIT[dimension]


def _quantity(value: float, unit: str, typed: str) -> Quantity:
    return Quantity(value, unit, UNITS[unit][0], to_si(value, unit), typed)


def _words(dimension: str) -> str:
    """`a length`, `an angular speed`."""
    return with_article(dimension.replace("_", " "))


def _examples(dimension: str) -> str:
    if dimension == "number":
        return "3.5"
    names = list(NAMES[dimension])[:3]
    return " or ".join(f'"3.5 {name}"' for name in names)


_MARK = re.compile(r"⟦([^|⟧]+)\|([a-z_]+)(?:\|(\d))?⟧")


def mark(si: float, dimension: str, digits: int = 3) -> str:
    """An SI quantity inside a sentence, to be written out later in the reader's units by
    `render`."""
    return f"⟦{si!r}|{dimension}|{digits}⟧"


def render(sentence: str, system: str = "metric") -> str:
    """Write out every marked quantity of a sentence in the units of `system` (`metric` or
    `inch`)."""

    def write(match: re.Match[str]) -> str:
        return show(float(match[1]), screen_unit(match[2], system), int(match[3] or 3))

    return _MARK.sub(write, sentence)


def counted(number: int, one: str, many: str = "") -> str:
    """`1 row`, `2 rows`; `many` where an s is not enough: `5 matches`."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"
