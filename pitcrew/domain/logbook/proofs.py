"""Which readings prove a repair: taken on the part after it, judged ok or watch, by the check that
found the fault."""

from typing import Protocol

from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.faults import Fault


class HasReadings(Protocol):
    """What a proof needs of the state."""

    facts: dict[str, Fact]
    readings_of_part: dict[str, list[ReadingFact]]


def proofs(state: HasReadings, fault: Fault) -> list[ReadingFact]:
    """The readings that prove a fault's last repair, in order of time; empty where it was never
    repaired."""
    found: list[ReadingFact] = []
    repaired_at, check = fault.repaired_at, check_that_found(state, fault)
    for reading in reversed(state.readings_of_part.get(fault.part, [])):
        if repaired_at is None or reading.at <= repaired_at:
            break
        if reading.done and check in ("", reading.check):
            found.append(reading)
    return found[::-1]


def proof(state: HasReadings, fault: Fault, move: Fact) -> Fact | str:
    """The reading by which a move to `proven` counts: the one that it names, else the first to
    arrive; or why there is none."""
    named = move.body.reading
    found = [reading for reading in proofs(state, fault) if named in (None, reading.id)]
    if found:
        return min(found, key=lambda reading: reading.seq)
    check = check_that_found(state, fault)
    with_check = f" with the check {check}" if check else ""
    return f"No reading judged ok or watch was taken on {fault.part} after the repair{with_check}."


def may_prove(state: HasReadings, fault: Fault, reading: ReadingFact) -> bool:
    """Whether a reading may be what a move to `proven` of this fault has been waiting for."""
    waiting = any(move.body.reading in (None, reading.id) for move in fault.unproven)
    return (
        waiting
        and reading.at > fault.repairs[0].at
        and check_that_found(state, fault) in ("", reading.check)
        and reading.done
    )


def check_that_found(state: HasReadings, fault: Fault) -> str:
    """The id of the check whose reading a fault came from; empty where someone just saw it."""
    reading = state.facts.get(fault.reading or "")
    return reading.check if isinstance(reading, ReadingFact) else ""
