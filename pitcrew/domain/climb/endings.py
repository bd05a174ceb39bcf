"""What ends a signature beside work on the parts: a debrief that reports a hit or a climb that did
not hold, a PIN that was reset after it, and a logbook that lost entries or may have lost some.

A reset lets someone else sign as that person, so what rests on the old PIN no longer counts. An
entry that is lost may be the one that ended the signature. Where a loss is only possible
(`unsure`), a phone that has seen the signature in this log and nothing beyond it sets it right.
"""

from dataclasses import dataclass
from datetime import datetime

from pitcrew.base.entries import Entry, read_body
from pitcrew.base.kinds.access import door_text
from pitcrew.base.kinds.loss import loss_text
from pitcrew.domain.logbook.climbs import hit_text, was_hit
from pitcrew.domain.logbook.doors import own_losses, pin_resets
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import State


@dataclass(frozen=True)
class Doubt:
    """Something that everyone who looks at the climb should know: what, and since when."""

    text: str
    at: datetime


def doubts(moment: Moment) -> list[Doubt]:
    """Today's losses and PIN resets, the latest first: whoever signs with a fresh PIN may be
    someone else."""
    state = moment.state
    told = [
        (
            fact,
            f"{door_text(fact.body)} What {fact.body.person} signed or approved before that no "
            "longer counts.",
        )
        for fact in pin_resets(state.accesses)
    ]
    told += [
        (fact, loss_text(fact.body))
        for fact in own_losses(state.losses)
        if not _answered(state, fact, 0)
    ]
    told = sorted(
        (pair for pair in told if moment.same_day(pair[0].at)), key=lambda pair: -pair[0].seq
    )
    found = [Doubt(text, fact.at) for fact, text in told]
    beside = [text for text in (state.doubt, state.unfinished) if text]
    return [*(Doubt(text, moment.now) for text in beside), *found]


def ends_after(state: State, fact: Fact) -> list[Entry]:
    """The entries after a signature that end it whatever part they are about."""
    named = (item.person for item in state.approvals.get(fact.id, []) if item.entry.origin is None)
    signers = {fact.person, *named}
    resets = [reset.entry for reset in pin_resets(state.accesses) if reset.body.person in signers]
    losses = [
        loss.entry for loss in own_losses(state.losses) if not _answered(state, loss, fact.seq)
    ]
    seen = min(fact.body.seen_seq, fact.seq)  # no screen shows what comes after the signature
    told = [hit for hit in _hits(state, seen) if hit.robot in (None, fact.robot)]
    return [*told, *(entry for entry in (*resets, *losses) if entry.seq > fact.seq)]


def _hits(state: State, seen_seq: int) -> list[Entry]:
    """The debriefs after an entry that report a hit, by which the hold test no longer counts."""
    return [
        fact.entry for fact in state.debriefs if fact.seq > seen_seq and was_hit(fact.body.answers)
    ]


def doubt_about(state: State, fact: Fact) -> str:
    """What was found beside the entries that keeps a signature from counting, in a sentence."""
    return state.doubt if fact.seq <= state.doubted_to else ""


def unseen(state: State, seen_seq: int) -> list[Entry]:
    """The same of any signer, after what a screen showed: the captain sees them before signing."""
    found = (*pin_resets(state.accesses), *own_losses(state.losses))
    return [*(fact.entry for fact in found if fact.seq > seen_seq), *_hits(state, seen_seq)]


def _answered(state: State, loss: Fact, signed: int) -> bool:
    """Whether a phone has shown that it had seen the entry `signed` of this log when it was unsure
    whether the log is whole."""
    return loss.body.what == "unsure" and any(
        fact.body.what == "head_shown"
        and fact.body.of == loss.id
        and (fact.body.seen or 0) >= signed
        for fact in state.accesses
        if fact.entry.origin is None
    )


def ending_text(entry: Entry) -> str:
    """Why such an entry ended a signature, in a sentence; empty for an entry of another kind."""
    if entry.kind == "loss":
        body = read_body("loss", entry.body)
        again = (
            " It counts again once a phone that has seen it shows that it saw no more."
            if body.what == "unsure"
            else ""
        )
        return f"{loss_text(body)} (Entry {entry.seq}.) The captain has to sign again.{again}"
    if entry.kind == "debrief":
        says = hit_text(entry.body["answers"])
        return f"A debrief after the signature says {says} (entry {entry.seq})."
    if entry.kind != "access":
        return ""
    by = f" by {entry.body['by']}" if entry.body.get("by") else ""
    return (
        f"The PIN of {entry.body.get('person')} was reset{by} after the signature "
        f"(entry {entry.seq}), so it has to be signed again."
    )
