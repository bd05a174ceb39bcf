"""What the `[hold_path]` table does not state: taken out before it is read, and told by name."""

from collections.abc import Mapping
from typing import Any

from pitcrew.domain.robot.hold_path import (
    BESIDE_FIELDS,
    MOTOR_FIELDS,
    PATH_FIELDS,
    SECOND_FIELDS,
    STEP_FIELDS,
)
from pitcrew.domain.robot.mistakes import Mistakes
from pitcrew.domain.robot.notknown import stated
from pitcrew.domain.robot.tables import Field

_TABLES = {"motor": MOTOR_FIELDS, "second": SECOND_FIELDS}
_LISTS = {"step": STEP_FIELDS, "beside": BESIDE_FIELDS}


def stated_path(table: object, mistakes: Mistakes) -> tuple[Any, tuple[str, ...]]:
    """The table with what is stated alone, and the rest as sentences: a climb is computed from
    nothing that is unknown or assumed. A table of another shape is left to its reader."""
    if not isinstance(table, dict):
        return table, ()
    plain, found = stated(table, PATH_FIELDS, "hold_path", mistakes)
    for name, fields in _TABLES.items():
        if isinstance(plain.get(name), dict):
            plain[name], more = stated(plain[name], fields, f"hold_path.{name}", mistakes)
            found += more
    for name, fields in _LISTS.items():
        if isinstance(plain.get(name), list):
            plain[name], more = _rows(plain[name], fields, name, mistakes)
            found += more
    return plain, found


def _rows(
    rows: list[Any], fields: tuple[Field, ...], name: str, mistakes: Mistakes
) -> tuple[list[Any], tuple[str, ...]]:
    plain: list[Any] = []
    found: tuple[str, ...] = ()
    for number, row in enumerate(rows, 1):
        if isinstance(row, Mapping):
            row, more = stated(row, fields, f"hold_path.{name} {number}", mistakes)
            found += more
        plain.append(row)
    return plain, found
