"""One entry of a build sheet for several parts that are alike: `for = ["fl", "fr", "rl", "rr"]`.

`{for}` in its texts becomes each name in turn; a value that differs is a table by name, such as
`offset = { fl = "41.5 deg", fr = "12 deg" }`.
"""

from collections.abc import Iterator
from typing import Any

from pitcrew.base.errors import nearest
from pitcrew.domain.robot.mistakes import Mistakes
from pitcrew.domain.robot.notknown import UNKNOWN, is_assumed
from pitcrew.domain.robot.tables import Field

FOR, HERE = "for", "{for}"
MOST = 64
FOR_FIELD = Field(
    FOR,
    "texts",
    "the names of parts that are alike, with {for} in id, label and zone",
    required=False,
)


def spread(tables: list[dict[str, Any]], mistakes: Mistakes) -> list[dict[str, Any]]:
    """The entries with each repeated one written out; a wrong `for` is a mistake, and its entry
    stays as it is."""
    return [part for table in tables for part in _each(table, mistakes)]


def _each(table: dict[str, Any], mistakes: Mistakes) -> Iterator[dict[str, Any]]:
    if FOR not in table:
        yield table
        return
    names, place = table[FOR], f"part {table.get('id', '')}"
    rest = {key: value for key, value in table.items() if key != FOR}
    good = isinstance(names, list) and all(isinstance(name, str) and name for name in names)
    if not good or not 0 < len(names) <= MOST or len(set(names)) < len(names):
        mistakes.add(f"{place}, for", names, 'a list of different names, such as ["left", "right"]')
        yield rest
        return
    for key, value in rest.items():
        if _differs(value, names):
            _name_strangers(value, names, f"{place}, {key}", mistakes)
    for name in names:
        yield {key: _value(value, name, names) for key, value in rest.items()}


def _differs(value: object, names: list[str]) -> bool:
    """Whether a value is a table by name: it names at least one of them."""
    return isinstance(value, dict) and not is_assumed(value) and bool(set(value) & set(names))


def _name_strangers(
    value: dict[str, Any], names: list[str], place: str, mistakes: Mistakes
) -> None:
    for key in value:
        if key not in names:
            mistakes.add(
                f"{place}, {key}", value[key], f"one of {', '.join(names)}", nearest(key, names)
            )


def _value(value: Any, name: str, names: list[str]) -> Any:
    """A value for one of the names; one that its table leaves out is not known."""
    if _differs(value, names):
        return _value(value.get(name, UNKNOWN), name, [])
    return value.replace(HERE, name) if isinstance(value, str) else value
