"""Which column of a robot's log is which: by the words of its heading, its unit, and a look at the first numbers."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pitcrew.errors import BadInput, UnknownName

ROLES = ("time", "voltage", "current", "overruns", "phase")
"""What a person may name: the clock, the battery's voltage, the whole current, a count or flag of late loops, the match phase."""

# unit as written (lower case) -> (what it measures, factor to SI)
UNITS: Mapping[str, tuple[str, float]] = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), ("time", 1.0)),
    **dict.fromkeys(("ms", "msec", "millis", "millisecond", "milliseconds"), ("time", 1e-3)),
    **dict.fromkeys(("us", "µs", "μs", "usec", "micros", "microsecond", "microseconds"), ("time", 1e-6)),
    **dict.fromkeys(("ns", "nanos", "nanoseconds"), ("time", 1e-9)), "min": ("time", 60.0),
    **dict.fromkeys(("v", "volt", "volts", "vdc"), ("voltage", 1.0)), **dict.fromkeys(("mv", "millivolt", "millivolts"), ("voltage", 1e-3)),
    **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), ("current", 1.0)),
    **dict.fromkeys(("ma", "milliamp", "milliamps"), ("current", 1e-3)),
    **dict.fromkeys(("w", "ah", "wh", "°c", "degc", "c", "f", "%", "rpm", "m", "mm", "m/s", "deg", "rad", "hz", "nm", "ohm", "mohm", "j"),
                    ("other", 1.0)),
}


@dataclass(frozen=True)
class _Wording:
    """Words that name a role, words that make it likelier, and words that speak against it."""

    names: frozenset[str]
    good: frozenset[str]
    bad: frozenset[str]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_BATTERY = "battery batt bat pack supply main total input overall system accumulator akku accu robot"
_CHANNEL = _words("channel ch chan port slot fuse breaker circuit motor branch")
WORDINGS: Mapping[str, _Wording] = {
    "time": _Wording(
        _words("time timestamp clock elapsed t stamp countdown remaining uptime seconds sec ms millis zeit temps tid tijd tempo instant"),
        _words("timestamp elapsed uptime log since"),
        _words("loop cycle duration step dt delta delay overrun overruns period latency trip left user gps code max min avg"),
    ),
    "voltage": _Wording(
        _words("voltage volts volt v u vbat vbatt ubat vin vbus tension potential spannung spanning spenning tensione voltaje"),
        _words(_BATTERY + " bus terminal vbat vbatt ubat"),
        _words("motor output applied rail rsl servo setpoint target reference threshold limit brownout min max avg sensor pressure logic "
               "radio drop"),
    ),
    "current": _Wording(
        _words("current amps amp ampere amperage draw load drain i ibat itotal strom courant stroom corrente corriente"),
        _words(_BATTERY + " all sum net whole ibat itotal demand"),
        _words("limit setpoint stator target rail time state angle position command mode pose heading cpu memory temperature power "
               "energy threshold max min avg used charge drawn count fault event session"),
    ),
    "overruns": _Wording(_words("overrun overruns overran"), _words("loop count"), frozenset()),
    "phase": _Wording(
        _words("phase mode period stage"), _words("match robot game"), _words("time clock brake neutral led camera pipeline"),
    ),
}


@dataclass(frozen=True)
class Heading:
    """One column's heading: as written, its words, its unit as written (lower case, may be empty)."""

    text: str
    words: frozenset[str]
    unit: str

    @property
    def dimension(self) -> str:
        """What the unit measures; empty where there is none that is known."""
        return UNITS[self.unit][0] if self.unit in UNITS else ""


@dataclass(frozen=True)
class Columns:
    """The number of the column of each role, of the single channels' currents, and the factor to SI of each that has a unit."""

    roles: Mapping[str, int]
    channels: tuple[int, ...]
    factors: Mapping[int, float]


def heading(text: str, unit_cell: str = "") -> Heading:
    """A heading understood: `Pack volts [V]`, `supply_v`, `Total draw / A`, `busVoltage` with its unit in the row below."""
    bare, unit = _split_unit(text)
    front, _, last = re.sub(r"[_\s]+", " ", bare).strip().rpartition(" ")
    if front and not unit and last.casefold() in UNITS:
        bare, unit = front, last.casefold()
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", bare)
    words = [word.casefold() for word in re.findall(r"[^\W\d_]+|\d+", spaced)]
    below = unit_cell.strip().strip("[]()").strip().casefold()
    if below in UNITS:
        unit = below
    return Heading(text, frozenset(words), unit)


def _split_unit(text: str) -> tuple[str, str]:
    found = re.fullmatch(r"(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\)|\s/\s*(\S+)|,\s*(\S+))\s*", text)
    unit = next((piece.strip().casefold() for piece in found.groups()[1:] if piece), "") if found else ""
    return (found[1], unit) if found and unit in UNITS else (text, "")


def score(role: str, head: Heading) -> int:
    """How well a heading suits a role; 0 where it does not."""
    wording = WORDINGS[role]
    if head.dimension and head.dimension != role:
        return 0
    named = bool(head.words & wording.names)
    if not named and not head.dimension:
        return 0
    return 3 * named + 2 * (head.dimension == role) + 2 * len(head.words & wording.good) - 3 * len(head.words & wording.bad)


def recognise(heads: Sequence[Heading], sample: Sequence[Sequence[float]], given: Mapping[str, str] | None = None) -> Columns:
    """The columns of a log. `sample`: the first rows as numbers, nan for what is none; `given`: role -> heading or number from 1,
    which a person named. Raises BadInput where time or voltage cannot be told, UnknownName for a heading that is not there."""
    roles = {role: _given(heads, role, name) for role, name in (given or {}).items() if name}
    for role in ("time", "voltage"):
        if role not in roles:
            roles[role] = _best(role, heads, sample, roles)
    currents = [at for at, head in enumerate(heads) if at not in roles.values() and _is_current(head)]
    if "current" not in roles and (whole := _whole(heads, sample, currents)) is not None:
        roles["current"] = whole
    for role in ("overruns", "phase"):
        scores = {at: score(role, head) for at, head in enumerate(heads) if at not in roles.values()}
        best = max(scores, key=scores.__getitem__, default=None)
        if role not in roles and best is not None and scores[best] > 0:
            roles[role] = best
    channels = tuple(at for at in currents if at not in roles.values())
    factors = {at: UNITS[heads[at].unit][1] for at in (*roles.values(), *channels) if heads[at].unit in UNITS}
    return Columns(roles, channels, factors)


def _is_current(head: Heading) -> bool:
    wording = WORDINGS["current"]
    return head.dimension in ("", "current") and bool(head.dimension or head.words & wording.names) and not head.words & wording.bad


def _given(heads: Sequence[Heading], role: str, name: str) -> int:
    if role not in ROLES:
        raise UnknownName("The column role", role, ROLES, "columns")
    exact = [at for at, head in enumerate(heads) if head.text.strip() == name.strip()]
    folded = exact or [at for at, head in enumerate(heads) if head.text.strip().casefold() == name.strip().casefold()]
    if folded:
        return folded[0]
    if name.isdecimal() and 1 <= int(name) <= len(heads):
        return int(name) - 1
    raise UnknownName("The column", name, [head.text for head in heads], "columns")


def _best(role: str, heads: Sequence[Heading], sample: Sequence[Sequence[float]], taken: Mapping[str, int]) -> int:
    scores = {at: score(role, head) for at, head in enumerate(heads) if at not in taken.values()}
    fits = {at: value for at, value in scores.items() if value > 0}
    if not fits:
        found = ", ".join(head.text for head in heads if head.text)[:300]
        raise BadInput(f"No column of the log is known as {role}. Name it, as in --columns {role}=HEADING; found: {found}", "columns")
    return max(fits, key=lambda at: (_plausible(role, at, sample), fits[at], -at))


def _plausible(role: str, at: int, sample: Sequence[Sequence[float]]) -> bool:
    """Whether the first numbers of a column can be what its heading says."""
    numbers = [row[at] for row in sample if at < len(row) and row[at] == row[at]]
    if role == "voltage":
        return bool(numbers) and 4 < sorted(numbers)[len(numbers) // 2] * (1e-3 if numbers[0] > 1000 else 1) < 16
    return len(set(numbers)) > 1 or not numbers


def _whole(heads: Sequence[Heading], sample: Sequence[Sequence[float]], currents: Sequence[int]) -> int | None:
    """The column of the whole current; None where there are only channels, which are then added up."""
    if len(currents) == 1:
        return currents[0]
    means = {at: _mean(at, sample) for at in currents}
    single = [at for at in currents if not heads[at].words & _CHANNEL]
    named = [at for at in single if heads[at].words & WORDINGS["current"].good]
    if named:
        return max(named, key=lambda at: (score("current", heads[at]), means[at], -at))
    unnumbered = [at for at in single if not any(word.isdecimal() for word in heads[at].words)]
    largest = max(unnumbered, key=means.__getitem__, default=None)
    if largest is not None and means[largest] >= 0.8 * sum(value for at, value in means.items() if at != largest):
        return largest
    return None


def _mean(at: int, sample: Sequence[Sequence[float]]) -> float:
    numbers = [row[at] for row in sample if at < len(row) and row[at] == row[at]]
    return sum(numbers) / len(numbers) if numbers else 0.0
