"""What ends a signature beside work on the parts: a PIN that was reset after it.

A reset lets somebody else sign as that person, so what stands on the old PIN stands no more.
"""

from dataclasses import dataclass
from datetime import datetime

from pitcrew.base.entries import Entry
from pitcrew.domain.logbook.doors import door_text, pin_resets
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.secondnames import approvers
from pitcrew.domain.logbook.state import State


@dataclass(frozen=True)
class Doubt:
    """Something that everybody who looks at the climb should know: what, and since when."""

    text: str
    at: datetime


def doubts(moment: Moment) -> list[Doubt]:
    """The PINs that were reset today, the latest first: whoever signs with a fresh PIN may be somebody else."""
    return [
        Doubt(f"{door_text(fact.body)} What {fact.body.person} signed before that no longer counts.", fact.at)
        for fact in reversed(pin_resets(moment.state.accesses)) if moment.same_day(fact.at)
    ]


def ends_after(state: State, fact: Fact) -> list[Entry]:
    """The entries after a signature that end it whatever part they are about, by number."""
    signers = {fact.person, *approvers(state, fact.id)}
    return [
        reset.entry for reset in pin_resets(state.accesses)
        if reset.seq > fact.seq and reset.body.person in signers
    ]


def unseen(state: State, seen_seq: int) -> list[Entry]:
    """The same of any signer, after what a screen showed: the captain sees them before signing."""
    return [reset.entry for reset in pin_resets(state.accesses) if reset.seq > seen_seq]


def ending_text(entry: Entry) -> str:
    """Why such an entry ended a signature, in a sentence; empty for an entry of another kind."""
    if entry.kind != "access":
        return ""
    by = f" by {entry.body['by']}" if entry.body.get("by") else ""
    return (
        f"The PIN of {entry.body.get('person')} was reset{by} after the signature "
        f"(entry {entry.seq}), so it has to be signed again."
    )
