"""Faults: `open → deferred → repaired → proven`, or `no fault found`; every move is held against
one table.

A move that the table does not have when it arrives is kept and shown as a conflict, never refused.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.runs import HasRuns, Run, runs_in_order

ALLOWED: Mapping[str, frozenset[str]] = {
    "open": frozenset({"deferred", "repaired", "no_fault_found"}),
    "deferred": frozenset({"open", "deferred", "repaired", "no_fault_found"}),
    "repaired": frozenset({"proven", "open"}),
    "proven": frozenset({"open"}),
    "no_fault_found": frozenset({"open"}),
}
WORDS: Mapping[str, str] = {
    "open": "open",
    "deferred": "deferred",
    "repaired": "repaired",
    "proven": "proven",
    "no_fault_found": "no fault found",
}
Prove = Callable[["Fault", Fact], Fact | str]
"""Asked with the repaired fault and the move to `proven`: the reading that proves the repair, or
the sentence why none does."""


@dataclass(frozen=True)
class Deferral:
    """Playing with a known fault: who decided, why, until which match run, with what
    restriction."""

    who: str
    why: str
    until: str | None
    restriction: str
    at: datetime
    move: str


@dataclass(frozen=True)
class Fault:
    """Something wrong on a part. `repairs`: the moves to repaired that counted; `proof`: the
    reading that proved the last one;
    `unproven`: moves to proven that lack a reading; `conflicts`: (entry id, sentence) of the moves
    that did not count.
    """

    id: str
    part: str
    symptom: str
    grade: str
    match: str | None
    robot: str | None
    at: datetime
    person: str
    reading: str | None
    photos: tuple[str, ...] = ()
    state: str = "open"
    moves: tuple[Fact, ...] = ()
    deferral: Deferral | None = None
    repairs: tuple[Fact, ...] = ()
    proof: Fact | None = None
    unproven: tuple[Fact, ...] = ()
    changed_at: datetime | None = None
    conflicts: tuple[tuple[str, str], ...] = ()
    marks: tuple[str, ...] = ()

    @property
    def repaired_at(self) -> datetime | None:
        """When it was repaired last, also where it came open again; None where it never was."""
        return self.repairs[-1].at if self.repairs else None

    @property
    def closed(self) -> bool:
        """Whether nothing is left to do: proven, or no fault found."""
        return self.state in ("proven", "no_fault_found")


def fold_fault(report: Fact, moves: Sequence[Fact], prove: Prove) -> Fault:
    """A fault from its report and its moves in order of `seq`."""
    body = report.body
    fault = Fault(
        id=report.id,
        part=body.part,
        symptom=body.symptom,
        grade=body.grade,
        match=report.match,
        robot=report.robot,
        at=report.at,
        person=report.person,
        reading=body.reading,
        photos=tuple(body.photos),
        moves=tuple(moves),
        changed_at=report.at,
        marks=report.marks,
    )
    for move in moves:
        fault = _moved(fault, move, prove)
    return fault


def _moved(fault: Fault, move: Fact, prove: Prove) -> Fault:
    to = move.body.to
    if to not in ALLOWED[fault.state]:
        found = (
            f"The fault was {WORDS[fault.state]} when this move to {WORDS[to]} arrived; the move"
            " does not count."
        )
        return _with_conflict(fault, move, found)
    proof = prove(fault, move) if to == "proven" else None
    if isinstance(proof, str):
        return _with_conflict(
            replace(fault, unproven=(*fault.unproven, move)),
            move,
            f"{proof} The fault stays repaired.",
        )
    deferral = None
    if to == "deferred":
        body = move.body
        deferral = Deferral(
            move.person, body.why, body.until or move.match, body.restriction, move.at, move.id
        )
    repairs = (*fault.repairs, move) if to == "repaired" else fault.repairs
    return replace(
        fault, state=to, deferral=deferral, repairs=repairs, proof=proof, changed_at=move.at
    )


def _with_conflict(fault: Fault, move: Fact, sentence: str) -> Fault:
    return replace(fault, conflicts=(*fault.conflicts, (move.id, sentence)))


def allowed_moves(fault: Fault) -> list[str]:
    """The moves that the table has for this fault now, in the table's words."""
    return [word for word in WORDS if word in ALLOWED[fault.state]]


def is_expired(fault: Fault, state: HasRuns, run: Run | None) -> bool:
    """Whether a deferral has ended: a run after `until` is next, or none is left, or it names no
    run of the schedule at all.

    While no schedule is known (`run` is None and `until` names no run of it), it lives.
    """
    if fault.deferral is None:
        return False
    order = [item.id for item in runs_in_order(state)]
    if run is None:
        return fault.deferral.until in order
    if fault.deferral.until not in order or run.id not in order:
        return True
    return order.index(run.id) > order.index(fault.deferral.until)


def is_open_now(fault: Fault, state: HasRuns, run: Run | None) -> bool:
    """Whether a fault counts as open for the run that is next: open, or deferred until an earlier
    run."""
    return fault.state == "open" or (fault.state == "deferred" and is_expired(fault, state, run))


def is_deferred_now(fault: Fault, state: HasRuns, run: Run | None) -> bool:
    """Whether a fault's deferral is alive for the run that is next."""
    return fault.state == "deferred" and not is_expired(fault, state, run)
