"""Seasons, events, robots or pit folders side by side: faults against the matches that each
played."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import Frequency, rate_of
from pitcrew.domain.patterns.ranking import grades_of
from pitcrew.domain.patterns.record import Record, Scope, kept

SURE = 0.05


@dataclass(frozen=True)
class Side:
    """One season, event, robot or folder: its faults in matches, and the rate. `ratio` is to the
    side `against`, the first, with its exact interval, p, and p `adjusted` for all that were held
    against it; None for the first itself or where nothing can be compared.
    """

    name: str
    faults: tuple[Fault, ...]
    grades: dict[str, int]
    often: Frequency
    ratio: float | None = None
    low: float | None = None
    high: float | None = None
    p: float | None = None
    adjusted: float | None = None
    against: str = ""

    @property
    def differs(self) -> bool:
        """Whether its rate is another than that of the first, all comparisons allowed for."""
        return self.adjusted is not None and self.adjusted < SURE

    @property
    def sentence(self) -> str:
        """The rate of this side and how it stands to the first."""
        if self.p is None or self.low is None or self.adjusted is None:
            return self.often.sentence
        if self.ratio is None:
            ratio = f"{self.against} had none, so there is no ratio (at least {self.low:.2g}"
        else:
            high = "without an upper end" if self.high is None else f"to {self.high:.2g}"
            ratio = f"That is {self.ratio:.2g} times {self.against} ({self.low:.2g} {high}"
        looks = (
            "" if self.adjusted == self.p else f", {self.adjusted:.2g} for all the comparisons made"
        )
        told = "the rates differ" if self.differs else "no difference can be told"
        return f"{self.often.sentence} {ratio}, exact, 95 %; p = {self.p:.2g}{looks}): {told}."


@kept
def sides(record: Record, scope: Scope) -> dict[str, list[Side]]:
    """Events, seasons and robots against the first of each; only where two of them played."""
    kinds = {
        "events": [
            (event, Scope(event=event, robot=scope.robot, part=scope.part))
            for event in record.events
        ],
        "seasons": [
            (season, Scope(season=season, robot=scope.robot, part=scope.part))
            for season in record.seasons
        ],
        "robots": [
            (robot, Scope(robot=robot, event=scope.event, season=scope.season, part=scope.part))
            for robot in record.robots
        ],
    }
    played = {
        kind: [(name, item) for name, item in items if record.played_in(item)]
        for kind, items in kinds.items()
    }
    return {
        kind: compared([side(record, name, item) for name, item in items])
        for kind, items in played.items()
        if len(items) > 1
    }


def side(record: Record, name: str, scope: Scope) -> Side:
    """The faults in matches of what is looked at, under a name."""
    matches = {item.run.id for item in record.played_in(scope)}
    faults = tuple(fault for fault in record.faults_in(scope) if fault.match in matches)
    return Side(name, faults, grades_of(faults), rate_of(len(faults), len(matches), "match"))


def compared(found: Sequence[Side]) -> list[Side]:
    """Each side with its ratio to the first; of many, some differ by chance alone, so p is adjusted
    (Benjamini and Hochberg 1995)."""
    from scipy.stats import false_discovery_control

    others = [_against(found[0], other) for other in found[1:]]
    told = [item.p for item in others if item.p is not None]
    adjusted = iter(false_discovery_control(told) if told else ())
    return [
        *found[:1],
        *(
            item if item.p is None else replace(item, adjusted=float(next(adjusted)))
            for item in others
        ),
    ]


def _against(first: Side, other: Side) -> Side:
    if not first.often.exposure or not other.often.exposure:
        return other
    told = figured(
        "rate-compare",
        events1=len(other.faults),
        exposure1=float(other.often.exposure),
        events2=len(first.faults),
        exposure2=float(first.often.exposure),
    )
    ratio, low, high = (told.extras[name] for name in ("ratio", "low", "high"))
    return replace(other, ratio=ratio, low=low, high=high, p=told.value, against=first.name)
