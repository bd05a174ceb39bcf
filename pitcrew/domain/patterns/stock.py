"""What to carry: expected faults and spares for the next matches, and the chance that a stock runs
out.

The rate itself is known only from what was counted, so the next count is wider than a Poisson
count: it is negative binomial.
"""

import re
from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from pitcrew.base.errors import OutOfRange
from pitcrew.domain.checks.spares import Spare, item_key
from pitcrew.domain.logbook.state import State
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import exposure_text
from pitcrew.domain.patterns.record import Record, Scope, kept
from pitcrew.domain.patterns.repeats import Repeat, repeats
from pitcrew.engineering.figures import Outcome

AHEAD, MOST_AHEAD = 6, 60
MOST_ELIMINATIONS = 8
"""One robot played 1 to 8 elimination matches, in the middle 3 (counted over two events'
eliminations, 2023 to 2026)."""
_NUMBER_FIRST = re.compile(r"\s*(\d{1,4})\s*[x×]\s+(.+)", re.IGNORECASE)
_NUMBER_LAST = re.compile(r"(.+?)\s*[x×]\s*(\d{1,4})\s*", re.IGNORECASE)


@dataclass(frozen=True)
class Use:
    """So many of an item, used in one repair."""

    item: str
    count: int
    at: datetime
    match: str | None
    entry: str
    fault: str


@dataclass(frozen=True)
class Ahead:
    """What the next matches bring at the rate so far: `expected`, and the count that only one time
    in twenty is passed."""

    count: int
    matches: int
    ahead: int
    expected: float
    most: int

    @property
    def sentence(self) -> str:
        """Expected and most, with the counts behind them."""
        return (
            f"{self.count} in {exposure_text(self.matches, 'match')} so far: expect about"
            f" {self.expected:.2g} in the next {self.ahead}, and with 95 % chance no more than"
            f" {self.most}."
        )


@dataclass(frozen=True)
class Stock:
    """One item against its use. `left`: what the list held less what repairs used since; None where
    the list does not have it."""

    item: str
    spare: Spare | None
    used: tuple[Use, ...]
    left: int | None
    ahead: Ahead | None
    risk: float | None

    @property
    def reorder(self) -> bool:
        """Whether to get more now."""
        return self.spare is not None and self.left is not None and self.left <= self.spare.reorder

    @property
    def sentence(self) -> str:
        """What is left, and the chance that it does not last."""
        if self.left is None:
            return (
                f"{sum(use.count for use in self.used)} used, and not on the spares list. Put it"
                " there with its count."
            )
        told = f"{self.left} left."
        if self.left < 0:
            told = "More were used than were counted. Count again."
        if self.ahead and self.risk is not None:
            told += (
                f" {self.ahead.sentence} With what is left they run out with a chance of"
                f" {_chance(self.risk)}."
            )
        else:
            told += (
                " No forecast: no match was played, or the numbers cannot be right."
                if self.used
                else " None was used yet."
            )
        return told + (" Get more: the reorder point is reached." if self.reorder else "")


@dataclass(frozen=True)
class Leaving:
    """A failure that came back, left as it is: how many of the next matches it is expected to
    hit."""

    repeat: Repeat
    ahead: Ahead

    @property
    def sentence(self) -> str:
        """For the talk about repair or redesign."""
        most = f"up to {min(self.ahead.most, self.ahead.ahead)} with 95 % chance"
        hits = min(self.ahead.expected, self.ahead.ahead)
        following = "match" if self.ahead.ahead == 1 else f"{self.ahead.ahead} matches"
        return f"Left as it is, it hits about {hits:.2g} of the next {following}; {most}."


@dataclass(frozen=True)
class Carry:
    """What the next `ahead` matches ask for."""

    ahead: int
    faults: Ahead | None
    stocks: tuple[Stock, ...]
    leaving: tuple[Leaving, ...]


@kept
def carry(record: Record, scope: Scope, ahead: int = AHEAD) -> Carry:
    """Faults, spares and the cost of leaving repeats, for so many matches (1 to MOST_AHEAD)."""
    ahead = min(max(ahead, 1), MOST_AHEAD)
    matches = {item.run.id for item in record.played_in(scope)}
    faults = [fault for fault in record.faults_in(scope) if fault.match in matches]
    found = [
        (item, ahead_of(item.often.count, len(matches), ahead)) for item in repeats(record, scope)
    ]
    leaving = tuple(Leaving(item, told) for item, told in found if told and item.often.count)
    return Carry(
        ahead, ahead_of(len(faults), len(matches), ahead), tuple(_stocks(record, ahead)), leaving
    )


def spans(record: Record) -> list[tuple[str, int]]:
    """Spans to look ahead that mean something: what the schedule still has, and an event like the
    last."""
    last = record.events[-1] if record.events else ""
    played = len(record.played_in(Scope(event=last))) if last else 0
    found = {
        "to come on the schedule": len(record.coming),
        "eliminations at most": MOST_ELIMINATIONS,
        "an event like the last": played,
    }
    return [(word, min(number, MOST_AHEAD)) for word, number in found.items() if number]


def ahead_of(count: int, matches: int, ahead: int) -> Ahead | None:
    """What is to be expected; None where no match was played, or the count is one that no one can
    have counted."""
    found = _risk(count, matches, ahead, 0)
    return (
        Ahead(count, matches, ahead, found.extras["expected"], found.extras["stock_5"])
        if found
        else None
    )


def _risk(count: int, matches: int, ahead: int, stock: int) -> Outcome | None:
    """The figure of a stock; None where its numbers are out of its range, as after `9999 x nut` in
    a hundred repairs."""
    try:
        return figured(
            "stock-risk", events=count, exposure=float(matches), ahead=float(ahead), stock=stock
        )
    except OutOfRange:
        return None


def _stocks(record: Record, ahead: int) -> list[Stock]:
    """Every item of the list and every item used, the most likely to run out first. The whole
    logbook counts."""
    by_item: dict[tuple[str, ...], list[Use]] = defaultdict(list)
    for use in uses(record.state):
        by_item[item_key(use.item)].append(use)
    listed = {item_key(spare.item): spare for spare in record.definitions.spares}
    found = [
        _stock(record, ahead, listed.get(key), tuple(by_item.get(key, ())))
        for key in {**listed, **by_item}
    ]
    return sorted(
        found,
        key=lambda stock: (stock.left is not None, -(stock.risk or 0.0), stock.item.casefold()),
    )


def _stock(record: Record, ahead: int, spare: Spare | None, used: tuple[Use, ...]) -> Stock:
    count, matches = sum(use.count for use in used), len(record.played)
    left = None
    if spare is not None:
        left = spare.count - sum(
            use.count for use in used if spare.counted is None or use.at > spare.counted
        )
    told = ahead_of(count, matches, ahead) if used else None
    found = _risk(count, matches, ahead, max(left, 0)) if told and left is not None else None
    return Stock(
        spare.item if spare else used[0].item,
        spare,
        used,
        left,
        told,
        found.value if found else None,
    )


def _chance(risk: float) -> str:
    return "less than 1 %" if risk < 0.01 else f"{risk * 100:.0f} %"


def uses(state: State) -> list[Use]:
    """The spares that repairs used, in order of the logbook. `2 x M5 nut` counts as two."""
    moves = sorted(
        (move for moves in state.fault_moves.values() for move in moves), key=lambda move: move.seq
    )
    return [
        Use(*_counted(text), move.at, move.match, move.id, move.body.fault)
        for move in moves
        for text in move.body.parts_used
        if text.strip()
    ]


def _counted(text: str) -> tuple[str, int]:
    if found := _NUMBER_FIRST.fullmatch(text):
        return found[2].strip(), int(found[1])
    if found := _NUMBER_LAST.fullmatch(text):
        return found[1].strip(), int(found[2])
    return text.strip(), 1
