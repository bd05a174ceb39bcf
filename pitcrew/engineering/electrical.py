"""Wires and the data bus: what a run of copper costs in volts, and what a meter across the bus
lines means."""

import math
import re

from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import count, quantity, yes_no

COPPER_20C, COPPER_RISE = (
    1.7241e-8,
    0.00393,
)  # ohm*m, and its share more for each kelvin above 20 °C
ROOM = 293.15
STRANDED = 1.02  # the wires of a strand are longer than the strand (ASTM B8)
_GAUGE = re.compile(r"(?:#|no\.?|awg|gauge)?\s*(?:(\d)/0|(0{2,4})|(-?\d+))\s*(?:awg|gauge|ga)?")
TERMINATOR = 120.0
_ONE_LEAST, _ONE_MOST = 100.0, 130.0  # of one terminator
_OPEN = 240.0


def gauge_of(typed: str) -> str:
    """An American gauge as people write it (`AWG 6`, `#6`, `4/0`, `0000`) as its number: 4/0 is -3.
    What is not one stays."""
    found = _GAUGE.fullmatch(typed.lower())
    if not found:
        return typed
    return (
        str(1 - (int(found[1]) if found[1] else len(found[2])))
        if found[1] or found[2]
        else found[3]
    )


def wire_diameter(gauge: int) -> float:
    """Diameter in m of a solid wire of an American gauge number (ASTM B258): 0.005 in at 36, 0.46
    in at 0000 (gauge -3)."""
    return 0.127e-3 * math.pow(92, (36 - gauge) / 39)


@figure(
    "wire-drop",
    "V",
    value_is="voltage lost in both conductors together",
    source=(
        "ASTM B258 diameter 0.127 mm * 92^((36 - n) / 39); annealed copper, 1.7241e-8 ohm*m at 20"
        " °C and 0.393 % more per °C (IEC 60028); 2 % more for strands (ASTM B8)"
    ),
    range="copper from -40 to 200 °C, gauges -3 (4/0) to 40; lugs and plugs are not counted",
    extra_units={"resistance": "ohm", "diameter": "m"},
    length=quantity(
        "length",
        "length of the run one way; the current comes back through as much again",
        above=0,
        most=10_000,
    ),
    gauge=count(
        "American wire gauge (0 is 1/0, -1 is 2/0, -3 is 4/0)",
        least=-3,
        most=40,
        spellings=gauge_of,
    ),
    current=quantity("current", "current in the wire", least=0, most=1000),
    temperature=quantity(
        "temperature", "temperature of the copper", least=233.15, most=473.15, default=ROOM
    ),
    stranded=yes_no("whether the wire is stranded", default=False),
)
def wire_drop(
    length: float, gauge: int, current: float, temperature: float = ROOM, stranded: bool = False
) -> Outcome:
    """Voltage drop in V of a two-conductor run of `length` m; extras `resistance` (ohm, both
    conductors) and `diameter` (m).

    Example: Gauge 12 wire has 5.21 mΩ in a meter. 1.2 m there and 1.2 m back: 2 × 1.2 × 5.21 = 12.5
    mΩ, and 40 × 0.0125 = 0.5 V at 40 A.

        pitcrew figure wire-drop length="1.2 m" gauge=12 current="40 A"
        wire-drop: 0.5002 V
    """
    diameter = wire_diameter(gauge)
    area = math.pi / 4 * diameter**2
    resistivity = (
        COPPER_20C * (1 + COPPER_RISE * (temperature - ROOM)) * (STRANDED if stranded else 1)
    )
    resistance = resistivity * 2 * length / area
    value = current * resistance
    because = (
        f"{mark(length, 'length')} there and back in gauge {gauge} is"
        f" {mark(resistance, 'resistance')}; {mark(current, 'current')} lose"
        f" {mark(value, 'voltage')} at {mark(temperature, 'temperature')}. A higher measured loss"
        " points to a lug or connector."
    )
    return Outcome(value, because, {"resistance": resistance, "diameter": diameter})


@figure(
    "bus-resistance",
    "1",
    value_is=(
        "how many 120 ohm terminators the reading fits (2 is right), power off, meter across the"
        " two lines"
    ),
    source=(
        "two terminators of 120 ohm in parallel (makers' service texts: about 60 ohm intact, 120"
        " one end missing, 0 shorted, very high open); the bands follow from 100 to 130 ohm for"
        " each (ISO 11898-2, from memory)"
    ),
    range="above 0 ohm, with the power off",
    extra_units={
        "low": "ohm",
        "high": "ohm",
        "expected": "ohm",
        "deviation": "ohm",
        "fits": "1",
        "equivalent": "1",
    },
    measured=quantity("resistance", "reading between the two bus lines, power off", above=0),
)
def bus_resistance(measured: float) -> Outcome:
    """Number of terminators that a reading in ohm fits.

    `low` and `high` bound the readings that mean both ends; `equivalent` is 120 / reading,
    unrounded; `fits` is 1 where the reading is in the band of that number and 0 where it lies
    between two bands.

    Example: A terminator of 120 Ω at each end, side by side: 120 × 120 / (120 + 120) = 60 Ω. So 60
    Ω means both are there.

        pitcrew figure bus-resistance measured="60 ohm"
        bus-resistance: 2
    """
    equivalent = TERMINATOR / measured
    within = next(
        (ends for ends in range(1, 5) if _ONE_LEAST <= measured * ends <= _ONE_MOST), None
    )
    ends = 0 if measured > _OPEN else within or max(1, round(equivalent))
    fits = within is not None or ends == 0 or ends > 4
    extras = {
        "low": _ONE_LEAST / 2,
        "high": _ONE_MOST / 2,
        "expected": TERMINATOR / 2,
        "deviation": measured - TERMINATOR / 2,
        "fits": int(fits),
        "equivalent": equivalent,
    }
    return Outcome(float(ends), f"{measured:.3g} Ω: {_bus_words(ends, fits)}", extras)


def _bus_words(ends: int, fits: bool) -> str:
    if ends == 0:
        return "open. No terminator is seen: a line is broken or both ends are missing."
    if ends > 4:
        return "nearly a short. The two lines touch, or a device across them has failed."
    if not fits:
        return (
            f"between the known readings (120 Ω one end, 60 Ω both, 40 Ω three); nearest is {ends}."
            " Look for a poor contact."
        )
    return {
        1: "one terminator. One end is missing, or the bus is broken between them.",
        2: "both ends are terminated.",
    }.get(ends, f"{ends} terminators; two are right. Take the extra ones out.")
