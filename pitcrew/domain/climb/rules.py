"""Which rules a signature was given by. A log says so itself, so that old signatures are judged by
the rules of their own time.

Each load of the files and each signature states the rules of the program that wrote it; the first
release stated none, which counts as 1. The number never falls within a log: a signature that states
less than what stands before it is judged by the rules that stand before it.
"""

from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.state import State

FIRST_RULES = 1
RULES = 2
"""The rules of this program: what was not asked, measured, computed or is not certain blocks a
signature, by name.
"""

NEW_IN = {
    2: (
        "a climb needs a hold path whose every link is computed or looked at, with the factor of "
        "its material, and a hold test that two people saw and that still counts"
    ),
}
"""What each step of the rules brought, for the people who approve a program update."""


def rules_at(state: State, seq: int) -> int:
    """The rules in force in this log at entry `seq`, by what its loads and signatures state."""
    mine = (
        fact
        for fact in (*state.loads, *state.clearances)
        if fact.entry.origin is None and fact.seq <= seq
    )
    return max((fact.body.rules for fact in mine), default=FIRST_RULES)


def rules_of(state: State, signed: Fact) -> int:
    """The rules that a signature is judged by when the log is verified."""
    return min(rules_at(state, signed.seq), RULES)
