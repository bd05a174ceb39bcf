"""How full a battery is: one estimate, a band, folded from everything that is known of it.

The fold starts with nothing known and goes through a battery's life in order of time. What was
drawn (matches, a capacity test) lowers both ends; a charger's time raises only the upper end, since
a channel may have charged nothing; the lower end rises by evidence only: a charger that finished or
tapered with volts that hold after a quarter of an hour, or volts after a full rest.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache

from pitcrew.base.units import show
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.charge import CHARGE_TABLES, LEAST_REST, TABLE_REST

CHARGED = 65.0
"""% at least in a battery that is known to be charged: a usual match later it is still above the
half that makers' documentation asks for."""
FLAT = 50.0
"""% at most in a battery that goes into no match: makers' documentation asks to stay above half."""
WIDEST = 50.0
"""points; a wider band is no knowledge and is not shown as some"""
LABEL = 18.0
"""A*h where no label is known: the usual battery (common practice)."""
_PIT_VOLTS = 12.7
"""V that must stand a quarter of an hour after the charger (makers' documentation, 12.7 to 13.5
V)."""
_BY_CHARGER = (85.0, 100.0)
"""% after a charger that finished: some end early, at 12.8 V (crews' reports); the band is ours."""
_AFTER_TEST = 5.0
"""% that a battery may hold after a capacity test to its end voltage; empty by definition."""
_IDLE = 10.0 / 30
"""% a day that standing may cost: 0.1 V a month (makers' documentation), a tenth by the AGM
table."""
_LOG_SPARE, _GUESS_SPARE = 1.1, 1.5
"""A match may have taken so many times what its log says, or what matches usually take."""
_DAY, _HOUR = 86400.0, 3600.0
_LOWEST, _HIGHEST = CHARGE_TABLES["model"][0][0] + 0.1, 13.5
_COLDEST, _WARMEST = 263.15, 323.15
"""V and K between which the tables hold; beyond them the nearest counts, 0.1 V for the
temperature."""
_FULL = 95.0
"""% that a voltage shows at most for certain: above it all tables are flat."""


@dataclass(frozen=True)
class Happened:
    """One thing in a battery's life. `what`: match, test, lent, channel, charger, volts; `end` of a
    stay on a channel; `charge` in A*h of a match, `measured` by its log; `volts`, `rest` (s) and
    `case` (K) of a rest voltage; `done`: the charger finished, or its current tapered."""

    at: datetime
    what: str
    end: datetime | None = None
    charge: float = 0.0
    measured: bool = False
    volts: float = 0.0
    rest: float | None = None
    case: float | None = None
    done: bool = False


@dataclass(frozen=True)
class Charge:
    """From `low` to `high` in % of the capacity, and what says so."""

    low: float
    high: float
    source: str


@dataclass(frozen=True)
class Estimate:
    """What the fold found: the band, whether it says anything, `lacks` in A*h at least, and `why`
    not known; `emptied`: a capacity test was the last that drew on it."""

    low: float = 0.0
    high: float = 100.0
    source: str = ""
    capacity: float = LABEL
    emptied: bool = False
    why: str = ""
    finished: bool = False
    held: float | None = None
    last: datetime | None = None

    @property
    def lacks(self) -> float:
        """A*h that are lacking at least."""
        return self.capacity * (100 - self.high) / 100

    @property
    def lacks_at_most(self) -> float:
        """A*h that may be lacking: all that it holds where nothing says more."""
        return self.capacity * (100 - self.low) / 100

    @property
    def charge(self) -> Charge | None:
        """The band; None where it is too wide to be known."""
        known = self.source and self.high - self.low <= WIDEST
        return Charge(self.low, self.high, self.source) if known else None

    @property
    def unknown(self) -> str:
        """Why the charge is not known and what to do; empty where it is."""
        if self.charge is not None:
            return ""
        return self.why or (
            "Nothing says how full it is. Let the charger finish, read "
            f"{_PIT_VOLTS:g} V or more after 15 min, and log both."
        )


def estimate(life: Iterable[Happened], capacity: float, current: float, now: datetime) -> Estimate:
    """The charge at `now`; `capacity` in A*h, the chargers' `current` in A."""
    found = Estimate(capacity=capacity)
    for item in sorted(life, key=lambda item: item.at):
        if item.at > now:
            break
        found = _STEPS[item.what](_stood(found, item.at), item, current, now)
        end = min(item.end or now, now) if item.what == "channel" else item.at
        found = replace(found, last=max(end, found.last or end))
    return _stood(found, now)


def _stood(found: Estimate, until: datetime) -> Estimate:
    """What standing took since the last thing that happened."""
    if found.last is None or until <= found.last:
        return found
    lost = _IDLE * (until - found.last).total_seconds() / _DAY
    return replace(found, low=max(0.0, found.low - lost))


def _match(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    share = 100 * item.charge / found.capacity
    most = share * (_LOG_SPARE if item.measured else _GUESS_SPARE)
    source = found.source and _and(found.source, "what matches took since")
    return replace(
        found, low=max(0.0, found.low - most), high=max(0.0, found.high - share), source=source,
        emptied=False, finished=False, held=None, why="",
    )  # fmt: skip


def _test(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    return replace(
        found, low=0.0, high=_AFTER_TEST, source="a capacity test that emptied it", emptied=True,
        finished=False, held=None, why="",
    )  # fmt: skip


def _channel(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    hours = (min(item.end or now, now) - item.at).total_seconds() / _HOUR
    high = min(100.0, found.high + 100 * current * hours / found.capacity)
    put = min(current * hours, found.capacity)
    why = (
        f"{_span(hours * _HOUR)} on a channel at {current:g} A may have put back {put:.1f} A·h or "
        "nothing. Log what the charger says, and its volts after 15 min."
    )
    source = found.source and _and(found.source, "its time on the charger")
    return replace(found, high=high, source=source, finished=False, held=None, why=why)


def _charger(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    return _by_charger(replace(found, finished=item.done))


def _lent(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    drew = "It was in another robot: what it drew there is not known."
    why = f"{drew} Charge it until the charger ends."
    return replace(found, low=0.0, source="", finished=False, held=None, why=why)


def _volts(found: Estimate, item: Happened, current: float, now: datetime) -> Estimate:
    """A rest voltage: after a full rest the tables tell the charge; after a quarter of an hour it
    only shows whether the volts of a charger held."""
    if item.rest is None or item.rest < LEAST_REST:
        return found
    said = f"{show(item.volts, 'V')} after {_span(item.rest)}"
    if item.rest >= TABLE_REST:
        return _refined(
            found, by_voltage(item.volts, item.rest, item.case), f"{said} of rest", True
        )
    wait = f"read again after {TABLE_REST / _HOUR:.0f} h of rest"
    why = f"{said} is surface voltage. Log whether the charger finished, or {wait}."
    held = item.volts if item.volts >= _PIT_VOLTS else None
    return _by_charger(replace(found, held=held, why=found.why if held is None else why))


def _by_charger(found: Estimate) -> Estimate:
    """The pit's own evidence: a charger that finished, and volts that held after it."""
    if not found.finished or found.held is None:
        return found
    said = f"its charger, and {show(found.held, 'V')} that held after it"
    return _refined(found, _BY_CHARGER, said, False)


def _refined(found: Estimate, band: tuple[float, float], source: str, trusted: bool) -> Estimate:
    """Both bands where they agree; else the trusted one, or nothing is known any more."""
    low, high = max(found.low, band[0]), min(found.high, band[1])
    if low <= high:
        return replace(found, low=low, high=high, source=source, why=_wide(low, high, source))
    if trusted:
        return replace(found, low=band[0], high=band[1], source=source, why="")
    why = (
        f"Counting leaves {found.low:.0f} to {found.high:.0f} %, {source} say {band[0]:.0f} to "
        f"{band[1]:.0f} %: something was not logged. Charge it until the charger ends."
    )
    return replace(found, low=0.0, high=100.0, source="", why=why, finished=False, held=None)


def _wide(low: float, high: float, source: str) -> str:
    if high - low <= WIDEST:
        return ""
    return (
        f"{source[:1].upper()}{source[1:]} leaves {low:.0f} to {high:.0f} %: too wide to count on."
    )


def _span(seconds: float) -> str:
    return f"{seconds / 60:.0f} min" if seconds < 2 * _HOUR else f"{seconds / _HOUR:.0f} h"


def _and(source: str, more: str) -> str:
    return source if more in source else f"{source} and {more}"


@cache
def by_voltage(volts: float, rest: float, case: float | None) -> tuple[float, float]:
    """The charge from and to in % by volts after a full rest in s, at a case temperature in K where
    it was measured: over all tables and the meter."""
    given = {"voltage": min(max(volts, _LOWEST), _HIGHEST), "rest": rest, "table": "model"}
    if case is not None:
        given["temperature"] = min(max(case, _COLDEST), _WARMEST)
    extras = find("battery-charge").compute(given).extras
    return min(float(extras["low"] or 0.0), _FULL), float(extras["high"] or 0.0)


_STEPS = {
    "match": _match, "test": _test, "lent": _lent, "channel": _channel, "charger": _charger,
    "volts": _volts,
}  # fmt: skip
