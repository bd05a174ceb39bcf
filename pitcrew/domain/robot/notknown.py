"""What a build sheet says of a number that no one knows yet: `"unknown"`, or a usual value that
is taken until someone confirms it, `{ assumed = "4 mm" }`. Neither is a mistake.

Ordinary checks use what is assumed and say so. A climb never does: on a part that the robot hangs
on, what is assumed counts as not stated.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pitcrew.domain.robot.mistakes import Mistakes, Words
from pitcrew.domain.robot.tables import Field, read_table, wanted

UNKNOWN = "unknown"
ASSUMED = "assumed"
MARK = f" ({ASSUMED})"
"""How a value that is only assumed is written out."""


@dataclass(frozen=True)
class Parted:
    """A table taken apart: what is read as it stands, and the names of what is not known or only
    assumed."""

    plain: dict[str, Any]
    unknown: frozenset[str] = frozenset()
    assumed: frozenset[str] = frozenset()

    @property
    def open(self) -> frozenset[str]:
        """All that no one has stated."""
        return self.unknown | self.assumed

    @property
    def typed(self) -> dict[str, str]:
        """The open values as text."""
        texts = {name: f"{self.plain[name]}{MARK}" for name in self.assumed}
        return texts | dict.fromkeys(self.unknown, UNKNOWN)


def is_assumed(value: object) -> bool:
    """Whether a value is written `{ assumed = … }`."""
    return isinstance(value, dict) and set(value) == {ASSUMED}


def parted(table: Mapping[str, Any], fields: Iterable[Field]) -> Parted:
    """A table with its open values taken out (`"unknown"`) or unwrapped (`{ assumed = … }`)."""
    names = {field.name for field in fields}
    unknown = frozenset(name for name in names if table.get(name) == UNKNOWN)
    assumed = frozenset(
        name for name in names if is_assumed(table.get(name)) and table[name][ASSUMED] != UNKNOWN
    )
    unknown |= {name for name in names - assumed if is_assumed(table.get(name))}
    plain = {
        name: value[ASSUMED] if name in assumed else value
        for name, value in table.items()
        if name not in unknown
    }
    return Parted(plain, unknown, assumed)


def not_asked(fields: Iterable[Field], names: Iterable[str]) -> tuple[Field, ...]:
    """The fields; those of these names may be missing, and no default stands in for them."""
    known = frozenset(names)
    return tuple(
        replace(field, required=False, default=None) if field.name in known else field
        for field in fields
    )


def stated(
    table: Mapping[str, Any], fields: tuple[Field, ...], place: str, mistakes: Mistakes
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """A table that a climb is computed from, with what is stated alone; the rest as sentences."""
    found = parted(table, fields)
    plain = {name: value for name, value in found.plain.items() if name not in found.open}
    return plain, tuple(_told(found, fields, place, mistakes))


def read_stated(
    table: Mapping[str, Any], fields: tuple[Field, ...], place: str, mistakes: Mistakes
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The values of such a table; what is not stated is no mistake."""
    plain, told = stated(table, fields, place, mistakes)
    missing = [field.name for field in fields if field.name in table and field.name not in plain]
    return read_table(plain, not_asked(fields, missing), place, mistakes), told


def _told(
    found: Parted, fields: tuple[Field, ...], place: str, mistakes: Mistakes
) -> Iterator[str]:
    for field in fields:
        if field.name in found.open:
            tell_open(field, place, mistakes, found.typed[field.name])
            yield f"{place}, {field.name}: {_how(found.typed[field.name])}"


def tell_open(field: Field, place: str, mistakes: Mistakes, typed: str) -> None:
    """Notice a value that is still to find out: it holds up nothing but the climb."""
    right = f"{field.name}: {field.meaning} ({wanted(field)}), once someone knows it"
    mistakes.notice(f"{place}, {field.name}", Words(typed), right)


def _how(typed: str) -> str:
    return "not known" if typed == UNKNOWN else f"only assumed, {typed.removesuffix(MARK)}"


def open_fields(typed: Mapping[str, str]) -> dict[str, str]:
    """The open fields of a part by name, each as `not known` or `only assumed, 4 mm`."""
    return {
        name: _how(text) for name, text in typed.items() if text == UNKNOWN or text.endswith(MARK)
    }
