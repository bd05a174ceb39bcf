"""What will reach its limit when: a line through a part's readings against matches or cycles, and
the match where it meets the limit, with a band that counts the error of its slope and of its level.

A change of the part starts a new line. Readings that could not be judged, and one far off all the
others, are kept for the drawing and not fitted. Once a reading is beyond the limit nothing is
forecast any more.
"""

from bisect import bisect_right
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice, pairwise

from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Look
from pitcrew.domain.logbook.state import battery_name
from pitcrew.domain.patterns.exposure import unit_of
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.record import Record, Scope, kept, lasting
from pitcrew.domain.patterns.repeats import counted_moves
from pitcrew.domain.patterns.wearline import FAR, LATEST, LEAST, SURE, Point, Signal, Wear
from pitcrew.engineering.charts import self_starting
from pitcrew.engineering.lines import odd_reading

MOST_ODD = 2
"""At most so many readings are left out of a line as far off it."""


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
    """The starts of the robot that plays, in order; only those with a climb."""
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
    # from few readings the earliest end alone, which is as sure with a narrower two-sided band
    sure = 2 * SURE - 1 if drawn.few else SURE
    met = figured("line", x=x, y=y, confidence=sure, limit=bound).extras
    reach, early, late = (
        None if met[name] is None else met[name] - plain.now
        for name in ("reach", "reach_early", "reach_late")
    )
    return replace(drawn, bound=bound, reach=reach, early=early, late=None if drawn.few else late)


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
