"""What will reach its limit when: a line through a part's readings against matches or cycles, and
the match where it meets the limit, with a band that counts the error of its slope and of its level.

A change of the part starts a new line. Readings that could not be judged, and one far off all the
others, are kept for the drawing and not fitted. Once a reading is beyond the limit nothing is
forecast any more.
"""

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice, pairwise

from pitcrew.base.units import counted
from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.checks.sentences import shown_quantity
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Look
from pitcrew.domain.logbook.state import battery_name
from pitcrew.domain.patterns.exposure import unit_of
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import PLURALS, exposure_text, percent
from pitcrew.domain.patterns.record import Record, Scope, kept, lasting
from pitcrew.domain.patterns.repeats import counted_moves
from pitcrew.engineering.charts import self_starting
from pitcrew.engineering.lines import odd_reading

LEAST, LATEST = 5, 40
"""Readings wanted before a limit is forecast; so many of the latest are drawn and fitted."""
FAR = 40
"""A limit further ahead than so many matches is not forecast: the line was never seen that far."""
SURE = 0.90
"""How sure the band is: it holds the match where the limit is met in so many of 100 forecasts
(counted in simulations)."""
MOST_ODD = 2
"""At most so many readings are left out of a line as far off it."""
STEPS = 24
"""So many places of a band's edge are drawn."""


@dataclass(frozen=True)
class Bounds:
    """Between which values (SI) a part is not worn out; None where there is no such bound."""

    low: float | None
    high: float | None

    def beyond(self, value: float) -> bool:
        """Whether a reading is beyond them."""
        return (self.low is not None and value < self.low) or (
            self.high is not None and value > self.high
        )

    def towards(self, slope: float) -> float:
        """The one that a line with that slope goes to, or the only one."""
        first, other = (self.low, self.high) if slope < 0 else (self.high, self.low)
        return first if first is not None else other if other is not None else 0.0


def bounds_of(part_check: PartCheck, limit: Limit) -> Bounds | None:
    """The bounds of wear: where it is stop, apart from a bound that only catches a slip in
    measuring; None where there is none."""
    sanity = part_check.check.limit_rule.sanity
    low, high = (
        None if name == sanity else getattr(limit, name) for name in ("stop_low", "stop_high")
    )
    return Bounds(low, high) if low is not None or high is not None else None


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
    between which values (SI) a single reading was expected there. `single`: this reading alone;
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
    `unit` from now on; None where it is not, or where nobody can say. `changes`: where new parts
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
        return reach * self.spread * (1 / len(at) + (x - middle) ** 2 / apart) ** 0.5

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
            f" {self.late:.0f} (line through {readings}{apart}; {percent(SURE)} of such bands hold"
            " it)."
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


@kept
def wear(record: Record, scope: Scope) -> list[Wear]:
    """Every check with a number and a limit on what is looked at, the one that meets its limit
    soonest first. It looks at a part's whole life, whatever event is looked at."""
    found = [
        item
        for part_check in record.definitions.part_checks.values()
        if part_check.limit is not None
        and scope.has_part(part_check.part.id)
        and (item := wear_of(record, part_check, part_check.limit))
    ]
    return sorted(found, key=_soonest)


def wear_of(record: Record, part_check: PartCheck, limit: Limit) -> Wear | None:
    """One check on one part; None where it has no limit or no number was read."""
    part, look = part_check.part.id, Look(record.definitions, record.state)
    mine = (
        reading
        for reading in reversed(record.state.readings.get(part_check.key, []))
        if look.is_mine(reading.robot)
    )
    readings = list(islice(mine, LATEST))[::-1]
    changes = look.mine(record.state.part_changes.get(part, []))
    repairs = _repairs(record).get(part, [])
    unit = {"hour": "match"}.get(counted := unit_of(record, part), counted)
    uses = _uses(record, part, unit)
    found = lasting(
        record,
        ("wear", part_check.key),
        (readings, changes, uses, repairs),
        lambda: _wear(part_check, limit, unit, readings, changes, uses, repairs),
    )
    return replace(found, met_in=_named(record, unit, found.reach)) if found else None


def _wear(
    part_check: PartCheck,
    limit: Limit,
    unit: str,
    readings: list[ReadingFact],
    changes: list[Fact],
    uses: list[datetime],
    repairs: list[datetime],
) -> Wear | None:
    bounds = bounds_of(part_check, limit)
    numbers = [
        reading
        for reading in readings
        if isinstance(reading.result, int | float) and not isinstance(reading.result, bool)
    ]
    if not numbers or bounds is None:
        return None
    starts = [fact.at for fact in changes[-1:]]
    starts += _set_right(
        [(reading.at, bisect_right(uses, reading.at), reading.result) for reading in numbers],
        bounds,
        repairs,
    )
    start = max(starts, default=None)
    points = tuple(
        Point(
            reading,
            float(bisect_right(uses, reading.at)),
            float(reading.result),
            reading.verdict,
            reading.verdict != "unjudged" and (start is None or reading.at > start),
        )
        for reading in numbers
    )
    new_parts = tuple(float(bisect_right(uses, fact.at)) for fact in changes)
    return _forecast(
        Wear(part_check, limit, bounds.towards(1), unit, float(len(uses)), points, new_parts),
        bounds,
    )


@kept
def _repairs(record: Record) -> dict[str, list[datetime]]:
    """When each part was repaired, by its id."""
    found: dict[str, list[datetime]] = {}
    for fault in record.faults:
        found.setdefault(fault.part, []).extend(
            move.at for move in counted_moves(fault) if move.body.to == "repaired"
        )
    return found


def _set_right(
    read: list[tuple[datetime, int, float]], bounds: Bounds, repairs: list[datetime]
) -> list[datetime]:
    """When (time, use, value) a reading was beyond a limit and the part was set right afterwards:
    repaired, or read again before its next use and inside then. What is read later belongs to a new
    line."""
    last = {use: value for _, use, value in read}
    return [
        at
        for at, use, value in read
        if bounds.beyond(value)
        and (not bounds.beyond(last[use]) or any(repaired > at for repaired in repairs))
    ]


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
    return sorted(
        item.start
        for item in record.played
        if look.is_mine(item.robot) and (item.climbed or not climbs_only)
    )


def _forecast(plain: Wear, bounds: Bounds) -> Wear:
    """With the line, and the bound that it goes to. Beyond the limit there is a line and no
    forecast."""
    plain = replace(plain, points=_without_odd(plain.points), beyond=_beyond(plain, bounds))
    fitted = plain.fitted
    x, y = tuple(point.x for point in fitted), tuple(point.value for point in fitted)
    if plain.beyond is not None:
        low = bounds.low is not None and plain.beyond.value < bounds.low
        plain = replace(plain, bound=bounds.towards(-1 if low else 1))
    if len(fitted) < LEAST or min(x) == max(x):
        return plain
    extras = figured("line", x=x, y=y).extras
    drawn = replace(
        plain,
        slope=extras["slope"],
        low=extras["low"],
        high=extras["high"],
        intercept=extras["intercept"],
        spread=extras["residual_sd"],
        signal=_signal(plain),
    )
    if plain.beyond is not None:
        return drawn
    bound = bounds.towards(extras["slope"])
    met = figured("line", x=x, y=y, confidence=SURE, limit=bound).extras
    reach, early, late = (
        None if met[name] is None else met[name] - plain.now
        for name in ("reach", "reach_early", "reach_late")
    )
    return replace(drawn, bound=bound, reach=reach, early=early, late=late)


def _beyond(plain: Wear, bounds: Bounds) -> Point | None:
    """The last reading of this line beyond a limit."""
    return next((point for point in reversed(plain.fitted) if bounds.beyond(point.value)), None)


def _without_odd(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """The same with what lies far off the line marked, and left out of it."""
    for _ in range(MOST_ODD):
        fitted = [place for place, point in enumerate(points) if point.fitted]
        found = odd_reading(
            [points[place].x for place in fitted], [points[place].value for place in fitted]
        )
        if found is None:
            break
        odd = replace(points[fitted[found]], fitted=False, odd=True)
        points = (*points[: fitted[found]], odd, *points[fitted[found] + 1 :])
    return points


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


def _named(record: Record, unit: str, reach: float | None) -> str:
    """The match of ours in which the limit is met, where the schedule has it."""
    place = 0 if reach is None else round(reach)
    return (
        record.coming[place - 1].name if unit == "match" and 0 < place <= len(record.coming) else ""
    )


RULES = {
    "single": "one reading far from where those before it say it should be",
    "drift": "a slow drift (the weighted mean, weight 0.3, left its limits)",
}
"""What fired, in words."""
FALSE_ALARMS = "fewer than 2 in 100 raise this in a season of 60 readings"
"""How often a control chart cries wolf on a line that does not change: counted in simulations."""


def _signal(plain: Wear) -> Signal | None:
    """The first rule of a self-starting control chart that fired, over all readings of this part
    that can be compared."""
    points = [point for point in plain.points if point.fitted or point.odd]
    values = [point.value for point in points]
    steps = [step for one, other in pairwise(sorted(set(values))) if (step := other - one) > 0]
    least = max(max(plain.limit.guards.values(), default=0.0) / 4, min(steps, default=0.0) / 3)
    alarm = self_starting(values, least)
    if alarm is None:
        return None
    return Signal(
        RULES[alarm.rule],
        alarm.rule == "single",
        points[alarm.place].reading,
        alarm.low,
        alarm.high,
        points[alarm.place].x,
    )


def _soonest(item: Wear) -> tuple[int, float, str]:
    sure = item.drifts and item.reach is not None and item.late is not None and item.reach <= FAR
    rank = 0 if item.beyond else 1 if sure else 2
    return (rank, item.reach if sure and item.reach is not None else 0.0, item.part_check.key)
