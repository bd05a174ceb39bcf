"""A part's wear as a line with its band, and in a sentence: when it meets the limit."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from pitcrew.base.units import counted
from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.checks.limitshape import shown_quantity
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.patterns.frequency import PLURALS, exposure_text, percent

LEAST, LATEST = 5, 40
"""Readings needed before a limit is forecast; so many of the latest are drawn and fitted."""
FEW = 15
"""From fewer readings only the earliest match is given. A two-sided band is given where the slope
is clear, and from few readings that is mostly where chance made it steeper: of such bands 28 to 81
of 100 hold, with wear of the size of the ruler's scatter. The earliest match alone is told of every
line, steep or not, and 89 to 94 of 100 hold; so do 89 to 95 of the bands from 15 on (simulated)."""
FAR = 40
"""A limit further ahead than so many matches is not forecast: the line was never seen that far."""
SURE = 0.90
"""How sure the band is: it holds the match where the limit is met in so many of 100 forecasts
(counted in simulations)."""
STEPS = 24
"""So many places of a band's edge are drawn."""


@dataclass(frozen=True)
class Point:
    """One reading: `x` in the unit of the wear, `value` SI; `fitted` is false where it could not be
    judged, is of an earlier part or lies far off the line (`odd`)."""

    reading: ReadingFact
    x: float
    value: float
    verdict: str
    fitted: bool
    odd: bool = False


@dataclass(frozen=True)
class Signal:
    """A rule of a control chart that fired: its words, the reading at which it first did, and
    between which values (SI) a single reading was expected there. `single`: only this reading;
    else the mean of the last ones crept away.
    """

    rule: str
    single: bool
    reading: ReadingFact
    low: float
    high: float
    x: float

    @property
    def before(self) -> float:
        """The mean of the readings before it."""
        return (self.low + self.high) / 2


@dataclass(frozen=True)
class Wear:
    """One check on one part against its use. `reach`, `early`, `late`: where the limit is met, in
    `unit` from now on; None where it is not, or where no one can say. `changes`: where new parts
    started. `slope` is SI for each unit, with its 95 % interval;
    `spread`: the standard deviation about the line. `beyond`: the reading that is beyond the limit
    already.
    """

    part_check: PartCheck
    limit: Limit
    bound: float
    unit: str
    now: float
    points: tuple[Point, ...]
    changes: tuple[float, ...]
    slope: float | None = None
    low: float | None = None
    high: float | None = None
    intercept: float | None = None
    spread: float = 0.0
    reach: float | None = None
    early: float | None = None
    late: float | None = None
    signal: Signal | None = None
    beyond: Point | None = None
    met_in: str = ""

    @property
    def fitted(self) -> tuple[Point, ...]:
        """The readings behind the line."""
        return tuple(point for point in self.points if point.fitted)

    @property
    def drifts(self) -> bool:
        """Whether the slope's interval leaves no doubt that it moves."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)

    @property
    def tells(self) -> bool:
        """Whether there is something to do: it moves, or it is beyond its limit."""
        return self.drifts or self.beyond is not None

    @property
    def near(self) -> bool:
        """Whether the limit is met within six matches, climbs or cycles, or is behind already."""
        return self.beyond is not None or (
            self.drifts and self.reach is not None and self.reach <= 6
        )

    def paths(
        self, last: float, low: float, high: float
    ) -> list[tuple[str, list[tuple[float, float]]]]:
        """The line (`fit`) and the edges of its band (`edge`) as places x, y up to x = `last`, cut
        between two values."""
        if self.slope is None or self.intercept is None:
            return []
        first = min(point.x for point in self.fitted)
        line = [(x, self.intercept + self.slope * x) for x in (first, last)]
        places = [first + (last - first) * step / STEPS for step in range(STEPS + 1)]
        edges = (
            [(x, self.intercept + self.slope * x + side * self._edge(x)) for x in places]
            for side in (-1, 1)
        )
        drawn = [
            ("fit", line),
            *(("edge", edge) for edge in edges if self.spread > 1e-9 * abs(high - low)),
        ]
        return [(kind, piece) for kind, path in drawn for piece in _cut(path, low, high)]

    def _edge(self, x: float) -> float:
        """How far the band of the line reaches at x."""
        from scipy.special import stdtrit

        at = [point.x for point in self.fitted]
        middle = sum(at) / len(at)
        apart = sum((place - middle) ** 2 for place in at)
        reach = float(stdtrit(len(at) - 2, (1 + SURE) / 2))
        return reach * self.spread * math.sqrt(1 / len(at) + (x - middle) ** 2 / apart)

    def shown(self, value: float) -> str:
        """A reading or limit in the unit of the screen."""
        return shown_quantity(self.limit, value)

    @property
    def sentence(self) -> str:
        """When the limit is met, with the band and the number of readings, or why that cannot be
        said."""
        latest = self.fitted[-1] if self.fitted else None
        if self.beyond is not None:
            which = "The latest reading" if self.beyond is latest else "A reading"
            return (
                f"{which}, {self.shown(self.beyond.value)}, is beyond {self.shown(self.bound)}:"
                " nothing is forecast any more. Change the part, set it right or measure again"
                " now."
            )
        if latest and latest.verdict == "stop":
            return (
                f"The latest reading, {self.shown(latest.value)}, was judged stop already."
                f" {self._told}"
            )
        return self._told

    @property
    def _told(self) -> str:
        count, bound = len(self.fitted), self.shown(self.bound)
        odd = sum(point.odd for point in self.points)
        apart = f"; {odd} far off it left out" if odd else ""
        readings = f"{counted(count, 'comparable reading')} of this part"
        if self.slope is None:
            return (
                f"{readings}: at least {LEAST} over two {PLURALS[self.unit]} are wanted for a line."
            )
        if self.few and self.reach is not None and (self.early is None or self.early <= FAR):
            return f"{readings}{apart}: if it goes on so, {bound} is met{self._earliest}."
        if not self.drifts or self.reach is None or self.late is None or self.reach > FAR:
            return f"{readings}{apart}: no drift towards {bound} can be told{self._not_before}."
        if self.reach <= 0:
            return (
                f"{readings}{apart}: the line has met {bound} already. Change it or measure again"
                " now."
            )
        named = f", {self.met_in}" if self.met_in else ""
        about = exposure_text(max(1, round(self.reach)), self.unit)
        return (
            f"Meets {bound} in about {about}{named}; it may be {max(0.0, self.early or 0.0):.0f} to"
            f" {self.late:.0f} (line through {readings}{apart}; {percent(SURE)} of all forecasts"
            f" hold it, those that end in 'perhaps never' among them)."
        )

    @property
    def few(self) -> bool:
        """Whether the readings are too few to report more than the earliest match; readings that
        lie exactly on a line never are."""
        scale = max((abs(point.value) for point in self.fitted), default=0.0)
        return len(self.fitted) < FEW and self.spread > 1e-9 * scale

    @property
    def _earliest(self) -> str:
        """From how many uses on the limit may be met, by few readings."""
        if self.early is None:
            return f" in a match that cannot be told before {FEW} readings are there"
        if self.early < 1:
            return " perhaps in the next one already: measure after each"
        least = exposure_text(int(self.early), self.unit)
        return (
            f" no earlier than in {least} ({percent(SURE)} sure); a latest one is told from {FEW}"
            " readings on"
        )

    @property
    def _not_before(self) -> str:
        """How long it takes at least, where the band says that; empty where it does not."""
        if self.early is None or self.early < 1:
            return ""
        return (
            f"; not before {exposure_text(min(FAR, int(self.early)), self.unit)} from now, perhaps"
            f" never ({percent(SURE)} sure)"
        )


def _cut(
    path: list[tuple[float, float]], low: float, high: float
) -> Iterator[list[tuple[float, float]]]:
    """The pieces of a path between two values of y."""
    piece: list[tuple[float, float]] = []
    for (x1, y1), (x2, y2) in pairwise(path):
        ends = (
            sorted((edge - y1) / (y2 - y1) for edge in (low, high))
            if y1 != y2
            else [0.0, 1.0 if low <= y1 <= high else -1.0]
        )
        first, last = max(0.0, ends[0]), min(1.0, ends[1])
        if first >= last:
            continue
        start, stop = ((x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in (first, last))
        piece += [stop] if piece else [start, stop]
        if last < 1.0:
            yield piece
            piece = []
    if piece:
        yield piece
