"""The second name: what one person decides about the climb and another must confirm with their own
PIN.

Three things want it: deferring a fault of a climb-critical part, clearing after a climb failure,
and a changed climb-critical definition (`approved.py`, where it takes two approvals, since no one
signs for an edited file). A hold test, and a debrief that reports a climb that held, count for
more once a second person confirms having seen it; anyone in the pit may.
"""

from dataclasses import dataclass

from pitcrew.domain.logbook.climbs import Climb, failed
from pitcrew.domain.logbook.corrections import brought_by
from pitcrew.domain.logbook.doors import ids_of_browser, still_theirs
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import State


@dataclass(frozen=True)
class Wanted:
    """An entry that waits for a second name: its id, what it is, who decided it (and may not give
    it), and who gave one already.

    `lines` says of a changed definition what changes, a line each, under `head`; `text` holds all.
    """

    of: str
    text: str
    decided_by: str = ""
    given: tuple[str, ...] = ()
    head: str = ""
    lines: tuple[str, ...] = ()


def approvers(state: State, entry_id: str, decision: str = "approved") -> list[str]:
    """Who stands by an entry: each person's last decision counts, given in this log and not adopted
    from another, with a PIN that was not reset since."""
    last = {
        fact.person: fact for fact in state.approvals.get(entry_id, []) if fact.entry.origin is None
    }
    return [
        person
        for person, fact in last.items()
        if fact.body.decision == decision and still_theirs(state.accesses, fact)
    ]


def has_second_name(state: State, entry_id: str, first: str) -> bool:
    """Whether someone other than `first` approved an entry, and than who brought it, where nothing
    proves it."""
    entry = state.entries_by_id.get(entry_id)
    bringer = (brought_by(entry) or {}).get("person") if entry else None
    return any(person not in (first, bringer) for person in approvers(state, entry_id))


def witnesses(state: State, fact: Fact, up_to_seq: int | None = None) -> list[str]:
    """Who else confirmed what a reading or a debrief says, as it stands now: another person, on
    another device or by PIN.

    `up_to_seq`: of what was known at that entry; None for all.
    """
    since = max((entry.seq for entry in state.corrections.get(fact.id, [])), default=0)
    own = ids_of_browser(state.accesses, fact.entry.device)
    found = [
        item.person
        for item in state.approvals.get(fact.id, [])
        if item.body.decision == "confirmed"
        and item.entry.origin is None
        and item.seq > since
        and item.person != fact.person
        and (item.body.by_pin or item.entry.device not in own)
        and (up_to_seq is None or item.seq <= up_to_seq)
    ]
    return list(dict.fromkeys(found))


def told_by_two(state: State, climb: Climb, up_to_seq: int | None = None) -> bool:
    """Whether two people, on two devices or by PIN, tell that a climb held; of what was known at
    `up_to_seq`, if given."""
    told = [fact for fact in climb.told if up_to_seq is None or fact.seq <= up_to_seq]
    people, devices = (
        {pair[place] for pair in ((fact.person, _browser(state, fact)) for fact in told)}
        for place in (0, 1)
    )
    return climb.held and (
        min(len(people), len(devices)) > 1
        or any(witnesses(state, fact, up_to_seq) for fact in told)
    )


def _browser(state: State, fact: Fact) -> frozenset[str]:
    return ids_of_browser(state.accesses, fact.entry.device)


def deferral_confirmed(state: State, fault: Fault) -> bool:
    """Whether a deferral has its second name."""
    return fault.deferral is not None and has_second_name(
        state, fault.deferral.move, fault.deferral.who
    )


def failure_before(moment: Moment, critical: set[str], signed: Fact | None) -> str:
    """The climb failure that a signature (None: the next one) has to answer with a second name, in
    words; empty if there is none.

    One that an earlier signature with its second name came after is answered.
    """
    until = signed.seq if signed else moment.state.head + 1
    cleared = [
        fact
        for fact in moment.state.clearances
        if fact.body.decision == "cleared" and fact.entry.origin is None
    ]
    named = [
        fact.seq
        for fact in cleared
        if fact.seq < until and has_second_name(moment.state, fact.id, fact.person)
    ]
    answered = max(named, default=0)
    found = [pair for pair in _failures(moment, critical) if answered < pair[0] < until]
    return max(found)[1] if found else ""


def _failures(moment: Moment, critical: set[str]) -> list[tuple[int, str]]:
    """(seq, words) of the climb failures: a stop on a climb-critical part, or a debrief that tells
    of one."""
    facts = moment.state.facts
    stops = [
        (facts[fault.id].seq, f"{moment.label(fault.part)}: {fault.symptom}")
        for fault in moment.faults
        if fault.grade == "stop" and fault.part in critical and fault.id in facts
    ]
    told = [
        (fact.seq, "the climb did not hold, says the debrief")
        for fact in moment.mine(moment.state.debriefs)
        if failed(fact.body.answers)
    ]
    return stops + told
