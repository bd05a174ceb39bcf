"""What will reach its limit when: a robust line through a part's readings against matches or cycles, and the match where it meets
the limit, with a band.

A change of the part starts a new line. Readings that could not be judged are kept for the drawing and not fitted.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice
from statistics import fmean, median

from pitcrew.base.units import counted
from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.checks.sentences import shown_quantity
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Look
from pitcrew.domain.logbook.state import battery_name
from pitcrew.domain.patterns.exposure import unit_of
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import PLURALS, exposure_text
from pitcrew.domain.patterns.record import Record, Scope, kept, lasting
from pitcrew.engineering.lines import crossings

LEAST, LATEST = 5, 40
"""Readings wanted before a limit is forecast; so many of the latest are drawn and fitted."""
BASE = 8
"""The first readings of a part, from which a control chart learns how it scatters."""
FAR = 40
"""A limit further ahead than so many matches is not forecast: the line was never seen that far."""


@dataclass(frozen=True)
class Point:
    """One reading: `x` in the unit of the wear, `value` SI; `fitted` is false where it could not be judged or is of an earlier part."""

    reading: ReadingFact
    x: float
    value: float
    verdict: str
    fitted: bool


@dataclass(frozen=True)
class Signal:
    """A rule of a control chart that fired: its words and the reading at which it first did."""

    rule: str
    reading: ReadingFact


@dataclass(frozen=True)
class Wear:
    """One check on one part against its use. `reach`, `early`, `late`: where the limit is met, in `unit` from now on; None where it
    is not. `changes`: where new parts started. `slope` is SI for each unit, with its 95 % interval."""

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
    reach: float | None = None
    early: float | None = None
    late: float | None = None
    signal: Signal | None = None
    met_in: str = ""

    @property
    def fitted(self) -> tuple[Point, ...]:
        """The readings behind the line."""
        return tuple(point for point in self.points if point.fitted)

    @property
    def drifts(self) -> bool:
        """Whether the slope's interval leaves no doubt that it moves."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)

    def lines(self, last: float, low: float, high: float) -> list[tuple[str, float, float, float, float]]:
        """The robust line (`fit`) and the edges of its band (`edge`) as x1, y1, x2, y2, up to x = `last` and cut between two values."""
        x, y = [point.x for point in self.fitted], [point.value for point in self.fitted]
        if self.slope is None:
            return []
        middle = median(x), median(y)
        wanted = [("fit", self.slope, min(x)), *(("edge", slope, middle[0]) for slope in (self.low, self.high) if slope is not None)]
        cut = [(kind, _cut(middle, slope, (first, last), (low, high))) for kind, slope, first in wanted]
        return [(kind, *ends) for kind, ends in cut if ends]

    def shown(self, value: float) -> str:
        """A reading or limit in the unit of the screen."""
        return shown_quantity(self.limit, value)

    @property
    def sentence(self) -> str:
        """When the limit is met, with the band and the number of readings, or why that cannot be said."""
        latest = self.fitted[-1] if self.fitted else None
        if latest and latest.verdict == "stop":
            return f"The latest reading, {self.shown(latest.value)}, was judged stop already. {self._told}"
        return self._told

    @property
    def _told(self) -> str:
        count = len(self.fitted)
        readings = f"{counted(count, 'comparable reading')} of this part"
        if self.slope is None:
            return f"{readings}: at least {LEAST} over two {PLURALS[self.unit]} are wanted for a line."
        bound = self.shown(self.bound)
        if not self.drifts or self.reach is None or self.reach > FAR:
            return f"{readings}: no drift towards {bound} can be told."
        if self.reach <= 0:
            return f"{readings}: the line has met {bound} already. Change it or measure again now."
        late = "perhaps never" if self.late is None else f"{self.late:.0f}"
        early = max(0.0, self.early or 0.0)
        named = f", {self.met_in}" if self.met_in else ""
        return (f"Meets {bound} in about {exposure_text(max(1, round(self.reach)), self.unit)}{named}; it may be {early:.0f} to {late} "
                f"(robust line through {readings}, slope interval 95 %).")


@kept
def wear(record: Record, scope: Scope) -> list[Wear]:
    """Every check with a number and a limit on what is looked at, the one that meets its limit soonest first. It looks at a part's
    whole life, whatever event is looked at."""
    found = [
        item for part_check in record.definitions.part_checks.values()
        if part_check.limit is not None and scope.has_part(part_check.part.id) and (item := wear_of(record, part_check, part_check.limit))
    ]
    return sorted(found, key=_soonest)


def wear_of(record: Record, part_check: PartCheck, limit: Limit) -> Wear | None:
    """One check on one part; None where it has no limit or no number was read."""
    part, look = part_check.part.id, Look(record.definitions, record.state)
    mine = (reading for reading in reversed(record.state.readings.get(part_check.key, [])) if look.is_mine(reading.robot))
    readings = list(islice(mine, LATEST))[::-1]
    changes = look.mine(record.state.part_changes.get(part, []))
    unit = {"hour": "match"}.get(counted := unit_of(record, part), counted)
    uses = _uses(record, part, unit)
    found = lasting(record, ("wear", part_check.key), (readings, changes, uses),
                    lambda: _wear(part_check, limit, unit, readings, changes, uses))
    return replace(found, met_in=_named(record, unit, found.reach)) if found else None


def _wear(
    part_check: PartCheck, limit: Limit, unit: str, readings: list[ReadingFact], changes: list[Fact], uses: list[datetime],
) -> Wear | None:
    bounds = [bound for bound in (limit.stop_low, limit.stop_high) if bound is not None]
    last_change = changes[-1].at if changes else None
    points = tuple(
        Point(reading, float(bisect_right(uses, reading.at)), float(reading.result), reading.verdict,
              reading.verdict != "unjudged" and (last_change is None or reading.at > last_change))
        for reading in readings if isinstance(reading.result, int | float) and not isinstance(reading.result, bool)
    )
    if not points or not bounds:
        return None
    new_parts = tuple(float(bisect_right(uses, fact.at)) for fact in changes)
    return _forecast(Wear(part_check, limit, bounds[-1], unit, float(len(uses)), points, new_parts), bounds)


def _uses(record: Record, part: str, unit: str) -> list[datetime]:
    """When each use of the part began, in order."""
    if unit == "cycle":
        moves: list[Fact] = record.state.battery_moves.get(battery_name(part), [])
        return [move.at for move in moves if move.body.to == "robot"]
    return _starts(record, unit == "climb")


@kept
def _starts(record: Record, climbs_only: bool) -> list[datetime]:
    """The starts of the robot that plays, in order; those with a climb alone."""
    look = Look(record.definitions, record.state)
    return sorted(item.start for item in record.played if look.is_mine(item.robot) and (item.climbed or not climbs_only))


def _forecast(plain: Wear, bounds: list[float]) -> Wear:
    """With the line, and the bound that it goes to."""
    fitted = plain.fitted
    x, y = tuple(point.x for point in fitted), tuple(point.value for point in fitted)
    if len(fitted) < LEAST or min(x) == max(x):
        return plain
    extras = figured("robust-line", x=x, y=y).extras
    slopes = extras["slope"], extras["low"], extras["high"]
    bound = bounds[0] if extras["slope"] < 0 else bounds[-1]
    met = crossings(x, y, bound, slopes)
    reach, early, late = (None if place is None else place - plain.now for place in met.values())
    return replace(
        plain, bound=bound, slope=slopes[0], low=slopes[1], high=slopes[2], intercept=extras["intercept"],
        signal=_signal(fitted), reach=reach, early=early, late=late,
    )


def _cut(
    middle: tuple[float, float], slope: float, across: tuple[float, float], up: tuple[float, float],
) -> tuple[float, float, float, float] | None:
    """The piece of a line through `middle` inside a frame, as x1, y1, x2, y2; None where it is all outside."""
    (x, y), (first, last) = middle, across
    if slope:
        enters, leaves = sorted(x + (edge - y) / slope for edge in up)
        first, last = max(first, enters), min(last, leaves)
    if first >= last or not (slope or up[0] <= y <= up[1]):
        return None
    return first, y + slope * (first - x), last, y + slope * (last - x)


def _named(record: Record, unit: str, reach: float | None) -> str:
    """The match of ours in which the limit is met, where the schedule has it."""
    place = 0 if reach is None else round(reach)
    return record.coming[place - 1].name if unit == "match" and 0 < place <= len(record.coming) else ""


def _signal(fitted: tuple[Point, ...]) -> Signal | None:
    """The first rule that fired: a single reading, or the weighted mean, outside limits learnt from the first BASE readings."""
    values = tuple(point.value for point in fitted)
    if len(values) < BASE + 2:
        return None
    base = figured("individuals", values=values[:BASE])
    sd = (base.extras["high"] - base.value) / 3
    if sd <= 0:
        return None
    outside = next((place for place, value in enumerate(values[BASE:], BASE) if abs(value - base.value) > 3 * sd), None)
    drift = figured("ewma", values=values[BASE:], centre=fmean(values[:BASE]), sd=sd).extras["signals"]
    if drift and (outside is None or BASE + drift[0] - 1 <= outside):
        return Signal("the weighted mean (weight 0.3) left its limits: a slow drift", fitted[BASE + drift[0] - 1].reading)
    if outside is not None:
        return Signal("one reading outside three standard deviations", fitted[outside].reading)
    return None


def _soonest(item: Wear) -> tuple[bool, float, str]:
    sure = item.drifts and item.reach is not None and item.reach <= FAR
    return (not sure, item.reach if sure and item.reach is not None else 0.0, item.part_check.key)
