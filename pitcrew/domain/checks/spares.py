"""The spares list, `spares.toml` of the pit folder: what is carried, how many, and when to get
more."""

import re
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from pitcrew.base.clock import read_time, zone
from pitcrew.base.errors import BadInput
from pitcrew.domain.robot.mistakes import Mistake, Mistakes, Words
from pitcrew.domain.robot.tables import Field, read_table
from pitcrew.domain.robot.wording import words_of

SPARES_FILE = "spares.toml"
WHEN = "2026-03-01, or 2026-03-01 14:30, or 2026-03-01T14:30:00Z"
WHEN_PATTERN = (
    r"^[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9]{2}:[0-9]{2}(:[0-9]{2})?(Z|[+-][0-9]{2}:[0-9]{2})?)?$"
)
FILE_FIELDS = (Field("spare", "tables", "the items", required=False, default=[]),)
SPARE_FIELDS = (
    Field("item", "text", "what it is, as the crew writes it under `parts used`"),
    Field("count", "count", "how many there were when they were counted", least=0),
    Field(
        "reorder",
        "count",
        "get more when so many or fewer are left",
        required=False,
        default=0,
        least=0,
    ),
    Field(
        "counted",
        "any",
        f"the day or time at which they were counted; repairs after it count down: {WHEN}",
        required=False,
        default="",
    ),
)


@dataclass(frozen=True)
class Spare:
    """One item of the list. `counted`: repairs after it count down; None counts all of the
    logbook."""

    item: str
    count: int
    reorder: int = 0
    counted: datetime | None = None


def parse_spares(
    table: dict[str, Any], zone_name: str = "UTC"
) -> tuple[tuple[Spare, ...], list[Mistake]]:
    """The list of a parsed `spares.toml`, and what in it could not be used. Days and times without
    a zone are those of `zone_name`."""
    mistakes = Mistakes(SPARES_FILE)
    found: dict[tuple[str, ...], Spare] = {}
    for number, item in enumerate(
        read_table(table, FILE_FIELDS, "file", mistakes).get("spare", []), 1
    ):
        place = f"spare {item.get('item', number)}"
        values = read_table(item, SPARE_FIELDS, place, mistakes)
        if "item" not in values or "count" not in values:
            continue
        if item_key(values["item"]) in found:
            mistakes.add(
                place,
                Words("the same item twice"),
                "one entry for each item, with their sum as its count",
            )
            continue
        counted = _counted_at(values.get("counted") or "", zone_name, place, mistakes)
        found[item_key(values["item"])] = Spare(
            values["item"], values["count"], values.get("reorder", 0), counted
        )
    return tuple(found.values()), mistakes.marked(False)


def _counted_at(given: Any, zone_name: str, place: str, mistakes: Mistakes) -> datetime | None:
    """When an item was counted: a text, or a day or time as TOML has them; a day counts from its
    beginning."""
    text = given.isoformat() if isinstance(given, date) else given
    if text == "":
        return None
    try:
        moment = datetime.fromisoformat(text)
        return read_time(
            (moment if moment.tzinfo else moment.replace(tzinfo=zone(zone_name))).isoformat()
        )
    except (BadInput, TypeError, ValueError):
        mistakes.add(f"{place}, counted", given, f"a day or a time, such as {WHEN}")
        return None


def item_key(text: str) -> tuple[str, ...]:
    """What makes two items one: their words and numbers, whatever their order, endings and
    capitals."""
    return tuple(
        sorted({*words_of(text), *re.findall(r"[a-z]*\d+(?:[.,/-]\d+)*", text.casefold())})
    )
