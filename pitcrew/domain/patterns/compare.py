"""Seasons, events, robots or pit folders side by side: faults against the matches that each played."""

from collections.abc import Sequence
from dataclasses import dataclass

from pitcrew.domain.faults import Fault
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import Frequency, rate_of
from pitcrew.domain.patterns.ranking import grades_of
from pitcrew.domain.patterns.record import Record, Scope, kept


@dataclass(frozen=True)
class Side:
    """One season, event, robot or folder: its faults in matches, and the rate. `ratio` is to the first side, with its exact
    interval and p; None for the first itself or where nothing can be compared."""

    name: str
    faults: tuple[Fault, ...]
    grades: dict[str, int]
    often: Frequency
    ratio: float | None = None
    low: float | None = None
    high: float | None = None
    p: float | None = None

    @property
    def sentence(self) -> str:
        """The rate of this side and how it stands to the first."""
        if self.p is None or self.low is None:
            return self.often.sentence
        times = "no ratio, as the first has none" if self.ratio is None else f"{self.ratio:.2g} times the first"
        high = "no end" if self.high is None else f"{self.high:.2g}"
        told = "the rates differ" if self.p < 0.05 else "no difference can be told"
        return f"{self.often.sentence} That is {times} ({self.low:.2g} to {high}, exact, 95 %; p = {self.p:.2g}): {told}."


@kept
def sides(record: Record, scope: Scope) -> dict[str, list[Side]]:
    """Events, seasons and robots against the first of each; only where there are two."""
    kinds = {
        "events": [(event, Scope(event=event, robot=scope.robot, part=scope.part)) for event in record.events],
        "seasons": [(season, Scope(season=season, robot=scope.robot, part=scope.part)) for season in record.seasons],
        "robots": [(robot, Scope(robot=robot, event=scope.event, season=scope.season, part=scope.part)) for robot in record.robots],
    }
    return {kind: compared([side(record, name, item) for name, item in items]) for kind, items in kinds.items() if len(items) > 1}


def side(record: Record, name: str, scope: Scope) -> Side:
    """The faults in matches of what is looked at, under a name."""
    matches = {item.run.id for item in record.played_in(scope)}
    faults = tuple(fault for fault in record.faults_in(scope) if fault.match in matches)
    return Side(name, faults, grades_of(faults), rate_of(len(faults), len(matches), "match"))


def compared(found: Sequence[Side]) -> list[Side]:
    """Each side with its ratio to the first."""
    return [found[0], *(_against(found[0], other) for other in found[1:])] if found else []


def _against(first: Side, other: Side) -> Side:
    if not first.often.exposure or not other.often.exposure:
        return other
    told = figured(
        "rate-compare", events1=len(other.faults), exposure1=float(other.often.exposure),
        events2=len(first.faults), exposure2=float(first.often.exposure),
    )
    ratio, low, high = (told.extras[name] for name in ("ratio", "low", "high"))
    return Side(other.name, other.faults, other.grades, other.often, ratio, low, high, told.value)
