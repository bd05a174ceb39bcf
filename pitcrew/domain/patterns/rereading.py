"""How far an instrument scatters, learned from things that were read twice with nothing done in
between."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

from pitcrew.base.units import show
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.moment import Look
from pitcrew.domain.patterns.record import Record, kept
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.engineering.measurement import repeat_scatter

WITHIN = timedelta(minutes=15)
"""Read again within it, a part counts as the same (common practice)."""
FEWEST = 5
"""Fewer repeats say nothing: with five, the scatter may still be twice as large."""
LATEST = 60


@dataclass(frozen=True)
class Rereading:
    """What repeats say of an instrument: `scatter` and `most` (k = 2, and that at 95 % confidence)
    beside `stated`, all SI at the reading `at`; how many `repeats`."""

    instrument: str
    unit: str
    repeats: int
    at: float
    stated: float
    scatter: float
    most: float

    @property
    def sentence(self) -> str:
        """Both side by side. An instrument that is off always shows nothing here."""
        name = INSTRUMENTS[self.instrument].label
        beyond = self.scatter > self.stated
        return (
            f"{name[0].upper()}{name[1:]} is stated at ±{show(self.stated, self.unit, 2)} near"
            f" {show(self.at, self.unit)}; {self.repeats} repeats scatter by"
            f" ±{show(self.scatter, self.unit, 2)}, at most ±{show(self.most, self.unit, 2)} (95 %"
            " sure)."
            + (
                " Write the larger one under [instruments], or read more carefully."
                if beyond
                else ""
            )
        )


@kept
def rereadings(record: Record) -> list[Rereading]:
    """Each instrument that was used for repeats enough, in the order of the list of instruments."""
    pairs: dict[str, list[tuple[float, float]]] = {}
    shown: dict[str, str] = {}
    for item in record.definitions.part_checks.values():
        name = item.check.limit_rule.instrument
        if name in INSTRUMENTS and item.limit is not None and isinstance(item.limit.result, str):
            pairs.setdefault(name, []).extend(_pairs(record, item))
            shown.setdefault(name, item.limit.shown)
    return [
        _learned(record, name, shown[name], pairs[name])
        for name in INSTRUMENTS
        if len(pairs.get(name, ())) >= FEWEST
    ]


def _learned(record: Record, name: str, unit: str, pairs: list[tuple[float, float]]) -> Rereading:
    robot = record.definitions.robot
    stated = robot.accuracies.get(name) if robot else None
    accuracy = stated or INSTRUMENTS[name].accuracy
    at = sum(abs(a) + abs(b) for a, b in pairs) / (2 * len(pairs))
    shares = [(a - b) / accuracy.at(abs(a + b) / 2) for a, b in pairs]
    scatter, most = repeat_scatter(shares)
    full = accuracy.at(at)
    return Rereading(name, unit, len(pairs), at, full, scatter * full, most * full)


def _pairs(record: Record, item: PartCheck) -> Iterator[tuple[float, float]]:
    """Two readings of one thing, one right after the other, both of the same verdict (who finds it
    wrong sets it right), with no repair and no new part between."""
    look = Look(record.definitions, record.state)
    every = record.state.readings.get(item.key, [])[-LATEST:]
    readings = [fact for fact in every if look.is_mine(fact.robot)]
    touched = [fact.at for fact in record.state.part_changes.get(item.part.id, [])]
    for fault in record.faults:
        if fault.part == item.part.id:
            touched += [move.at for move in fault.moves]
    for first, second in pairwise(readings):
        between = any(first.at <= at <= second.at for at in touched)
        if _comparable(first, second) and not between:
            yield float(first.result), float(second.result)


def _comparable(first: ReadingFact, second: ReadingFact) -> bool:
    soon = second.at - first.at <= WITHIN and first.match == second.match
    alike = first.verdict == second.verdict and first.verdict in ("ok", "watch")
    numbers = all(
        isinstance(fact.result, int | float) and math.isfinite(fact.result)
        for fact in (first, second)
    )
    return soon and alike and numbers
