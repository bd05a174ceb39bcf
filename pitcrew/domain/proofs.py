"""Which readings prove a repair: taken on the part after it, judged ok or watch, by the check that found the fault."""

from pitcrew.domain.facts import ReadingFact
from pitcrew.domain.faults import Fault
from pitcrew.domain.state import State


def proofs(state: State, fault: Fault) -> list[ReadingFact]:
    """The readings that prove a fault's last repair, in order of time; empty where it was never repaired."""
    repaired_at = fault.repaired_at
    if repaired_at is None:
        return []
    check = check_that_found(state, fault)
    return [
        reading for reading in state.readings_of_part.get(fault.part, [])
        if reading.at > repaired_at and reading.done and check in ("", reading.check)
    ]


def check_that_found(state: State, fault: Fault) -> str:
    """The id of the check whose reading a fault came from; empty where somebody just saw it."""
    reading = state.facts.get(fault.reading or "")
    return reading.check if isinstance(reading, ReadingFact) else ""
