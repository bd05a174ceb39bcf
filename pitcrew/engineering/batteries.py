"""The 12 V lead-acid battery of a robot: resistance, capacity, endurance, and what is left of it
under load.

A robot's battery is a sealed one of about 17 to 18 A*h. Where a number hangs on how it was taken
(resistance and its load pair) the sentence says how. What a voltage says about the charge is in
`charge.py`.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import from_si, mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import number, quantity

HOUR = 3600.0
_FREEZING = 273.15
_ROUNDING = 1e-6  # 32 degF is not exactly 0 degC in floating point
BROWN_OUT = 6.8

# °F and the lowest voltage after 15 s at half the cold-cranking current
_STARTER_MINIMUM = (
    (0, 8.5),
    (10, 8.7),
    (20, 8.9),
    (30, 9.1),
    (40, 9.3),
    (50, 9.4),
    (60, 9.5),
    (70, 9.6),
)
# hours of discharge and the change of capacity per °C
_CAPACITY_PER_DEGREE = ((1.0, 0.01), (3.0, 0.008), (10.0, 0.006), (20.0, 0.006))


@figure(
    "battery-resistance",
    "ohm",
    value_is="drop of voltage per rise of current between two loads",
    source=(
        "two-load method after IEC 61960 (a lithium standard): R = (V1 - V2) / (I2 - I1) at the"
        " same charge and dwell"
    ),
    range="two different currents up to 1000 A, the higher current at the lower voltage",
    extra_units={"load_low": "A", "load_high": "A"},
    v1=quantity("voltage", "voltage under the first load", above=0, most=60),
    i1=quantity("current", "first load (0 A: at rest)", least=0, most=1000),
    v2=quantity("voltage", "voltage under the second load, after the same dwell", above=0, most=60),
    i2=quantity("current", "second load", least=0, most=1000),
)
def battery_resistance(v1: float, i1: float, v2: float, i2: float) -> Outcome:
    """Direct-current resistance in ohm from two loads (V, A). Raises OutOfRange for equal currents
    or swapped voltages.

    Example: The voltage falls from 12.74 V at 5 A to 12.16 V at 50 A: (12.74 - 12.16) / (50 - 5) =
    0.01289 Ω.

        pitcrew figure battery-resistance v1="12.74 V" i1="5 A" v2="12.16 V" i2="50 A" --units \\
            metric
        battery-resistance: 12.89 mΩ
    """
    if i1 == i2:
        raise OutOfRange(
            f"battery-resistance: both loads are {i1:g} A; two different ones are needed. Measure a"
            " second.",
            "i2",
        )
    resistance = (v1 - v2) / (i2 - i1)
    if resistance <= 0:
        raise OutOfRange(
            f"battery-resistance: {max(i1, i2):g} A came with the voltage {v2 if i2 > i1 else v1:g}"
            f" V, not below the other {v1 if i2 > i1 else v2:g} V. A battery sags under more"
            " current: the two voltages may be swapped.",
            "v2",
        )
    low, high = min(i1, i2), max(i1, i2)
    pair = "rest and one load, which reads higher than two loads" if low == 0 else "this load pair"
    because = (
        f"{mark(resistance, 'resistance')} between {mark(low, 'current')} and"
        f" {mark(high, 'current')}. Compare it only with readings from {pair}, the same dwell,"
        " charge and temperature; a maker's 1 kHz figure is another quantity."
    )
    return Outcome(resistance, because, {"load_low": low, "load_high": high})


@figure(
    "battery-capacity",
    "A*h",
    value_is="the measured capacity as it would be at 25 °C",
    source=(
        "C25 = C / (1 + k (t - 25)), a maker's rule: k = 0.006 per °C at 10 to 20 h, 0.008 at 3 h"
        " (from memory), 0.01 at 1 h; between these k is taken linearly in the logarithm of the"
        " time"
    ),
    range="0 to 30 °C (makers' sheets leave the line outside it) and discharge times of 1 to 20 h",
    extra_units={"per_degree": "1", "factor": "1"},
    capacity=quantity("charge", "capacity as measured", above=0, most=1000),
    temperature=quantity(
        "temperature",
        "temperature of the battery during the test",
        least=_FREEZING - _ROUNDING,
        most=_FREEZING + 30 + _ROUNDING,
    ),
    rated_time=quantity(
        "time",
        "how long such a discharge takes when new",
        least=HOUR,
        most=20 * HOUR,
        default=20 * HOUR,
    ),
)
def battery_capacity(capacity: float, temperature: float, rated_time: float = 20 * HOUR) -> Outcome:
    """Capacity in A*h brought to 25 °C; temperature in K, discharge time in s.

    Example: A battery gave 16.5 A·h on a cold day, at 15 °C. Per degree it gives 0.6 % less, so
    warm it would give 16.5 / (1 + 0.006 × (15 - 25)) = 17.55 A·h.

        pitcrew figure battery-capacity capacity="16.5 A*h" temperature="15 degC"
        battery-capacity: 17.55 A·h
    """
    rows = [(math.log(hours), k) for hours, k in _CAPACITY_PER_DEGREE]
    per_degree = between(math.log(rated_time / HOUR), rows)
    factor = 1 + per_degree * (temperature - _FREEZING - 25)
    value = capacity / factor
    because = (
        f"{mark(capacity, 'charge')} at {mark(temperature, 'temperature')} is"
        f" {mark(value, 'charge')} at 25 °C: {per_degree * 100:.2g} % per °C for a"
        f" {rated_time / HOUR:g} h discharge."
    )
    return Outcome(value, because, {"per_degree": per_degree, "factor": factor})


@figure(
    "peukert-time",
    "s",
    value_is="how long the battery holds the current",
    source=(
        "Peukert's law in the rated-hour form t = H (C / (I H))^k (a battery monitor's manual); t ="
        " C / I^k is another law"
    ),
    range=(
        "exponents 1 to 2; the law holds near the rated current and flatters at currents far"
        " above it"
    ),
    extra_units={"delivered": "A*h"},
    capacity=quantity("charge", "rated capacity", above=0, most=1000),
    rated_time=quantity("time", "the discharge time of that rating", above=0, most=100 * HOUR),
    current=quantity("current", "the current drawn", above=0, most=10_000),
    exponent=number("Peukert exponent", least=1, most=2),
)
def peukert_time(capacity: float, rated_time: float, current: float, exponent: float) -> Outcome:
    """Discharge time in s for capacity in A*h, rated time in s, current in A.

    Example: An 18 A·h battery, rated over 20 h, has to give 9 A. Its rated current is 18 / 20 = 0.9
    A, so the time is 20 × (0.9 / 9)^1.2 = 1.262 h, which is 1.262 × 60 = 75.7 min and not 2 h.

        pitcrew figure peukert-time capacity="18 A*h" rated_time="20 h" current="9 A" \\
            exponent=1.2 --units metric
        peukert-time: 75.71 min
    """
    rated_current = capacity * HOUR / rated_time
    time = rated_time * (rated_current / current) ** exponent
    delivered = current * time / HOUR
    lasts = f"{time / HOUR:.4g} h" if time >= 2 * HOUR else f"{time / 60:.4g} min"
    because = (
        f"{mark(current, 'current')} for {lasts}, {mark(delivered, 'charge')} of the rated "
        f"{mark(capacity, 'charge')} ({rated_time / HOUR:g} h rate, exponent {exponent:g})."
    )
    return Outcome(time, because, {"delivered": delivered})


@figure(
    "peukert-exponent",
    "1",
    value_is="Peukert's exponent k",
    source="k = ln(t2 / t1) / ln(I1 / I2) (a battery monitor's manual)",
    range=(
        "two different currents, the higher one with the shorter time; results from 1 to 2, both"
        " tests to the same end voltage"
    ),
    i1=quantity("current", "current of the first discharge", above=0, most=10_000),
    t1=quantity("time", "time of the first discharge", above=0),
    i2=quantity("current", "current of the second discharge", above=0, most=10_000),
    t2=quantity("time", "time of the second discharge", above=0),
)
def peukert_exponent(i1: float, t1: float, i2: float, t2: float) -> Outcome:
    """The exponent from two full discharges (A, s) to one end voltage.

    Raises OutOfRange for equal currents and for a result outside 1 to 2.

    Example: 1 A lasted 20 h; ten times the current lasted 1.2 h and not 2 h: ln(20 / 1.2) / ln(10 /
    1) = 1.222.

        pitcrew figure peukert-exponent i1="1 A" t1="20 h" i2="10 A" t2="1.2 h"
        peukert-exponent: 1.222
    """
    if i1 == i2:
        raise OutOfRange(
            f"peukert-exponent: both currents are {i1:g} A; two different ones are needed. Test"
            " again.",
            "i2",
        )
    exponent = math.log(t2 / t1) / math.log(i1 / i2)
    if not 1 - 1e-9 <= exponent <= 2:
        raise OutOfRange(
            f"peukert-exponent: {i1:g} A for {t1 / HOUR:.3g} h and {i2:g} A for {t2 / HOUR:.3g} h"
            f" give {exponent:.3g}; lead-acid batteries lie between 1 and 2. The times may be"
            " swapped, or the end voltages differ.",
            "t2",
        )
    because = (
        f"{exponent:.4g} from {mark(i1, 'current')} and {mark(i2, 'current')}, if both tests ended"
        " at the same voltage and were as warm."
    )
    return Outcome(exponent, because)


@figure(
    "load-test-minimum",
    "V",
    value_is=(
        "lowest allowed voltage of a 12 V starter battery after 15 s at half its cold-cranking"
        " current"
    ),
    source=(
        "battery council load-test table as printed in car makers' workshop manuals (other makers"
        " print other tables)"
    ),
    range="-18.5 to 50 °C; above 70 °F the row of 70 °F holds; starter batteries only",
    temperature=quantity(
        "temperature", "temperature of the battery", least=_FREEZING - 18.5, most=_FREEZING + 50
    ),
)
def load_test_minimum(temperature: float) -> Outcome:
    """Voltage in V for a temperature in K, linear between the rows. For starter batteries: it
    judges no sealed 18 A*h battery.

    Example: A car's starter battery at 50 °F must not fall under the 9.4 V that the table prints
    for that row.

        pitcrew figure load-test-minimum temperature="50 degF"
        load-test-minimum: 9.4 V
    """
    fahrenheit = from_si(temperature, "degF")
    value = between(fahrenheit, _STARTER_MINIMUM)
    because = (
        f"A starter battery at {mark(temperature, 'temperature')} must hold"
        f" {mark(value, 'voltage')} for 15 s at half its cold-cranking current. This is a"
        " starter-battery table: it judges no sealed 18 A·h battery of a robot, which has no such"
        " rating."
    )
    return Outcome(value, because)


@figure(
    "battery-sag",
    "V",
    value_is="voltage at the controller under the current",
    source=(
        "Ohm's law, V = V0 - I (R + R_wiring); the brown-out voltage is common practice, from"
        " memory"
    ),
    range=(
        "steady currents up to 1000 A that leave a voltage above zero; the first instant sags less,"
        " a long load more"
    ),
    extra_units={"margin": "V", "battery": "V", "highest_current": "A"},
    rest_voltage=quantity("voltage", "voltage before the load", above=0, most=60),
    resistance=quantity("resistance", "battery resistance for such a load pair", least=0, most=1),
    current=quantity("current", "current drawn", least=0, most=1000),
    wiring=quantity(
        "resistance", "leads, breaker and lugs, there and back", least=0, most=1, default=0.0
    ),
    brown_out=quantity(
        "voltage", "voltage at which the controller cuts out", above=0, most=60, default=BROWN_OUT
    ),
)
def battery_sag(
    rest_voltage: float,
    resistance: float,
    current: float,
    wiring: float = 0.0,
    brown_out: float = BROWN_OUT,
) -> Outcome:
    """Voltage in V under `current` A with resistances in ohm; `margin` to the brown-out voltage,
    negative when below.

    Raises OutOfRange where the load would take the voltage to zero or less.

    Example: A shove draws 200 A through a battery of 15 mΩ and wiring of 5 mΩ. What is left of 12.7
    V: 12.7 - 200 × (0.015 + 0.005) = 8.7 V.

        pitcrew figure battery-sag rest_voltage="12.7 V" resistance="15 mohm" current="200 A" \\
            wiring="5 mohm"
        battery-sag: 8.7 V
    """
    total = resistance + wiring
    value = rest_voltage - current * total
    if value <= 0:
        raise OutOfRange(
            f"battery-sag: {current:g} A over {total * 1000:.3g} mohm would take all of"
            f" {rest_voltage:g} V. The battery cannot give this current: check the resistances and"
            " the current.",
            "current",
        )
    margin = round(
        value - brown_out, 12
    )  # so that a sum that comes out on the brown-out itself leaves no trace of its digits
    highest = (rest_voltage - brown_out) / total if total > 0 else None
    where = (
        "exactly"
        if margin == 0
        else f"{mark(abs(margin), 'voltage')} {'above' if margin > 0 else 'BELOW'}"
    )
    because = (
        f"{mark(rest_voltage, 'voltage')} less {mark(current, 'current')} over"
        f" {mark(total, 'resistance')} leaves {mark(value, 'voltage')}, {where} the brown-out at"
        f" {mark(brown_out, 'voltage')} (the team's setting; 6.8 V is common practice, see the"
        " controller's manual)."
    )
    extras = {
        "margin": margin,
        "battery": rest_voltage - current * resistance,
        "highest_current": highest,
    }
    return Outcome(value, because, extras)


def between(x: float, rows: Sequence[tuple[float, float]]) -> float:
    """Linear interpolation in a rising table; its first or last value beyond the ends."""
    if x <= rows[0][0]:
        return float(rows[0][1])
    for (x1, y1), (x2, y2) in pairwise(rows):
        if x <= x2:
            return y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return float(rows[-1][1])
