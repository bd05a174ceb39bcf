"""Which climb-critical facts are in force by the logbook, and which changes of them wait for two
people.

What is in a file for the first time is in force at once. A change of it waits, a removed or
un-marked thing included; a file put back ends the waiting. What a program update changes waits
likewise.
"""

from dataclasses import dataclass, field

from pitcrew.domain.climb.critical import FACTOR, LOWER, PROGRAM, CriticalFact, same
from pitcrew.domain.climb.rules import FIRST_RULES
from pitcrew.domain.logbook import facts
from pitcrew.domain.logbook.doors import still_theirs
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import State

NAMES_WANTED = 2
MENTOR = "mentor"
MENTOR_BELOW = 3.5
"""A team's own lower factor under this wants a mentor's name among the two."""


@dataclass(frozen=True)
class Pending:
    """A change that waits: the load that brought it, what is in force, and what the file says.
    `update`: a newer program says so.
    """

    id: str
    load: str
    in_force: CriticalFact | None
    wanted: CriticalFact | None
    update: bool = False


@dataclass
class _Fold:
    """Loads and what was decided on them, folded in order of `seq`."""

    held: dict[str, CriticalFact | None] = field(default_factory=dict)
    waiting: dict[str, Pending] = field(default_factory=dict)
    rules: int = 0
    stand: dict[str, dict[str, str]] = field(default_factory=dict)
    mentors: set[str] = field(default_factory=set)

    def load(self, load: facts.Fact) -> None:
        """Take the changes of a load; those that a newer program makes are marked."""
        update = 0 < self.rules < load.body.rules
        self.rules = max(self.rules, load.body.rules)
        for change in load.body.changes:
            self._take(change["id"], change.get("after"), load.id, update)

    def decide(self, decision: facts.Fact) -> None:
        """Count a name for or against a load; with enough of them what it brought is in force."""
        names = self.stand.setdefault(decision.body.of, {})
        names[decision.person] = decision.body.decision
        if decision.body.role == MENTOR:
            self.mentors.add(decision.person)
        stand_by = {person for person, word in names.items() if word == "approved"}
        if len(stand_by) < NAMES_WANTED:
            return
        for name in [name for name, item in self.waiting.items() if item.load == decision.body.of]:
            if not wants_mentor(self.waiting[name]) or stand_by & self.mentors:
                self.held[name] = self.waiting.pop(name).wanted

    def _take(self, name: str, after: CriticalFact | None, load: str, update: bool) -> None:
        held = self.held.get(name)
        if name.startswith(FACTOR) and not same(held, after):
            self.held[name] = held = (
                None  # while it is changed, and in a new file, the rule's factors count
            )
            if after is not None:
                self.waiting[name] = Pending(name, load, None, after, update)
                return
        if held is None and name == PROGRAM and self.held:
            held = self.held[PROGRAM] = {
                "rules": FIRST_RULES
            }  # the first release wrote no such fact
        if held is None:
            self.held[name] = after
        elif same(held, after):
            self.waiting.pop(name, None)
        else:
            self.waiting.pop(name, None)  # the latest load stands last
            self.waiting[name] = Pending(name, load, held, after, update)


def wants_mentor(item: Pending) -> bool:
    """Whether one of the two names has to be a mentor's: for a factor far below the lifting
    rule."""
    return (
        item.id.startswith(FACTOR) and item.wanted is not None and item.wanted[LOWER] < MENTOR_BELOW
    )


def fold_definitions(
    state: State, up_to_seq: int | None = None
) -> tuple[dict[str, CriticalFact | None], dict[str, Pending]]:
    """The climb-critical facts in force by name (None: removed with two names), and the changes
    that wait for approval.

    `up_to_seq`: as it was at that entry; None for now.
    """
    fold = _Fold()
    loads = [
        load for load in state.loads if load.entry.origin is None
    ]  # another log's files are not ours
    decisions = [
        fact
        for load in loads
        for fact in state.approvals.get(load.id, [])
        if fact.entry.origin is None and still_theirs(state.accesses, fact, up_to_seq)
    ]
    for fact in sorted([*loads, *decisions], key=lambda fact: fact.seq):
        if up_to_seq is not None and fact.seq > up_to_seq:
            break
        if fact.entry.kind == "definitions":
            fold.load(fact)
        else:
            fold.decide(fact)
    return fold.held, fold.waiting


def folded(
    moment: Moment, up_to_seq: int | None = None
) -> tuple[dict[str, CriticalFact | None], dict[str, Pending]]:
    """`fold_definitions` of a moment's log, worked out once."""
    return moment.once(
        (fold_definitions, up_to_seq), lambda: fold_definitions(moment.state, up_to_seq)
    )


def pending_for_climb(state: State, robot: str, up_to_seq: int | None = None) -> list[Pending]:
    """The changes that wait for two names and that a climb of the robot hangs on, as of an entry;
    None for now.
    """
    held, waiting = fold_definitions(state, up_to_seq)
    return [
        item
        for name, item in waiting.items()
        if _of_the_climb(item, robot, held.get(_part_of(name)) or _part_of(name) in waiting)
    ]


def _part_of(name: str) -> str:
    """The name of the fact of the part that a check is made on."""
    robot, _, key = name.partition(":")[2].partition("/")
    return f"part:{robot}/{key.partition('@')[2]}"


def _of_the_climb(item: Pending, robot: str, on_critical: object) -> bool:
    """Whether a climb of the robot hangs on a pending fact: all but a check that only wants two
    names.
    """
    kind, _, rest = item.id.partition(":")
    if not rest or kind != "check":
        return not rest or rest.partition("/")[0] == robot
    words = [
        word for fact in (item.in_force, item.wanted) if fact for word, _ in fact.get("due", [])
    ]
    return rest.partition("/")[0] == robot and (
        bool(on_critical) or any("climb" in word for word in words)
    )
