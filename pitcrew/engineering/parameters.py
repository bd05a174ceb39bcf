"""The parameters of figures: how each is declared, read as typed, and kept within its range."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.errors import BadInput, BadQuantity, OutOfRange, UnknownName
from pitcrew.base.typed import split_amount
from pitcrew.base.units import Quantity, dimension_of, parse_quantity, screen_unit, show
from pitcrew.base.unittable import SI_UNIT

REQUIRED = object()
MOST_NUMBERS = 10_000
Argument = float | str | bool | list[float] | Quantity
"""What a figure is given for one parameter: SI, a word, a truth value, SI numbers, or a measure."""


@dataclass(frozen=True)
class Parameter:
    """One argument of a figure. `kind`: quantity, quantities, measure, number, count, choice, text,
    numbers or yes_no.

    `spellings` reads what people also type for it, such as `4/0` for a wire gauge, into what is
    read otherwise.
    """

    kind: str
    meaning: str
    dimension: str | None = None
    choices: tuple[str, ...] = ()
    default: Any = REQUIRED
    least: float | None = None
    most: float | None = None
    open_least: bool = False
    spellings: Callable[[str], Any] | None = None

    @property
    def required(self) -> bool:
        return self.default is REQUIRED

    @property
    def unit(self) -> str:
        """The SI unit, `1` for plain numbers, empty for words."""
        if self.kind in ("quantity", "quantities"):
            return SI_UNIT[self.dimension or ""]
        return "1" if self.kind in ("number", "count", "numbers") else ""


def quantity(
    dimension: str,
    meaning: str,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
    default: Any = REQUIRED,
) -> Parameter:
    """A parameter with a unit; `above` is an open lower bound, `least` and `most` are closed ones,
    all in SI."""
    low, is_open = (above, True) if above is not None else (least, False)
    return Parameter(
        "quantity", meaning, dimension, default=default, least=low, most=most, open_least=is_open
    )


def quantities(
    dimension: str, meaning: str, *, above: float | None = None, most: float | None = None
) -> Parameter:
    """A list of quantities, typed as `25 kg; 16 kg`; `above` and `most` bound each of them, in
    SI."""
    return Parameter(
        "quantities", meaning, dimension, least=above, most=most, open_least=above is not None
    )


def measure(meaning: str, *, default: Any = REQUIRED) -> Parameter:
    """A parameter of any one dimension, or a plain number; the function receives a
    `units.Quantity`."""
    return Parameter("measure", meaning, default=default)


def number(
    meaning: str,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
    default: Any = REQUIRED,
) -> Parameter:
    """A plain number parameter."""
    low, is_open = (above, True) if above is not None else (least, False)
    return Parameter("number", meaning, default=default, least=low, most=most, open_least=is_open)


def count(
    meaning: str,
    *,
    least: int = 1,
    most: int | None = None,
    default: Any = REQUIRED,
    spellings: Callable[[str], Any] | None = None,
) -> Parameter:
    """A whole-number parameter (teeth, lines, events)."""
    return Parameter("count", meaning, default=default, least=least, most=most, spellings=spellings)


def choice(
    meaning: str, *choices: str, default: Any = REQUIRED, others: Mapping[str, str] | None = None
) -> Parameter:
    """One word out of a list, in small or capital letters; `others` maps more words to those of the
    list."""
    words = {word: word for word in choices} | dict(others or {})
    return Parameter(
        "choice",
        meaning,
        choices=choices,
        default=default,
        spellings=lambda typed: words.get(typed.lower(), typed),
    )


def text(meaning: str, *known: str, default: Any = REQUIRED) -> Parameter:
    """A free word with a grammar of its own, such as a thread; `known` are its main spellings, and
    others may be read too."""
    return Parameter("text", meaning, choices=known, default=default)


def numbers(meaning: str, *, default: Any = REQUIRED) -> Parameter:
    """A list of plain numbers, typed as `5,40,43` or `5 40 43` (decimal point only)."""
    return Parameter("numbers", meaning, default=default)


def yes_no(meaning: str, *, default: Any = REQUIRED) -> Parameter:
    """A truth value, typed as yes or no."""
    return Parameter("yes_no", meaning, default=default)


def example(parameter: Parameter) -> str:
    """What a person could type for a parameter."""
    if parameter.kind == "quantity":
        return '"20 degC"' if parameter.dimension == "temperature" else f'"1 {parameter.unit}"'
    if parameter.kind == "quantities":
        return f'"1 {parameter.unit}; 2 {parameter.unit}"'
    if parameter.choices:
        return parameter.choices[0]
    if parameter.kind == "measure":
        return '"11.5 V"'
    if parameter.kind in ("count", "number"):
        usual = 12 if parameter.kind == "count" else 1.5
        return (
            f"{usual:g}"
            if parameter.most is None or usual <= parameter.most
            else f"{parameter.most / 2:.2g}"
        )
    return {"numbers": "5,40,43", "yes_no": "yes", "text": "M6"}[parameter.kind]


def read_argument(parameter: Parameter, typed: Any) -> Argument:
    """One typed argument in SI, or as a word, a list or a truth value. Raises BadInput and
    BadQuantity."""
    if parameter.spellings is not None and isinstance(typed, str):
        typed = parameter.spellings(typed.strip())
    if parameter.kind == "quantity":
        return parse_quantity(typed, parameter.dimension or "").si
    if parameter.kind == "quantities":
        return [parse_quantity(piece, parameter.dimension or "").si for piece in _pieces(typed)]
    if parameter.kind == "measure":
        return _read_measure(typed)
    if parameter.kind == "numbers":
        return typed if isinstance(typed, list) else _read_numbers(str(typed))
    if parameter.kind == "number" and isinstance(typed, str) and typed.rstrip().endswith("%"):
        return parse_quantity(typed, "percent").si / 100
    if parameter.kind in ("number", "count"):
        value = parse_quantity(typed, "number").si
        return int(value) if parameter.kind == "count" and value.is_integer() else value
    if parameter.kind == "yes_no":
        if isinstance(typed, bool):
            return typed
        if str(typed).strip().lower() not in ("yes", "no", "true", "false", "1", "0"):
            raise BadInput(f"{typed!r} is neither yes nor no. Type one of them.")
        return str(typed).strip().lower() in ("yes", "true", "1")
    return str(typed).strip()


def _read_measure(typed: Any) -> Quantity:
    unit = split_amount(typed)[1] if isinstance(typed, str) else ""
    if unit == "C":
        raise BadQuantity(
            f"{typed!r} may be a temperature or a charge. Write °C for degrees, A*h for a charge."
        )
    return parse_quantity(typed, dimension_of(unit) if unit else "number")


def _pieces(typed: Any) -> list[Any]:
    """The items of `25 kg; 25 kg and 16 kg`. A comma divides only before a space: `25,5 kg` is
    one."""
    pieces = typed if isinstance(typed, list) else re.split(r";|,\s|\n|\band\b", str(typed))
    if len(pieces) > MOST_NUMBERS:
        raise BadInput(f"{len(pieces)} quantities arrived; at most {MOST_NUMBERS} are read.")
    return [piece for piece in pieces if not isinstance(piece, str) or piece.strip()]


def _read_numbers(typed: str) -> list[float]:
    pieces = (
        typed.strip()
        .removeprefix("[")
        .removesuffix("]")
        .replace(";", " ")
        .replace(",", " ")
        .split()
    )
    if len(pieces) > MOST_NUMBERS:
        raise BadInput(f"{len(pieces)} numbers arrived; at most {MOST_NUMBERS} are read.")
    try:
        values = [float(piece) for piece in pieces]
    except ValueError:
        raise BadInput(
            f"{typed[:60]!r} is not a list of numbers. Type it as 5,40,43 with decimal points."
        ) from None
    return values


def check_argument(figure: str, reach: str, name: str, parameter: Parameter, value: Any) -> None:
    """Raise UnknownName, BadInput or OutOfRange unless a value fits the parameter `name` of a
    figure, whose range in words is `reach`."""
    if parameter.kind in ("quantity", "number", "count"):
        _check_number(figure, reach, name, parameter, value)
    elif parameter.kind == "quantities":
        if not isinstance(value, list | tuple) or not value:
            raise BadInput(
                f"{figure}: {name} is {value!r}; wanted a list ({parameter.meaning}). "
                f"Type {name}={example(parameter)}.",
                name,
            )
        for item in value:
            _check_number(figure, reach, name, parameter, item)
    elif parameter.kind == "numbers":
        if not all(
            isinstance(item, int | float) and not isinstance(item, bool) and math.isfinite(item)
            for item in value
        ):
            raise OutOfRange(
                f"{figure}: {name} holds a number that is not finite. Leave it out.", name
            )
    elif parameter.kind == "measure":
        if not isinstance(value, Quantity) or not math.isfinite(value.si):
            raise BadInput(
                f"{figure}: {name} is {value!r}; wanted a number with its unit"
                f" ({parameter.meaning}).",
                name,
            )
    elif parameter.kind == "choice" and value not in parameter.choices:
        raise UnknownName(f"{figure}: the {name}", value, parameter.choices, name)


def _check_number(figure: str, reach: str, name: str, parameter: Parameter, value: Any) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(
            f"{figure}: {name} is {value!r}; wanted a number ({parameter.meaning}).", name
        )
    if parameter.kind == "count" and math.isfinite(value) and value != int(value):
        raise OutOfRange(
            f"{figure}: {name} is {value:g}; wanted a whole number ({parameter.meaning}).",
            name,
        )
    low, high = parameter.least, parameter.most
    too_low = low is not None and (value < low or (parameter.open_least and value == low))
    if not math.isfinite(value) or too_low or (high is not None and value > high):
        shown = _shown(parameter)
        lower = (
            ""
            if low is None
            else f"{'more than' if parameter.open_least else 'at least'} {shown(low)}"
        )
        upper = "" if high is None else f"at most {shown(high)}"
        wanted = " and ".join(part for part in (lower, upper) if part) or "a finite number"
        raise OutOfRange(
            f"{figure}: {name} is {shown(value)}; wanted {wanted} ({parameter.meaning})."
            f" Range: {reach}.",
            name,
        )


def _shown(parameter: Parameter) -> Callable[[float], str]:
    """How a number of a parameter is written for people: quantities in metric screen units, -3 °C
    and not 270.15 K."""
    if parameter.kind not in ("quantity", "quantities"):
        return "{:g}".format
    unit = screen_unit(dimension_of(parameter.unit), "metric")
    if unit == "degC":  # a bound may lie a hair beside its round number in kelvin
        return lambda value: show(round(value, 3), unit, 6)
    return lambda value: show(value, unit, 6)
