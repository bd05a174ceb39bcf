"""The words of headings in robots' logs: what they name, and the units that stand with them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

# unit as written (lower case) -> (what it measures, factor to SI)
UNITS: Mapping[str, tuple[str, float]] = {
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds"), ("time", 1.0)),
    **dict.fromkeys(
        ("ms", "msec", "msecs", "millis", "millisecond", "milliseconds"), ("time", 1e-3)
    ),
    **dict.fromkeys(
        ("us", "µs", "μs", "usec", "micros", "microsecond", "microseconds"), ("time", 1e-6)
    ),
    **dict.fromkeys(("ns", "nanos", "nanosecond", "nanoseconds"), ("time", 1e-9)),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), ("time", 60.0)),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), ("time", 3600.0)),
    **dict.fromkeys(("v", "volt", "volts", "vdc"), ("voltage", 1.0)),
    **dict.fromkeys(("mv", "millivolt", "millivolts"), ("voltage", 1e-3)),
    **dict.fromkeys(("a", "amp", "amps", "ampere", "amperes"), ("current", 1.0)),
    **dict.fromkeys(("ma", "milliamp", "milliamps"), ("current", 1e-3)),
    **dict.fromkeys(
        (
            "w",
            "kw",
            "ah",
            "mah",
            "wh",
            "°c",
            "degc",
            "c",
            "k",
            "f",
            "%",
            "rpm",
            "m",
            "mm",
            "cm",
            "ft",
            "m/s",
            "deg",
            "rad",
            "hz",
            "nm",
            "ohm",
            "mohm",
            "j",
            "kg",
            "bar",
            "kpa",
            "psi",
        ),
        ("other", 1.0),
    ),
}


@dataclass(frozen=True)
class Wording:
    """Words that name a role, words that make it likelier, and words that speak against it."""

    names: frozenset[str]
    good: frozenset[str]
    bad: frozenset[str]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


BATTERY = _words(
    "battery batt bat batterie bateria batería batteri accumulator akku accu pack supply main haupt"
    " total gesamt totale totaal input overall system robot"
)
CHANNELS = _words("channel ch chan port slot fuse breaker circuit branch motor")
"""Words of one of many like currents, which are a part of the whole if no word says that it is
their sum."""
MECHANISMS = _words(
    "drive drivetrain chassis module wheel left right front rear back fl fr bl br rl rr lf rf lift"
    " arm elevator intake shooter climber climb wrist turret swerve steer steering turn flywheel"
    " roller conveyor pump compressor fan winch hood pivot shoulder elbow claw gripper feeder"
    " indexer hopper hook output"
)
"""Words of one mechanism: neither its current nor its voltage is the battery's."""
PARTS = CHANNELS | MECHANISMS
WHOLE = _words(
    "battery batt bat akku accu pack total sum all whole overall gesamt totale totaal net ibat"
    " ibatt itot itotal"
)
"""Words of the whole current, also beside the word of a part: `sum of all channels`."""
_EXTREMES = " min max avg mean average minimum maximum peak lowest highest"
WORDINGS: Mapping[str, Wording] = {
    "time": Wording(
        _words(
            "time timestamp clock elapsed epoch datetime timecode utc ts t stamp countdown"
            " remaining uptime seconds sec secs ms millis micros nanos zeit zeitstempel temps tid"
            " tijd tempo tiempo instant horodatage"
        ),
        _words("timestamp elapsed uptime log since"),
        _words(
            "loop cycle duration step dt delta delay overrun overruns period latency trip left user"
            " gps code cpu" + _EXTREMES
        ),
    ),
    "voltage": Wording(
        _words(
            "voltage volts volt v u vbat vbatt vtot ubat vin vbus vpack vmain tension potential"
            " spannung spanning spenning tensione voltaje tensión"
        ),
        BATTERY | _words("bus terminal vbat vbatt vtot ubat vpack vmain"),
        MECHANISMS
        | _words(
            "motor applied rail rsl servo setpoint target reference threshold limit brownout brown"
            " sensor pressure logic radio drop level percent cell sag" + _EXTREMES
        ),
    ),
    "current": Wording(
        _words(
            "current currents amps amp ampere amperage draw load drain i ibat ibatt itot itotal"
            " strom courant stroom corrente corriente"
        ),
        BATTERY | _words("all sum net whole ibat ibatt itot itotal demand"),
        _words(
            "limit setpoint stator target rail time state angle position command mode pose heading"
            " cpu memory temperature voltage volts volt energy threshold used charge drawn count"
            " fault event session weight percent" + _EXTREMES
        ),
    ),
    "overruns": Wording(
        _words("overrun overruns overran late"), _words("loop loops count"), frozenset()
    ),
    "phase": Wording(
        _words("phase mode period stage state autonomous enabled"),
        _words("phase mode period stage match robot game"),
        PARTS | _words("time clock brake neutral led camera pipeline count number"),
    ),
}
_ALONE = ("s", "ms", "us", "ns", "v", "mv", "a", "ma")
"""Units that are a heading by themselves."""
_GLUED = re.compile(
    r"(.{2,}?)(voltage|volts?|spannung|spanning|current|amps|strom|stroom|time|zeit)"
)
"""`batteryvoltage`, `Gesamtstrom`: two words written as one."""


@dataclass(frozen=True)
class Heading:
    """One column's heading: as written, its words, its unit as written (lower case, may be
    empty)."""

    text: str
    words: frozenset[str]
    unit: str

    @property
    def dimension(self) -> str:
        """What the unit measures; empty where there is none that is known."""
        return UNITS[self.unit][0] if self.unit in UNITS else ""

    @property
    def unit_below(self) -> str:
        """The unit as it is shown beside the heading; empty where the heading itself ends with
        it."""
        ends = self.text.casefold().rstrip(" ])").endswith(self.unit)
        return (
            ""
            if ends
            else {"v": "V", "mv": "mV", "a": "A", "ma": "mA", "w": "W", "ah": "A·h"}.get(
                self.unit, self.unit
            )
        )


def heading(text: str, unit_cell: str = "") -> Heading:
    """A heading understood: `Pack volts [V]`, `supply_v`, `Total draw / A`, `busVoltage` with its
    unit in the row below."""
    bare, unit = _split_unit(text)
    front, _, last = re.sub(r"[_\s]+", " ", bare).strip().rpartition(" ")
    if not unit and last.casefold() in (UNITS if front else _ALONE):
        bare, unit = front or bare, last.casefold()
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", bare)
    words = [word.casefold() for word in re.findall(r"[^\W\d_]+|\d+", spaced)]
    glued = [
        piece for word in words if (found := _GLUED.fullmatch(word)) for piece in found.groups()
    ]
    below = unit_cell.strip().strip("[]()").strip().casefold()
    if below in UNITS:
        unit = below
    return Heading(text, frozenset([*words, *glued]), unit)


def _split_unit(text: str) -> tuple[str, str]:
    found = re.fullmatch(
        r"(.*?)\s*(?:\[([^\]]*)\]|\(([^)]*)\)|\s/\s*(\S+)|,\s*(\S+))\s*", text, re.DOTALL
    )
    unit = (
        next((piece.strip().casefold() for piece in found.groups()[1:] if piece), "")
        if found
        else ""
    )
    return (found[1], unit) if found and unit in UNITS else (text, "")


def score(role: str, head: Heading) -> int:
    """How well a heading suits a role; 0 where it does not."""
    wording = WORDINGS[role]
    if head.dimension and head.dimension != role:
        return 0
    named = bool(head.words & wording.names)
    if not named and not head.dimension:
        return 0
    return (
        3 * named
        + 2 * (head.dimension == role)
        + 2 * len(head.words & wording.good)
        - 3 * len(head.words & wording.bad)
    )
