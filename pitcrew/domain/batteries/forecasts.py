"""The lowest voltage to be expected in the next match, with an interval that this robot's own logs
have earned.

Ohm's law at the usual peak current, behind a voltage that falls with the charge drawn, all of it
from the logs: V = V0 - S q - R I. Each log is also a test of the forecast that the logs before it
would have made; what those missed by gives the interval. A short or poor record gives a wide one.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from pitcrew.domain.batteries.charge import Estimate
from pitcrew.domain.batteries.records import sound_logs
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment

SHARE = 0.9
"""of the matches whose lowest voltage the interval is to hold"""
NEAR = 0.3
"""V within which a forecast counts as right in its record"""
USUAL_VOLTAGE = 12.7
"""V at which a forecast begins where neither logs nor a rest voltage tell it (common practice)."""
_OLDEST = 60
"""logs whose forecasts make the record"""
RECENT = 5
"""logs of which the middle counts: a robot changes"""
_GUESS = 0.8
"""V by which a forecast without a record may be off; counts as much as `_GUESSES` matches. Ours,
set on invented logs: a lug that comes loose among the first matches costs 1.1 V and must be held
too."""
_GUESSES, _BIAS = 2.0, 0.5
_Z = 1.6448536269514722
"""Standard normal deviate of 95 %: both sides of SHARE."""


@dataclass(frozen=True)
class Forecast:
    """The lowest voltage (V) to be expected under a peak of `current` (A) over `resistance` (ohm),
    `low` to `high` in SHARE of the matches; `margin` to the brown-out voltage; of `count` forecasts
    before, `near` came within NEAR."""

    lowest: float
    low: float
    high: float
    margin: float
    current: float
    resistance: float
    near: int = 0
    count: int = 0

    @property
    def against_brown_out(self) -> str:
        """The margin in words; where the interval reaches below the brown-out voltage, it says
        so."""
        side = "above" if self.margin >= 0 else "BELOW"
        worst = self.margin - (self.lowest - self.low)
        more = f", at worst {-worst:.1f} V BELOW" if self.margin >= 0 > worst else ""
        return f"{abs(self.margin):.1f} V {side} brown-out{more}"

    @property
    def record(self) -> str:
        """How forecasts did so far, in a sentence without its point."""
        if not self.count:
            return "no forecast of this robot could be checked yet"
        matches = "match" if self.count == 1 else "matches"
        return f"our forecasts were within {NEAR:g} V in {self.near} of {self.count} {matches}"


@dataclass(frozen=True)
class Course:
    """What the logs say about a match to come: peak current (A), charge drawn before the lowest
    voltage (A*h), slope (V per A*h), voltage at no current (V; None where no log tells it)."""

    current: float
    drawn: float
    slope: float
    open_circuit: float | None


def course_of(logs: Sequence[Fact]) -> Course | None:
    """The middle of the last logs; None where none tells a current."""
    last = [fact.body for fact in logs if _peak(fact) is not None][-RECENT:]
    if not last:
        return None
    slopes = [body.charge_slope for body in last if body.charge_slope is not None]
    drawn = [body.charge * body.lowest_at / body.duration for body in last if body.charge]
    opens = [body.open_circuit for body in last if body.open_circuit is not None]
    return Course(
        float(median(body.peak_current or body.sustained_current for body in last)),
        float(median(drawn)) if drawn else 0.0,
        max(0.0, float(median(slopes))) if slopes else 0.0,
        float(median(opens)) if opens else None,
    )


def misses(logs: Sequence[Fact]) -> list[float]:
    """By how much (V) each log's lowest voltage lay above what the logs before it forecast."""
    usable = [fact for fact in logs if fact.body.resistance is not None]
    usable = [item for item in usable if item.body.open_circuit is not None and _peak(item)][
        -_OLDEST:
    ]
    found = []
    for at in range(1, len(usable)):
        fact, before = usable[at], usable[:at]
        course = course_of(before)
        own = [item for item in before if item.body.battery == fact.body.battery]
        ohms = (
            own[-1].body.resistance
            if own
            else median(item.body.resistance for item in before[-RECENT:])
        )
        if course is not None:
            found.append(fact.body.lowest_voltage - _lowest(course, ohms, None, 0.0))
    return found


def interval(missed: Sequence[float]) -> tuple[float, float]:
    """Middle and reach (V) of what is to be added to a forecast, by what earlier ones missed.

    The predictive interval of a normal sample with a conjugate prior (Student's t; Bayesian data
    analysis, any textbook): the guess counts as a few matches, then the record takes over.
    """
    count = len(missed)
    mean = fmean(missed) if missed else 0.0
    weight, freedom = _BIAS + count, _GUESSES + count
    squares = _GUESSES * _GUESS**2 + sum((value - mean) ** 2 for value in missed)
    squares += _BIAS * count * mean**2 / weight
    scale = math.sqrt(squares / freedom * (1 + 1 / weight))
    return count * mean / weight, student(freedom) * scale


def student(freedom: float) -> float:
    """Student's t of 95 % for 2 or more degrees of freedom, by the series in 1/freedom (Abramowitz
    and Stegun 26.7.5, five terms; within 1.5 % from 2 on): scipy would take most of a second to
    load."""
    z = _Z
    terms = (
        z,
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return sum(term / freedom**power for power, term in enumerate(terms))


class Forecaster:
    """Forecasts for the batteries of one moment: the logs are gone through once."""

    def __init__(self, moment: Moment, totals: Mapping[str, float]) -> None:
        """`totals`: ohm of battery and wiring, by battery."""
        logs = sound_logs(moment)
        self._course, self._totals = course_of(logs), totals
        self._brown_out = float(moment.definitions.settings["brown_out"])
        missed = misses(logs)
        self._near, self._count = sum(abs(miss) <= NEAR for miss in missed), len(missed)
        self._middle, self._reach = interval(missed)

    def of(self, name: str, rest: ReadingFact | None, charge: Estimate) -> Forecast | None:
        """The forecast of a battery; where its charge is not known, the low end counts all that may
        be lacking. None where its resistance or the current is not known."""
        total, course = self._totals.get(name), self._course
        if total is None or course is None:
            return None
        lowest = _lowest(course, total, _rest_volts(rest), charge.lacks) + self._middle
        low, high = lowest - self._reach, lowest + self._reach
        if charge.charge is None:
            low -= course.slope * (charge.lacks_at_most - charge.lacks)
        margin = lowest - self._brown_out
        return Forecast(lowest, low, high, margin, course.current, total, self._near, self._count)


def _lowest(course: Course, ohms: float, rest: float | None, lacks: float) -> float:
    told = course.open_circuit
    if told is None:
        told = rest if rest is not None else USUAL_VOLTAGE
    begins = min(told, rest) if rest is not None and rest < told else told
    return begins - course.slope * (course.drawn + lacks) - ohms * course.current


def _rest_volts(rest: ReadingFact | None) -> float | None:
    judged = rest is not None and rest.verdict in ("ok", "watch")
    if not judged or rest is None or not isinstance(rest.result, int | float):
        return None
    return float(rest.result)


def _peak(fact: Fact) -> float | None:
    peak: float | None = fact.body.peak_current or fact.body.sustained_current
    return peak
