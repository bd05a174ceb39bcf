"""Repeats: the same thing wrong with the same part again, grouped although it was worded
differently.

Faults of one part whose symptoms have the same key are one group. Where two groups share a word, a
merge is suggested; a person accepts or refuses it, and that is an entry.
"""

from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise

from pitcrew.base.units import counted
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.frequency import Frequency, exposure_text, share_of
from pitcrew.domain.patterns.record import Record, Scope, kept
from pitcrew.domain.robot.wording import in_their_words, shared_words, symptom_key

MOST_SUGGESTIONS, MOST_GROUPS = 12, 40
CLOSING = ("repaired", "no_fault_found")


@dataclass(frozen=True)
class Group:
    """Faults of one part that are taken for the same failure, in order of time."""

    part: str
    label: str
    keys: tuple[str, ...]
    faults: tuple[Fault, ...]

    @property
    def words(self) -> str:
        """What the crew called it most, for headings; the keys only group."""
        return in_their_words(fault.symptom for fault in self.faults)


@dataclass(frozen=True)
class Repeat:
    """A failure that came back. `returns`: the faults seen after an earlier one was closed;
    `not_found`: how often no fault was found; `matches` between the first and the last; `often`:
    the share of matches that it hit."""

    group: Group
    returns: tuple[Fault, ...]
    reopened: tuple[Fact, ...]
    not_found: int
    matches: int
    often: Frequency

    @property
    def raised(self) -> bool:
        """Whether `no fault found` was logged twice for what keeps coming back."""
        return self.not_found > 1

    @property
    def sentence(self) -> str:
        """How often it came back, and what that asks for."""
        back = len(self.returns) + len(self.reopened)
        times = "once" if back == 1 else f"{back} times"
        faults, over = (
            counted(len(self.group.faults), "fault"),
            exposure_text(self.matches, "match"),
        )
        told = f"Came back {times} after it was closed; {faults} " + (
            f"over {over}." if self.matches else "in one match."
        )
        if self.raised:
            return (
                f"{told} No fault was found {self.not_found} times: the fault is real and not found"
                " yet. Look where nobody looked."
            )
        if back > 1:
            return (
                f"{told} The fix does not hold: change the part or its design, or stop using the"
                " function."
            )
        return told


@dataclass(frozen=True)
class Suggestion:
    """Two groups of one part that may be the same failure, and the words that they share."""

    part: str
    label: str
    one: Group
    other: Group
    words: tuple[str, ...]


@dataclass(frozen=True)
class Decision:
    """What a person said of two faults of one part: the same failure, or two different ones."""

    one: Fault
    other: Fault
    same: bool
    fact: Fact


@kept
def groups_of(record: Record, scope: Scope) -> list[Group]:
    """The faults that are looked at in groups, by part and key and by the merges that people
    accepted."""
    by_key: dict[tuple[str, str], list[Fault]] = defaultdict(list)
    for fault in record.faults_in(scope):
        by_key[fault.part, symptom_key(fault.symptom)].append(fault)
    root = _merged(record)
    joined: dict[tuple[str, str], list[tuple[str, str]]] = defaultdict(list)
    for key in by_key:
        joined[root.get(key, key)].append(key)
    return [
        Group(
            keys[0][0],
            record.label(keys[0][0]),
            tuple(key for _, key in keys),
            tuple(
                sorted(
                    (fault for key in keys for fault in by_key[key]),
                    key=lambda fault: (fault.at, fault.id),
                )
            ),
        )
        for keys in joined.values()
    ]


@kept
def repeats(record: Record, scope: Scope) -> list[Repeat]:
    """What came back after it was closed, the most often first."""
    matches = {item.run.id for item in record.played_in(scope)}
    found = [_repeat(record, group, matches) for group in groups_of(record, scope)]
    return sorted(
        (item for item in found if item.returns or item.reopened),
        key=lambda item: (-len(item.returns) - len(item.reopened), item.group.part),
    )


def counted_moves(fault: Fault) -> list[Fact]:
    """A fault's moves that counted."""
    refused = {entry for entry, _ in fault.conflicts}
    return [move for move in fault.moves if move.id not in refused]


def _repeat(record: Record, group: Group, matches: set[str]) -> Repeat:
    closed = [
        move for fault in group.faults for move in counted_moves(fault) if move.body.to in CLOSING
    ]
    first = min((move.at for move in closed), default=None)
    returns = tuple(fault for fault in group.faults if first and fault.at > first)
    reopened = tuple(move for fault in group.faults for move in _reopened(fault))
    span = record.matches_before(group.faults[-1].at) - record.matches_before(group.faults[0].at)
    not_found = sum(move.body.to == "no_fault_found" for move in closed)
    often = share_of(len({fault.match for fault in group.faults} & matches), len(matches))
    return Repeat(group, returns, reopened, not_found, span, often)


def _reopened(fault: Fault) -> list[Fact]:
    """The moves by which a closed fault came open again."""
    moves = counted_moves(fault)
    return [
        later
        for earlier, later in pairwise(moves)
        if later.body.to == "open" and earlier.body.to in (*CLOSING, "proven")
    ]


def decisions(record: Record, scope: Scope) -> list[Decision]:
    """What people said of faults that are looked at, the latest first."""
    found = [
        item
        for item in _decided(record).values()
        if scope.has_part(item.one.part) and scope.has_robot(item.one.robot)
    ]
    return sorted(found, key=lambda item: item.fact.seq, reverse=True)


@kept
def _decided(record: Record) -> dict[frozenset[tuple[str, str]], Decision]:
    """What people said of two keys of one part, the last word of each pair."""
    decided: dict[frozenset[tuple[str, str]], Decision] = {}
    for fact in record.state.merges:
        one, other = (record.state.faults.get(name) for name in (fact.body.first, fact.body.second))
        if one and other and one.part == other.part:
            pair = frozenset((fault.part, symptom_key(fault.symptom)) for fault in (one, other))
            decided[pair] = Decision(one, other, fact.body.same, fact)
    return decided


def _merged(record: Record) -> dict[tuple[str, str], tuple[str, str]]:
    """Each key that was merged → the one that stands for all of its group."""
    root: dict[tuple[str, str], tuple[str, str]] = {}
    for pair, decision in _decided(record).items():
        if decision.same and len(pair) == 2:
            one, other = (root.get(key, key) for key in sorted(pair))
            root = {key: one if found == other else found for key, found in root.items()} | {
                other: one,
                one: one,
            }
    return root


@kept
def suggestions(record: Record, scope: Scope) -> list[Suggestion]:
    """Pairs of groups of one part that share a word and of which no one has said yet whether they
    are the same."""
    decided = _decided(record)
    by_part: dict[str, list[Group]] = defaultdict(list)
    for group in groups_of(record, scope):
        by_part[group.part].append(group)
    found = []
    for part, all_groups in by_part.items():
        groups = sorted(all_groups, key=lambda group: group.faults[-1].at)[-MOST_GROUPS:]
        for place, one in enumerate(groups):
            for other in groups[place + 1 :]:
                words = _shared(one, other)
                asked = any(
                    frozenset(((part, a), (part, b))) in decided
                    for a in one.keys
                    for b in other.keys
                )
                if words and not asked:
                    found.append(Suggestion(part, one.label, one, other, tuple(sorted(words))))
    return sorted(found, key=lambda item: (-len(item.words), item.part))[:MOST_SUGGESTIONS]


def _shared(one: Group, other: Group) -> frozenset[str]:
    """The words that the latest symptoms of two groups share, or that both ended with no fault
    found."""
    first, second = one.faults[-1], other.faults[-1]
    words = shared_words(first.symptom, second.symptom, one.label)
    both_unfound = all(group.faults[-1].state == "no_fault_found" for group in (one, other))
    return words or frozenset({"no fault found"} if both_unfound else ())
