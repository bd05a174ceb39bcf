"""Did the fix hold? Matches from a repair to the next same fault, by kind of fix, with those that
still hold counted as such.

The kind is read from the words of the repair; a part put in during the same turnaround makes it
`replaced`, or `redesigned` where it was another kind of part.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import counted
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import exposure_text, percent
from pitcrew.domain.patterns.record import Record, Scope, kept
from pitcrew.domain.patterns.repeats import Group, counted_moves, groups_of
from pitcrew.domain.robot.wording import fix_kind

FEW_FIXES = 8
TICKS = (0, 1, 2, 4, 6, 8, 12, 16, 24, 32, 48)


@dataclass(frozen=True)
class Fix:
    """One repair: what was done, how many matches it lasted or has lasted so far, and the fault
    that ended it."""

    fault: Fault
    move: Fact
    kind: str
    matches: int
    failed: bool
    again: Fault | None


@dataclass(frozen=True)
class Holding:
    """The fixes of one kind: the share that holds past each failure (product-limit) with its
    interval, and how many were at risk."""

    kind: str
    fixes: tuple[Fix, ...]
    at: tuple[float, ...]
    series: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float | None, ...]
    at_risk: tuple[tuple[int, int], ...]

    @property
    def failed(self) -> int:
        """How many did not hold."""
        return sum(fix.failed for fix in self.fixes)

    @property
    def holding(self) -> list[tuple[int, float]]:
        """The matches after which fixes hold so far, each with the share that holds at that
        time."""
        shares = (1.0, *self.series)
        lasted = sorted({fix.matches for fix in self.fixes if not fix.failed})
        return [(matches, shares[bisect_right(self.at, matches)]) for matches in lasted]

    @property
    def few(self) -> bool:
        """Whether so few fixes are a hint only."""
        return len(self.fixes) < FEW_FIXES

    @property
    def sentence(self) -> str:
        """How many held, and to what share; the interval where there is one."""
        count = (
            f"{self.kind.capitalize()}: {counted(len(self.fixes), 'fix', 'fixes')}, {self.failed}"
            " came back"
        )
        few = " Few: a hint only." if self.few else ""
        if not self.failed:
            longest = max(fix.matches for fix in self.fixes)
            return f"{count}; the oldest has held for {exposure_text(longest, 'match')}.{few}"
        top = self.high[-1]
        reach = (
            f" ({percent(self.low[-1])} to {percent(top)}, approximate 95 %)"
            if top is not None
            else ""
        )
        last = exposure_text(self.at[-1], "match")
        if not self.series[-1]:
            return f"{count}; none is seen to last longer than {last}.{few}"
        return f"{count}; {percent(self.series[-1])}{reach} last longer than {last}.{few}"


@dataclass(frozen=True)
class Comparison:
    """Two kinds of fix held against each other (log-rank); `adjusted` allows for the number of
    comparisons."""

    one: str
    other: str
    p: float
    adjusted: float
    few: bool

    @property
    def differ(self) -> bool:
        """Whether they last differently, all comparisons allowed for."""
        return self.adjusted < 0.05

    @property
    def sentence(self) -> str:
        """Which of them lasts longer, or that nothing can be told."""
        word = "last differently" if self.differ else "no difference can be told"
        rough = "; rough with so few fixes" if self.few else ""
        p = f"log-rank p = {self.p:.2g}, {self.adjusted:.2g} for all the comparisons made"
        return f"{self.one.capitalize()} and {self.other}: {word} ({p}{rough})."


@kept
def fixes(record: Record, scope: Scope) -> list[Fix]:
    """Every repair that is looked at, with how long it held, be it until after the event that is
    looked at."""
    found = _ever(record, Scope(robot=scope.robot, part=scope.part))
    return [fix for fix in found if record.is_when(scope, fix.fault.match, fix.fault.at)]


@kept
def _ever(record: Record, scope: Scope) -> list[Fix]:
    return [fix for group in groups_of(record, scope) for fix in _fixes_of(record, group)]


@kept
def holdings(record: Record, scope: Scope) -> list[Holding]:
    """The fixes by kind, the most frequent kind first."""
    by_kind: dict[str, list[Fix]] = defaultdict(list)
    for fix in fixes(record, scope):
        by_kind[fix.kind].append(fix)
    return sorted(
        (_holding(kind, items) for kind, items in by_kind.items()),
        key=lambda item: (-len(item.fixes), item.kind),
    )


@kept
def comparisons(record: Record, scope: Scope) -> list[Comparison]:
    """Each pair of kinds that can be compared."""
    from scipy.stats import false_discovery_control

    pairs = []
    for one, other in combinations(holdings(record, scope), 2):
        times = {
            f"{name}{place}": tuple(
                float(fix.matches) for fix in holding.fixes if fix.failed is failed
            )
            for place, holding in ((1, one), (2, other))
            for name, failed in (("times", True), ("removed", False))
        }
        try:
            pairs.append((one, other, figured("survival-compare", **times).value))
        except OutOfRange:
            continue
    adjusted = false_discovery_control([p for *_, p in pairs]) if pairs else []
    return [
        Comparison(one.kind, other.kind, p, float(all_), one.few or other.few)
        for (one, other, p), all_ in zip(pairs, adjusted, strict=True)
    ]


def _holding(kind: str, items: list[Fix]) -> Holding:
    times, removed = (
        tuple(float(fix.matches) for fix in items if fix.failed is failed)
        for failed in (True, False)
    )
    extras = figured("survival", times=times, removed=removed).extras
    longest = max(fix.matches for fix in items)
    risk = tuple(
        (tick, sum(fix.matches >= tick for fix in items))
        for tick in TICKS
        if tick <= max(longest, 1)
    )
    return Holding(
        kind,
        tuple(items),
        tuple(extras["at"]),
        tuple(extras["series"]),
        tuple(extras["low"]),
        tuple(extras["high"]),
        risk,
    )


def _fixes_of(record: Record, group: Group) -> list[Fix]:
    """The repairs of one group; one ends with the next same fault, another repair of it, or a new
    part."""
    moves = [(fault, move) for fault in group.faults for move in counted_moves(fault)]
    repairs = [(fault, move) for fault, move in moves if move.body.to == "repaired"]
    again = sorted(
        [(fault.at, fault) for fault in group.faults]
        + [(move.at, fault) for fault, move in moves if move.body.to == "open"],
        key=lambda pair: pair[0],
    )
    back_at, repaired_at = [at for at, _ in again], sorted(move.at for _, move in repairs)
    changes = record.state.part_changes.get(group.part, [])
    change_places = [record.matches_before(fact.at) for fact in changes]
    found = []
    for fault, move in repairs:
        start = record.matches_before(move.at)
        later = bisect_right(change_places, start)
        with_it = [
            fact
            for fact in changes[bisect_left(change_places, start) : later]
            if fact.at >= fault.at
        ]
        ends = [fact.at for fact in changes[later : later + 1]] + _first_after(repaired_at, move.at)
        back = bisect_right(back_at, move.at)
        failed = back < len(again) and (not ends or back_at[back] <= min(ends))
        end = back_at[back] if failed else min(ends, default=record.now)
        lasted = max(0, record.matches_before(end) - start)
        found.append(
            Fix(
                fault,
                move,
                _kind(move, with_it),
                lasted,
                failed,
                again[back][1] if failed else None,
            )
        )
    return found


def _first_after(times: Sequence[datetime], at: datetime) -> list[datetime]:
    place = bisect_right(times, at)
    return list(times[place : place + 1])


def _kind(move: Fact, changes: Sequence[Fact]) -> str:
    if any(not fact.body.identical for fact in changes):
        return "redesigned"
    told = fix_kind(move.body.why)
    return "replaced" if changes or (told == "other" and move.body.parts_used) else told
