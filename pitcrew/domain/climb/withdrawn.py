"""Stops on what the climb hangs on that a correction took out: open until the captain has seen
them.

A correction may be right, and it may hide what someone saw. It ends a signature as anything on the
part does; and the stop is on Climb until the captain signs or refuses over a screen that shows
it.
"""

from dataclasses import dataclass

from pitcrew.base.entries import Entry, read_body
from pitcrew.base.errors import PitcrewError
from pitcrew.domain.climb.basis import critical_parts
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment


@dataclass(frozen=True)
class WithdrawnStop:
    """A stop that stands no more: what it was, and the correction that took it out."""

    part: str
    text: str
    person: str
    correction: Entry
    why: str

    @property
    def sentence(self) -> str:
        """What was taken out, by whom and why."""
        by = self.correction.person or "somebody"
        said = f', who wrote "{self.why}"' if self.why else ""
        return f"{self.text} ({self.person or 'nobody named'}) was taken out by {by}{said}"


def withdrawn_stops(moment: Moment) -> list[WithdrawnStop]:
    """The withdrawn stops that the captain has not seen yet, by the number of what took them
    out."""
    critical = critical_parts(moment)
    seen = max(
        (_seen(fact) for fact in moment.mine(moment.state.clearances) if fact.entry.origin is None),
        default=0,
    )
    found = [
        stop
        for of in moment.state.corrections
        if (stop := _withdrawn(moment, of, critical)) is not None
    ]
    return sorted(
        (stop for stop in found if stop.correction.seq > seen), key=lambda stop: stop.correction.seq
    )


def _seen(decision: Fact) -> int:
    seen: int = decision.body.seen_seq
    return min(seen, decision.seq)


def _withdrawn(moment: Moment, entry_id: str, critical: set[str]) -> WithdrawnStop | None:
    """The last stop that an entry was, where it is none now; None where it never was, or still
    is."""
    original = moment.state.entries_by_id.get(entry_id)
    if (
        original is None
        or original.kind not in ("reading", "fault")
        or not moment.is_mine(original.robot)
    ):
        return None
    stood = moment.state.versions(entry_id)
    stops = [
        place
        for place, (entry, _) in enumerate(stood)
        if entry is not None and _stop_on(entry) in critical
    ]
    if not stops or stops[-1] == len(stood) - 1:
        return None
    was, taken = stood[stops[-1]][0], stood[stops[-1] + 1][1]
    assert was is not None and taken is not None
    part = str(was.body["part"])
    return WithdrawnStop(
        part,
        f"{moment.label(part)}: {_what(moment, was)}",
        was.person,
        taken,
        str(taken.body.get("why", "")),
    )


def _stop_on(entry: Entry) -> str:
    """The part on which an entry says stop; empty where it does not, or cannot be read."""
    try:
        body = read_body(entry.kind, entry.body)
    except PitcrewError:
        return ""
    verdict = ReadingFact(entry, body, ()).verdict if entry.kind == "reading" else body.grade
    return body.part if verdict == "stop" else ""


def _what(moment: Moment, was: Entry) -> str:
    """What the stop said: the check that was judged, or the fault's words."""
    if was.kind == "fault":
        return f"the fault {was.body.get('symptom')!r}"
    item = moment.definitions.part_checks.get(f"{was.body['check']}@{was.body['part']}")
    return f"a stop of {item.check.label if item else was.body['check']}"
