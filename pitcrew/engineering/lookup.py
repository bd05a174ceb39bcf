"""Finding a row of a table by a name as people write it."""

from collections.abc import Iterable, Mapping
from typing import TypeVar

from pitcrew.base.errors import UnknownName

RowType = TypeVar("RowType")


def plain(name: object) -> str:
    """A name in small letters, `×` as `x`, with single spaces and no spaces round `x`, `-`, `.` or
    `/`."""
    text = " ".join(str(name).lower().replace("×", "x").replace("–", "-").replace("_", " ").split())
    for mark in "x-./":
        text = text.replace(f" {mark}", mark).replace(f"{mark} ", mark)
    return text


def other_names(spellings: Mapping[str, str]) -> dict[str, str]:
    """Other spellings, written after the table's name as `a; b; c`, turned round: spelling -> the
    table's name."""
    return {plain(other): name for name, others in spellings.items() for other in others.split(";")}


def row(
    what: str,
    name: object,
    table: Mapping[str, RowType],
    aliases: Mapping[str, str] | None = None,
    words: Iterable[str] = (),
) -> tuple[str, RowType]:
    """The table's own name and its row for a name as typed; leading `words` (such as `grade`) are
    dropped.

    Raises UnknownName with the nearest name of the table.
    """
    text = plain(name)
    for word in words:
        text = text.removeprefix(word).lstrip(" .-")
    text = (aliases or {}).get(text, text)
    if text not in table:
        raise UnknownName(what, name, table)
    return text, table[text]
