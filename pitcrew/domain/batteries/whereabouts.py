"""Where a battery is by its moves, what contradicts them, and names that may mean one battery."""

import re
from collections.abc import Sequence

from pitcrew.domain.batteries.records import (
    into_robots,
    robot_of,
)
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.moment import Moment

_TWO = re.compile(r"(.+) and (.+) are two batteries\.")


def where_to(moment: Moment, move: Fact) -> str:
    """Which robot (by its name) or which channel a battery went to."""
    return robot_of(moment, move) if move.body.to == "robot" else move.body.where.strip()


def two_robots(moment: Moment, moves: Sequence[Fact]) -> tuple[str, ...]:
    """The conflict of a battery that went into a second robot without leaving the first; a later
    move elsewhere settles it."""
    if len(moves) < 2 or moves[-1].body.to != "robot" or moves[-2].body.to != "robot":
        return ()
    first, second = (where_to(moment, move) or "one unnamed" for move in moves[-2:])
    return (
        (f"It was logged in two robots, {first} and then {second}. Look where it is and log that.",)
        if first != second
        else ()
    )


def moves_taken_over(moment: Moment) -> dict[str, str]:
    """Moves into a robot after which another battery went into the same robot: the earlier one must
    have come out unlogged."""
    last: dict[str, tuple[Fact, str]] = {}
    found = {}
    for fact, name in into_robots(moment):
        robot = where_to(moment, fact)
        if robot in last and last[robot][1] != name:
            found[last[robot][0].id] = f"taken out of {robot or 'the robot'} when {name} went in"
        last[robot] = (fact, name)
    return found


def told_apart(moment: Moment) -> set[frozenset[str]]:
    """The pairs of names that look alike and were called two batteries; of several answers the
    last counts. Older logbooks have the answer as a note of just these words."""
    found = {
        frozenset((fact.body.first, fact.body.second)): not fact.body.same
        for fact in moment.state.battery_identities
    }
    notes = (_TWO.fullmatch(note.body.text) for note in moment.state.notes)
    found |= {frozenset(note.groups()): True for note in notes if note}
    return {pair for pair, two in found.items() if two}


def folded(name: str) -> str:
    """A name without capitals, blanks and leading zeros: `07`, `7` and ` 7 ` fold to the same."""
    return "".join(name.split()).casefold().lstrip("0") or "0"
