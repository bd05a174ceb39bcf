"""Invented seasons for the tests of patterns: matches every half hour, and faults where a test
wants them."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from pitcrew.base.entries import Entry
from pitcrew.domain.patterns.record import Record, Scope
from tests.domain.folded import Log

FIRST = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
EVERY = timedelta(minutes=30)
ALL = Scope()


class Season(Log):
    """A logbook of our matches 1, 2, 3 …, half an hour apart, all of them played."""

    def __init__(
        self, matches: int, event: str = "fjord", first: datetime = FIRST, robot: str = "tern"
    ) -> None:
        super().__init__()
        self.matches = 0
        self.end = first
        self.play(matches, event, first, robot)

    def play(
        self, matches: int, event: str = "fjord", first: datetime | None = None, robot: str = "tern"
    ) -> None:
        """More matches of an event."""
        start = first or self.end + EVERY
        for number in range(1, matches + 1):
            at = start + EVERY * (number - 1)
            self.put(
                "match_run",
                {"planned": at.isoformat(), "actual": at.isoformat(), "ours": "red 1"},
                at,
                f"{event}/{number}/1",
                robot,
            )
            self.end = at
        self.matches += matches

    def put(
        self,
        kind: str,
        body: dict,
        at: datetime,
        match: str | None = None,
        robot: str | None = "tern",
    ) -> Entry:
        """One entry at an instant."""
        entry = self.add(kind, body, match=match, robot=robot)
        self.entries[-1] = type(entry)(
            **{name: getattr(entry, name) for name in entry.__struct_fields__}
            | {"at": at.isoformat()}
        )
        return self.entries[-1]

    def broke(
        self,
        number: int,
        symptom: str = "bent",
        part: str = "lift.bracket",
        grade: str = "stop",
        event: str = "fjord",
        match: bool = True,
        after: int = 5,
        robot: str = "tern",
    ) -> Entry:
        """A fault in that match (or, without `match`, at its time)."""
        at = FIRST + EVERY * (number - 1) + timedelta(minutes=after)
        return self.put(
            "fault",
            {"part": part, "symptom": symptom, "grade": grade},
            at,
            f"{event}/{number}/1" if match else None,
            robot,
        )

    def closed(
        self,
        fault: Entry,
        why: str = "tightened",
        to: str = "repaired",
        used: Sequence[str] = (),
        minutes: int = 5,
    ) -> Entry:
        """That fault closed some minutes later."""
        at = datetime.fromisoformat(fault.at) + timedelta(minutes=minutes)
        return self.put(
            "fault_move", {"fault": fault.id, "to": to, "why": why, "parts_used": list(used)}, at
        )

    def record(self) -> Record:
        """Seen a day after the last match."""
        return Record(self.definitions, self.state(), self.end + timedelta(days=1))
