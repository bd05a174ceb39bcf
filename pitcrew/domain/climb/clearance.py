"""Climb clearance: the safety captain's signature over the climb-critical facts, and the one rule
by which it ends.

Every entry with a later `seq` than the signer saw, on a climb-critical part, voids it, except a
reading taken after the signature and judged `ok`. Changed climb-critical definitions void it, and
so does age. Nothing may be missing, unjudged or not loaded at signing, and a signature that came
from another log is history and never counts.
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import islice
from operator import itemgetter

from pitcrew.base.entries import Entry
from pitcrew.base.kinds import a_spoken
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.approved import definitions_at
from pitcrew.domain.climb.basis import Blocker, critical_parts
from pitcrew.domain.climb.endings import doubt_about, ending_text, ends_after, unseen
from pitcrew.domain.climb.firstrules import missing_by_first_rules
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.rules import FIRST_RULES, rules_of
from pitcrew.domain.logbook.facts import UNKNOWN_PART, Fact, ReadingFact, arrived
from pitcrew.domain.logbook.moment import Moment, moment_now
from pitcrew.domain.logbook.secondnames import (
    Wanted,
    deferral_confirmed,
    failure_before,
    has_second_name,
)
from pitcrew.domain.logbook.state import State

ADOPTED = "The signature came from another log: it is history and does not count."


@dataclass(frozen=True)
class ClimbClearance:
    """`cleared`, `void`, `none` or `refused`, the decision that says so, the entry that voided it,
    why, and what is missing."""

    state: str
    fact: Fact | None = None
    voided_by: Entry | None = None
    why: str = ""
    missing: list[Blocker] = field(default_factory=list)

    @property
    def cleared(self) -> bool:
        """Whether the captain's signature clears the climb."""
        return self.state == "cleared"


def past_clearances(moment: Moment) -> list[ClimbClearance]:
    """Every decision of the captain, latest first, with what became of it."""
    return [_decided(moment, fact) for fact in reversed(moment.state.clearances)]


def lacked_when_signed(definitions: Definitions, state: State, fact: Fact) -> list[Blocker]:
    """What a signature lacked by the facts, definitions and rules of its own time; `state` is the
    logbook up to it, no further.

    Of one that someone's entry overtook unseen nothing is asked: that entry ends it.
    """
    if fact.entry.origin is not None or fact.body.decision != "cleared":
        return []
    by_then = definitions_at(
        definitions,
        state,
        fact.seq,
        fact.robot or (definitions.robot.name if definitions.robot else ""),
    )
    moment = moment_now(by_then, state, fact.at)
    overtaken = any(entry.seq < fact.seq for entry in arrived_since(moment, _seen(fact)))
    if overtaken:
        return []
    rules = missing_by_first_rules if rules_of(state, fact) == FIRST_RULES else missing_for_climb
    return rules(moment, _seen(fact), fact.at)


def _made_in(moment: Moment, fact: Fact) -> Moment:
    """The moment by the definitions that were in force when a decision was made, of the robot that
    it was made for."""
    if moment.is_mine(fact.robot) and not any(
        item.seq > fact.seq for item in _decisive_loads(moment)
    ):
        return moment
    return replace(
        moment,
        definitions=definitions_at(
            moment.definitions, moment.state, fact.seq, fact.robot or moment.robot or ""
        ),
    )


def climb_clearance(moment: Moment) -> ClimbClearance:
    """Whether the robot may climb in the run that is next, by the captain's last decision and all
    that came after it."""
    return with_missing(moment, decision_of(moment))


def decision_of(moment: Moment) -> ClimbClearance:
    """What became of the captain's last decision, without what is missing by now."""
    last = _last_decision(moment)
    if last is None:
        why = ADOPTED if moment.mine(moment.state.clearances) else "Nobody has signed for a climb."
        return ClimbClearance("none", why=why)
    return _decided(moment, last)


def with_missing(moment: Moment, decision: ClimbClearance) -> ClimbClearance:
    """A decision with what is missing for the climb, where it does not clear it."""
    return decision if decision.cleared else replace(decision, missing=missing_for_climb(moment))


def _last_decision(moment: Moment) -> Fact | None:
    """The captain's last decision that was made in this log, for the robot that plays."""
    return next(
        (
            fact
            for fact in reversed(moment.mine(moment.state.clearances))
            if fact.entry.origin is None
        ),
        None,
    )


def _decided(moment: Moment, fact: Fact) -> ClimbClearance:
    """What became of one decision of the captain."""
    if fact.entry.origin is not None:
        return ClimbClearance("none", fact, why=ADOPTED)
    if fact.body.decision == "refused":
        return ClimbClearance(
            "refused", fact, why=fact.body.why or f"{fact.person} refused the climb."
        )
    moment = _made_in(moment, fact)
    if ending := _first_voiding(moment, fact):
        aged = _too_old(moment, fact, arrived(ending))
        return ClimbClearance(
            "void", fact, None if aged else ending, aged or _voiding_text(moment, ending)
        )
    why = _too_old(moment, fact) or _not_founded(moment, fact) or doubt_about(moment.state, fact)
    if why:
        return ClimbClearance("void", fact, why=why)
    if wanted := waits_for(moment, fact):
        return ClimbClearance("none", fact, why=wanted.text)
    return ClimbClearance("cleared", fact)


def waits_for(moment: Moment, fact: Fact) -> Wanted | None:
    """The second name that a signature after a climb failure still wants."""
    failure = failure_before(moment, critical_parts(moment), fact)
    if not failure or has_second_name(moment.state, fact.id, fact.person):
        return None
    return Wanted(
        fact.id,
        f"Signed by {fact.person}. After a failure ({failure}) a second person approves it, too.",
        fact.person,
    )


def second_names_wanted(moment: Moment) -> list[Wanted]:
    """What waits for a second name now: the last signature after a failure, and deferrals of
    climb-critical faults."""
    last, critical = _last_decision(moment), critical_parts(moment)
    found = []
    if last is not None and (state := _decided(moment, last)).state == "none":
        found.append(Wanted(last.id, state.why, last.person))
    for fault in moment.faults:
        if (
            fault.part in critical
            and fault.deferral
            and not deferral_confirmed(moment.state, fault)
        ):
            deferral = fault.deferral
            text = (
                f"{moment.label(fault.part)}: {fault.symptom}, deferred by {deferral.who}."
                f" {deferral.why}".strip()
            )
            found.append(Wanted(deferral.move, text, deferral.who))
    return found


def arrived_since(moment: Moment, seen_seq: int) -> list[Entry]:
    """The entries that concern the climb and came after what a screen showed, by `seq`."""
    end = moment.state.head + 1
    found = {
        entry.seq: entry
        for part in (UNKNOWN_PART, *critical_parts(moment), *moment.unknown_parts)
        for entry in _touched(moment.state, part, seen_seq, end)
    }
    found |= {
        fact.seq: fact.entry
        for fact in moment.state.clearances + _decisive_loads(moment)
        if fact.seq > seen_seq
    }
    found |= {entry.seq: entry for entry in unseen(moment.state, seen_seq)}
    return [found[seq] for seq in sorted(found)]


def _touched(state: State, part: str, after: int, before: int) -> Iterator[Entry]:
    """The entries that touch a part, with `seq` after the one and before the other, by `seq`."""
    touches = state.touches.get(part, [])
    first, end = (bisect_left(touches, seq, key=itemgetter(0)) for seq in (after + 1, before))
    return (entry for _, entry in islice(touches, first, end))


def _seen(fact: Fact) -> int:
    """The last `seq` that the signer saw: what the screen showed, never more than the signature's
    own."""
    seen: int = fact.body.seen_seq
    return min(seen, fact.seq)


def _first_voiding(moment: Moment, fact: Fact) -> Entry | None:
    """The first entry after what the signer saw that ends a clearance: by the one rule, by changed
    definitions, by a later decision."""
    found = [item.entry for item in _decisive_loads(moment) if item.seq > _seen(fact)]
    found += [item.entry for item in moment.mine(moment.state.clearances) if item.seq > fact.seq][
        :1
    ]
    found += ends_after(moment.state, fact)
    for part in (UNKNOWN_PART, *critical_parts(moment), *moment.unknown_parts):
        before = min((entry.seq for entry in found), default=moment.state.head + 1)
        unseen = _touched(moment.state, part, _seen(fact), before)
        found += islice((entry for entry in unseen if _voids(moment, fact, entry)), 1)
    return min(found, key=lambda entry: entry.seq, default=None)


def _decisive_loads(moment: Moment) -> list[Fact]:
    """The loads that changed climb-critical definitions or could not read some, and what was
    decided on them: either changes what is in force."""
    loads = [load for load in moment.state.loads if load.body.changes or load.body.mistakes]
    return loads + [
        decision for load in loads for decision in moment.state.approvals.get(load.id, [])
    ]


def _voids(moment: Moment, fact: Fact, entry: Entry) -> bool:
    if entry.robot in moment.definitions.robots and not moment.is_mine(entry.robot):
        return False
    if entry.kind == "approval" and entry.body.get("decision") == "confirmed":
        return False
    reading = moment.state.facts.get(entry.id)
    return not (
        isinstance(reading, ReadingFact) and reading.at > fact.at and reading.verdict == "ok"
    )


def _voiding_text(moment: Moment, entry: Entry) -> str:
    kind = a_spoken(entry.kind)
    if text := ending_text(entry):
        return text
    if entry.kind == "definitions":
        if not entry.body.get("changes"):
            return (
                f"A file with mistakes was refused after the signature (entry {entry.seq}); what it"
                " says of the climb is missing."
            )
        return f"Climb-critical definitions changed after the signature (entry {entry.seq})."
    if entry.kind == "clearance":
        return f"{entry.person} decided again."
    if entry.kind == "approval":
        return (
            f"A second name was given or refused after the signature ({entry.person}, entry"
            f" {entry.seq})."
        )
    part = entry.body.get("part")
    where = f" on {moment.label(part)}" if isinstance(part, str) and part else ""
    return (
        f"{kind.capitalize()}{where} came after the signature"
        f" ({entry.person or 'nobody named'}, entry {entry.seq})."
    )


def _too_old(moment: Moment, fact: Fact, by: datetime | None = None) -> str:
    """Why a clearance has ended by age (at the time `by`, if given): the event's day changed, or it
    has lasted its match runs."""
    then = moment if by is None else replace(moment, now=by)
    lasts = moment.definitions.settings["clearance_runs"]
    runs = moment.runs_since(fact.at, by)
    if len(runs) >= lasts:
        return (
            f"It lasts {lasts} match run{'s' if lasts > 1 else ''}; {runs[lasts - 1].label} was"
            " played since."
        )
    if not then.same_day(fact.at):
        return "It was signed on another day."
    if by is not None:
        return ""
    order = [run.id for run in moment.state.runs_in_order() if run.ours and not run.cancelled]
    here = moment.run.id if moment.run else None
    if (
        here in order
        and fact.match in order
        and order.index(here) - order.index(fact.match) >= lasts
    ):
        return f"It was signed for an earlier match run and lasts {lasts}."
    return ""


def _not_founded(moment: Moment, fact: Fact) -> str:
    """What was missing when a clearance was signed, or what it has come to lack since."""
    for before, missing in (
        ("Signed while something was missing.", missing_for_climb(moment, _seen(fact), fact.at)),
        ("What was signed holds no more.", missing_for_climb(moment, None, fact.at)),
    ):
        if missing:
            return f"{before} {missing[0].text}"
    return ""
