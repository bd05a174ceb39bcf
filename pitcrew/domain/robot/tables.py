"""Reading one TOML table by a list of its fields: what cannot be used becomes a mistake, the rest
is read.

The same lists of fields make the JSON Schemas (`schema.py`) and the tables of the format's page.
"""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.accuracy import Accuracy, accuracy_example, parse_accuracy
from pitcrew.base.errors import BadInput, BadQuantity, nearest
from pitcrew.base.units import parse_quantity, screen_unit, show
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.robot.mistakes import NOTHING, Mistakes

LONGEST_TEXT = 400
_ID = re.compile(r"[a-z0-9][a-z0-9_-]*(\.[a-z0-9][a-z0-9_-]*)*")


@dataclass(frozen=True)
class Field:
    """One key of a TOML table.

    `kind`: a dimension of `units.py`, or text, texts, id, words (one of `choices`), yes_no, count,
    number, box, table, tables, map, any, accuracy (of a dimension, its one choice). `default`,
    `least` and `most` are SI. A field without default that is not `required` may be left out; one
    that is asked `later` than sheets were first written is only noticed where it is missing.
    """

    name: str
    kind: str
    meaning: str
    required: bool = True
    default: Any = None
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    later: bool = False

    @property
    def needed(self) -> bool:
        """Whether a table without this key is wrong."""
        return self.required and self.default is None


def read_table(
    table: Mapping[str, Any], fields: Iterable[Field], place: str, mistakes: Mistakes
) -> dict[str, Any]:
    """The values of a table by field name, SI inside; a field that could not be read is absent from
    the answer."""
    by_name = {field.name: field for field in fields}
    for key, value in table.items():
        if key not in by_name:
            mistakes.add(
                f"{place}, {key}", value, "a key that is known here", nearest(key, by_name)
            )
    values = {}
    for name, field in by_name.items():
        if name not in table:
            if field.needed:
                mistakes.add(
                    f"{place}, {name}", NOTHING, f"{name}: {field.meaning} ({wanted(field)})"
                )
            elif field.default is not None:
                values[name] = field.default
            continue
        try:
            values[name] = read_value(field, table[name])
        except BadInput as error:
            close = nearest(table[name], field.choices) if isinstance(table[name], str) else None
            mistakes.add(f"{place}, {name}", table[name], error.sentence, close)
    return values


def read_value(field: Field, value: Any) -> Any:
    """One value as its field wants it. Raises BadInput with what is expected."""
    reader = _READERS.get(field.kind)
    if reader is not None:
        return reader(field, value)
    try:
        quantity = parse_quantity(value, field.kind)
    except BadQuantity as error:
        raise BadInput(f"{wanted(field)}. {error.sentence}") from None
    _check_bounds(field, quantity.si)
    return quantity.si


def wanted(field: Field) -> str:
    """What may be there, in words: `a length with its unit, such as "1 mm"`."""
    if field.kind == "accuracy":
        return f"how far it may be off, such as {accuracy_example(field.choices[0])}"
    if field.kind in _WANTED:
        return _WANTED[field.kind] + _bounds_words(field)
    if field.kind == "words":
        return "one of " + ", ".join(field.choices)
    article = "an" if field.kind[0] in "aeiou" else "a"
    unit = screen_unit(field.kind, "metric")
    return (
        f'{article} {field.kind.replace("_", " ")} with its unit, such as "1'
        f' {unit}"{_bounds_words(field)}'
    )


def _text(field: Field, value: Any) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_TEXT:
        raise BadInput(wanted(field))
    return value.strip()


def _texts(field: Field, value: Any) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise BadInput(wanted(field))
    return tuple(_text(field, item) for item in value)


def _id(field: Field, value: Any) -> str:
    if not isinstance(value, str) or not _ID.fullmatch(value) or len(value) > 80:
        raise BadInput(wanted(field))
    return value


def _words(field: Field, value: Any) -> str:
    if not isinstance(value, str) or value not in field.choices:
        raise BadInput(wanted(field))
    return value


def _yes_no(field: Field, value: Any) -> bool:
    if not isinstance(value, bool):
        raise BadInput(wanted(field))
    return value


def _number(field: Field, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadInput(wanted(field))
    _check_bounds(field, value)
    return value


def _count(field: Field, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise BadInput(wanted(field))
    _check_bounds(field, value)
    return value


def _box(field: Field, value: Any) -> tuple[float, ...]:
    good = (
        isinstance(value, list)
        and len(value) == 4
        and all(isinstance(item, int | float) for item in value)
    )
    if (
        not good
        or value[2] <= 0
        or value[3] <= 0
        or min(value) < 0
        or value[0] + value[2] > 100
        or value[1] + value[3] > 100
    ):
        raise BadInput(wanted(field))
    return tuple(float(item) for item in value)


def _table(field: Field, value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise BadInput(wanted(field))
    return value


def _tables(field: Field, value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
        raise BadInput(wanted(field))
    return value


def _any(field: Field, value: Any) -> Any:
    return value


def _accuracy(field: Field, value: Any) -> Accuracy:
    try:
        return parse_accuracy(value, field.choices[0])
    except BadQuantity as error:
        raise BadInput(f"{wanted(field)}. {error.sentence}") from None


_READERS: dict[str, Callable[[Field, Any], Any]] = {
    "text": _text,
    "texts": _texts,
    "id": _id,
    "words": _words,
    "yes_no": _yes_no,
    "number": _number,
    "count": _count,
    "box": _box,
    "table": _table,
    "map": _table,
    "tables": _tables,
    "any": _any,
    "accuracy": _accuracy,
}
_WANTED = {
    "text": f"a text in quotes of at most {LONGEST_TEXT} letters",
    "texts": 'a list of texts, such as ["one", "two"]',
    "id": (
        'a name of small letters, digits, - and _, words joined by dots, such as "lift.chain.left"'
    ),
    "yes_no": "true or false without quotes",
    "number": "a plain number",
    "count": "a whole number",
    "box": "left, top, width, height in percent inside the outline, such as [30, 10, 40, 20]",
    "table": "a table of its own",
    "map": 'a table such as { yes = "ok", no = "stop" }',
    "tables": "tables, each under its own [[…]]",
    "any": "a value",
}


def _check_bounds(field: Field, value: float) -> None:
    if (field.least is not None and value < field.least) or (
        field.most is not None and value > field.most
    ):
        raise BadInput(wanted(field))


def _bounds_words(field: Field) -> str:
    if field.least is None and field.most is None:
        return ""
    low = "" if field.least is None else f"at least {_bound(field, field.least)}"
    high = "" if field.most is None else f"at most {_bound(field, field.most)}"
    return ", " + " and ".join(part for part in (low, high) if part)


def _bound(field: Field, si: float) -> str:
    return (
        show(si, screen_unit(field.kind, "metric"))
        if field.kind in SI_UNIT and field.kind != "number"
        else f"{si:g}"
    )
