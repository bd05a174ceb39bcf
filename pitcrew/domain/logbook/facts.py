"""What the fold keeps of an entry: its body as read, its corrected time and its place in an ordered
list.

Facts (readings, faults, part changes, battery and match facts) are ordered by corrected time, then
id; decisions (moves, clearance, approvals, handoffs) by `seq`.
"""

from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from pitcrew.base.clock import EARLIEST, read_time
from pitcrew.base.entries import Entry
from pitcrew.base.errors import BadInput
from pitcrew.base.kinds import KINDS
from pitcrew.base.kinds.kind import VERDICTS
from pitcrew.domain.checks.judging import by_own_limit
from pitcrew.domain.checks.readings import Judgement, worse

UNKNOWN_PART = ""
"""The part of an entry whose part cannot be known: it may be any, climb-critical ones included."""
AGAINST = frozenset(
    {"part_change", "temporary", "temporary_undone", "fault", "fault_move", "debrief"}
)
"""Kinds of entries that count against what was seen before them: work, faults, hits."""
SURE = timedelta(minutes=1)
"""How long before its receipt an entry may have been made for its time to need no clock check."""


def corrected(entry: Entry) -> datetime:
    """When it happened, in UTC: the maker's `at` plus the measured `offset` in seconds (none for
    files and codes).

    Nothing happens after it was received: a clock that is ahead and was not measured counts as the
    time of receipt, so that a reading from before a repair cannot prove it. Where `at` is no time
    that a clock can show, the time of receipt stands in, and without one the year 1970.
    """
    received = _time_or_none(entry.received_at)
    happened = _time_or_none(entry.at, entry.offset)
    if happened is None or (received is not None and happened > received):
        return received or EARLIEST
    return happened


def arrived(entry: Entry) -> datetime:
    """When the laptop received it, in UTC; when it happened, where that is not known."""
    return _time_or_none(entry.received_at) or corrected(entry)


def clock_known(entry: Entry) -> bool:
    """Whether its time can be relied on: the maker's clock was measured, or the entry came at
    once."""
    if entry.offset is not None or not entry.received_at or entry.received_at == entry.at:
        return True
    return _received(entry) - corrected(entry) <= SURE


def _received(entry: Entry) -> datetime:
    """When a laptop of this pit first had it: the one before, where its seal proves that."""
    origin = entry.origin or {}
    first = _time_or_none(str(origin.get("received_at", ""))) if origin.get("proven") else None
    return first or arrived(entry)


def _time_or_none(text: str, offset: float | None = None) -> datetime | None:
    try:
        return read_time(text, offset)
    except BadInput:
        return None


def _is_decision(kind: str) -> bool:
    return kind in KINDS and KINDS[kind].decision


class Fact:
    """One entry in force (corrections applied), its body as the struct of its kind, and the parts
    that it touches."""

    def __init__(self, entry: Entry, body: Any, parts: tuple[str, ...]) -> None:
        self.entry = entry
        self.body = body
        self.parts = parts
        doubtful = entry.kind in AGAINST and not clock_known(entry)
        self.at = _received(entry) if doubtful else corrected(entry)
        self.corrected_by = ""
        """Who corrected it last, where a correction counts."""
        self.order: tuple[Any, str] = (entry.seq if _is_decision(entry.kind) else self.at, entry.id)

    @property
    def id(self) -> str:
        """The entry's id."""
        return self.entry.id

    @property
    def seq(self) -> int:
        """The entry's number in the pit's log."""
        return self.entry.seq

    @property
    def person(self) -> str:
        """Who made it."""
        return self.entry.person

    @property
    def marks(self) -> tuple[str, ...]:
        """What everyone who reads it should know of it beside its author: corrected,
        unverified."""
        corrected = (f"corrected by {self.corrected_by}",) if self.corrected_by else ()
        origin = self.entry.origin
        return (*corrected, "unverified") if origin and not origin.get("proven") else corrected

    @property
    def match(self) -> str | None:
        """The match run that it names."""
        return self.entry.match

    @property
    def robot(self) -> str | None:
        """The robot that it was made on."""
        return self.entry.robot


class ReadingFact(Fact):
    """A reading, judged once more from its own limit and inputs: of all judgements the worst
    stands.

    `limit` is the limit that it was judged by, so that a later change of a file never rewrites an
    old verdict. One that did not pass, by a clock that no one has checked, counts from its receipt.
    """

    def __init__(self, entry: Entry, body: Any, parts: tuple[str, ...]) -> None:
        super().__init__(entry, body, parts)
        if not clock_known(entry) and not self.done:
            self.at = _received(entry)
            self.order = (self.at, entry.id)

    @property
    def check(self) -> str:
        """The id of the check."""
        return str(self.body.check)

    @property
    def part(self) -> str:
        """The id of the part."""
        return str(self.body.part)

    @property
    def key(self) -> str:
        """`check@part`."""
        return f"{self.body.check}@{self.body.part}"

    @property
    def inputs(self) -> dict[str, Any]:
        """The inputs as they came: name -> typed, value, unit."""
        inputs: dict[str, Any] = self.entry.body.get("inputs", {})
        return inputs

    @property
    def limit(self) -> dict[str, Any] | None:
        """The phone's limit, or where it sent none the one that the server judged by."""
        return self.body.limit or self._judged.get("limit")

    @property
    def verdict(self) -> str:
        """`ok`, `watch`, `stop` or `unjudged`."""
        return self._judgement.verdict

    @cached_property
    def standing(self) -> str:
        """The same for counting many: where the server noted no difference, it had found what the
        phone wrote and is not asked again."""
        plain = (
            self.entry.judged is None and self.entry.origin is None and self.body.limit is not None
        )
        return self.body.verdict if plain and self.body.verdict else self.verdict

    @property
    def sentence(self) -> str:
        """Why, and what to do."""
        return self._judgement.sentence

    @property
    def result(self) -> Any:
        """The number that the limit judges, SI; None where there is none."""
        return self._judgement.result

    @property
    def done(self) -> bool:
        """Whether the check counts as done by this reading: judged `ok` or `watch`."""
        return self.verdict in ("ok", "watch")

    @property
    def conflict_with_phone(self) -> str:
        """One sentence where the phone showed another verdict than the one that stands; else
        empty."""
        shown = self.body.verdict
        if shown is None or shown == self.verdict:
            return ""
        return (
            f"The phone showed {shown}; judged again it is {self.verdict}, and the worse of the two"
            " stands."
        )

    @property
    def _judged(self) -> dict[str, Any]:
        return self.entry.judged or {}

    @cached_property
    def _judgement(self) -> Judgement:
        by_its_limit = by_own_limit(self.limit, self.inputs) if self.limit is not None else None
        candidates = [by_its_limit, self._by_the_server(), self._by_the_phone()]
        found = [judgement for judgement in candidates if judgement is not None]
        if not found:
            return Judgement(
                "unjudged", "It came without a limit or a verdict. Measure again.", self.body.result
            )
        worst = found[0]
        for judgement in found[1:]:
            if worse(worst.verdict, judgement.verdict) != worst.verdict:
                worst = judgement
        return worst

    def _by_the_server(self) -> Judgement | None:
        verdict = self._judged.get("verdict")
        if verdict not in VERDICTS:
            return None
        return Judgement(verdict, str(self._judged.get("sentence", "")), self._judged.get("result"))

    def _by_the_phone(self) -> Judgement | None:
        """The phone's own verdict, which can only make it worse: alone and without a limit it
        proves nothing."""
        verdict = self.body.verdict
        if verdict is None or (
            verdict in ("ok", "watch") and self.limit is None and not self._judged
        ):
            return None
        return Judgement(verdict, f"The phone judged it {verdict}.", self.body.result)
