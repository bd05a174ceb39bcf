"""What blocked a signature by the rules of the first release: what its signatures are held to when
a log is verified.

Nothing here decides whether anyone may climb today: `missing.py` does. These rules never change, so
that a signature that was honest when it was given stays so. The factors of the links are not
computed again: figures have been corrected since, and a number of today would say nothing about
what the captain saw.
"""

from collections.abc import Iterator
from datetime import datetime

from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.basis import Blocker, critical_parts
from pitcrew.domain.logbook.faults import Fault, is_open_now
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.secondnames import deferral_confirmed


def missing_by_first_rules(moment: Moment, seen_seq: int, signed_at: datetime) -> list[Blocker]:
    """What blocked a signature given at `signed_at`, by the readings known at `seen_seq`."""
    return [
        *_not_loaded(moment),
        *_checks(moment, seen_seq, signed_at),
        *_faults_and_temporaries(moment, seen_seq),
    ]


def _not_loaded(moment: Moment) -> Iterator[Blocker]:
    for mistake in moment.definitions.mistakes:
        if mistake.climb:
            yield Blocker(mistake.sentence, kind="mistake")
    if moment.definitions.robot is None:
        yield Blocker("No build sheet was loaded for the robot that played.", kind="mistake")


def _checks(moment: Moment, seen_seq: int, signed_at: datetime) -> Iterator[Blocker]:
    every = moment.definitions.part_checks.values()
    checks = [item for item in every if item.part.climb_critical or item.check.for_climb]
    if not checks:
        yield Blocker("No climb-critical part had a check: nothing to sign over.", kind="mistake")
    for item in checks:
        if text := _lacks(moment, item, seen_seq, signed_at):
            text = f"{item.check.label}, {item.part.label}: {text}"
            yield Blocker(text, item.key, "check", item.key)


def _faults_and_temporaries(moment: Moment, seen_seq: int) -> Iterator[Blocker]:
    critical = critical_parts(moment)
    for fault in moment.faults:
        if fault.part in critical and (text := _fault_blocks(moment, fault, seen_seq)):
            yield Blocker(text, kind="fault", ref=fault.id)
    for item in moment.state.temporaries.values():
        if item.open and item.blocks and item.part in critical and moment.is_mine(item.robot):
            text = f"{moment.label(item.part)}: {item.what}; not undone."
            yield Blocker(text, kind="temporary", ref=item.id)


def _lacks(moment: Moment, item: PartCheck, seen_seq: int, until: datetime) -> str:
    """What the signature lacked of one check; empty if it was done."""
    last = moment.last_reading(item.key, seen_seq)
    if last is None:
        return "never done."
    if not last.done:
        return f"{last.verdict}. {last.sentence}"
    touched = moment.repaired_or_changed(item.part.id)
    if touched is not None and touched >= last.at:
        return "not done since the part was repaired or changed."
    if item.check.for_climb and (runs := moment.runs_since(last.at, until)):
        return f"not done since {runs[-1].label} was played."
    return ""


def _fault_blocks(moment: Moment, fault: Fault, seen_seq: int) -> str:
    """Why a fault on a climb-critical part blocked the signature; empty if it did not. A mere
    `watch` never did.
    """
    name = f"{moment.label(fault.part)}: {fault.symptom}"
    unseen_proof = fault.proof is not None and fault.proof.seq > seen_seq
    if fault.grade == "watch" or (fault.closed and not unseen_proof):
        return ""
    if is_open_now(fault, moment.state, moment.run):
        return f"{name} was an open fault."
    if fault.state in ("repaired", "proven"):
        return f"{name} was repaired, but no passing reading had proven it."
    return (
        ""
        if deferral_confirmed(moment.state, fault)
        else f"{name} was deferred without a second name."
    )
