"""What is kept from head to head must not differ from what the whole logbook says afresh."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import pairwise

from pitcrew.domain.logbook.state import State
from pitcrew.domain.patterns.memory import Memory
from pitcrew.domain.patterns.record import Record
from pitcrew.domain.patterns.report import as_data, report
from tests.domain.patterns.season import ALL, EVERY, FIRST, Season
from tests.domain.patterns.test_wear_and_stock import CHAIN, read


class Laptop:
    """A pit that is told one entry after another."""

    def __init__(self, season: Season) -> None:
        self.definitions, self.now, self.state = (
            season.definitions,
            season.end + timedelta(days=1),
            State("UTC"),
        )

    def clock(self) -> datetime:
        return self.now

    @contextmanager
    def reading(self) -> Iterator[State]:
        yield self.state


def told() -> Season:
    """Readings in and out of order, of a match and of none, a part change before some of them,
    faults before and after, corrections."""
    season = Season(8)
    for number in (1, 2, 3, 5, 6, 4):
        read(season, number, 8 + 0.4 * number)
    first = season.entries[8]
    season.broke(3, "loose", part=CHAIN, after=1)
    season.put(
        "reading",
        {**first.body, "inputs": {"travel": {"typed": "14", "value": 14, "unit": "mm"}}},
        FIRST + EVERY * 9,
    )
    season.closed(season.broke(6, "loose", part=CHAIN))
    season.put("part_change", {"part": CHAIN, "identical": True}, FIRST + EVERY * 2.75)
    season.put(
        "correction", {"of": first.id, "body": None, "why": "wrong chain"}, FIRST + EVERY * 10
    )
    season.put(
        "match_run",
        {"planned": FIRST.isoformat(), "actual": FIRST.isoformat(), "ours": "red 1"},
        FIRST,
        "fjord/1/2",
    )
    read(season, 8, 13.0)
    season.put(
        "skipped",
        {"check": "chain-slack", "part": CHAIN, "why": "no time"},
        FIRST + EVERY * 6.5,
        "fjord/7/1",
    )
    season.broke(8, "snapped", part=CHAIN)
    return season


def test_each_head_says_what_its_whole_logbook_says() -> None:
    season = told()
    laptop, memory = Laptop(season), Memory()
    seen = []
    for place, entry in enumerate(season.entries, 1):
        laptop.state.advance([entry])
        if place < 13:
            continue
        with memory.looking(laptop) as record:
            seen.append(as_data(report(record, ALL)))
        afresh = State("UTC")
        afresh.advance(season.entries[:place])
        assert seen[-1] == as_data(report(Record(season.definitions, afresh, laptop.now), ALL)), (
            entry.kind
        )
    assert all(one != other for one, other in pairwise(seen))
