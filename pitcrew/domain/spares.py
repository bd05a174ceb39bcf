"""The spares list, `spares.toml` of the pit folder: what is carried, how many, and when to get more."""

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitcrew.domain.facts import read_time
from pitcrew.domain.mistakes import Mistake, Mistakes
from pitcrew.domain.patterns.wording import words_of
from pitcrew.domain.state import State
from pitcrew.domain.tables import Field, read_table
from pitcrew.errors import BadInput

SPARES_FILE = "spares.toml"
FILE_FIELDS = (Field("spare", "tables", "the items", required=False, default=[]),)
SPARE_FIELDS = (
    Field("item", "text", "what it is, as the crew writes it under `parts used`"),
    Field("count", "count", "how many there were when they were counted", least=0),
    Field("reorder", "count", "get more when so many or fewer are left", required=False, default=0, least=0),
    Field("counted", "text", "when they were counted, such as 2026-03-01T09:00:00Z; repairs after it count down", required=False,
          default=""),
)
_NUMBER_FIRST = re.compile(r"\s*(\d{1,4})\s*[x×]\s+(.+)", re.IGNORECASE)
_NUMBER_LAST = re.compile(r"(.+?)\s*[x×]\s*(\d{1,4})\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Spare:
    """One item of the list. `counted`: repairs after it count down; None counts all of the logbook."""

    item: str
    count: int
    reorder: int = 0
    counted: datetime | None = None


@dataclass(frozen=True)
class Use:
    """So many of an item, used in one repair."""

    item: str
    count: int
    at: datetime
    match: str | None
    entry: str
    fault: str


def parse_spares(table: dict[str, Any]) -> tuple[tuple[Spare, ...], list[Mistake]]:
    """The list of a parsed `spares.toml`, and what in it could not be used."""
    mistakes = Mistakes(SPARES_FILE)
    found: dict[tuple[str, ...], Spare] = {}
    for number, item in enumerate(read_table(table, FILE_FIELDS, "file", mistakes).get("spare", []), 1):
        place = f"spare {item.get('item', number)}"
        values = read_table(item, SPARE_FIELDS, place, mistakes)
        if "item" not in values or "count" not in values:
            continue
        counted = None
        try:
            counted = read_time(values["counted"]) if values.get("counted") else None
        except BadInput as error:
            mistakes.add(f"{place}, counted", values["counted"], error.sentence)
        found[item_key(values["item"])] = Spare(values["item"], values["count"], values.get("reorder", 0), counted)
    return tuple(found.values()), mistakes.marked(False)


def item_key(text: str) -> tuple[str, ...]:
    """What makes two items one: their words and numbers, whatever their order, endings and capitals."""
    return tuple(sorted({*words_of(text), *re.findall(r"[a-z]*\d+(?:[.,/-]\d+)*", text.casefold())}))


def uses(state: State) -> list[Use]:
    """The spares that repairs used, in order of the logbook. `2 x M5 nut` counts as two."""
    moves = sorted((move for moves in state.fault_moves.values() for move in moves), key=lambda move: move.seq)
    return [
        Use(*_counted(text), move.at, move.match, move.id, move.body.fault)
        for move in moves for text in move.body.parts_used if text.strip()
    ]


def _counted(text: str) -> tuple[str, int]:
    if found := _NUMBER_FIRST.fullmatch(text):
        return found[2].strip(), int(found[1])
    if found := _NUMBER_LAST.fullmatch(text):
        return found[1].strip(), int(found[2])
    return text.strip(), 1
