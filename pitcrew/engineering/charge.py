"""What the voltage of a resting 12 V battery says about its charge: a value by one table, and a
band over all that is not known.

Published tables disagree by 20 points and more. On top come the meter, and a rest that is shorter
than the tables want.
"""

import math
from collections.abc import Sequence

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.base.units import mark
from pitcrew.engineering.batteries import HOUR, between
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.measurement import meter_uncertainty
from pitcrew.engineering.parameters import choice, quantity

# table -> rest voltage of a 12 V battery and charge in %, rising
CHARGE_TABLES: dict[str, tuple[tuple[float, float], ...]] = {
    "flooded": ((12.0, 25), (12.2, 50), (12.4, 75), (12.6, 100)),
    "agm": ((12.0, 25), (12.45, 50), (12.7, 75), (13.0, 100)),
    "model": (
        (11.3281, 10),
        (11.5898, 20),
        (11.6920, 25),
        (11.7867, 30),
        (11.9643, 40),
        (12.1347, 50),
        (12.3026, 60),
        (12.4708, 70),
        (12.5555, 75),
        (12.6408, 80),
        (12.8137, 90),
        (12.9906, 100),
    ),
}
TABLE_REST = 8 * HOUR  # a maker of mobile-home systems: 8 h or more, better 24 h
LEAST_REST = 900.0
SURFACE = (
    0.5  # V that it may still read off by after LEAST_REST; ours, from "13.5 V off the charger"
)
_ROOM = 298.15
_PER_KELVIN = 6 * 0.25e-3  # V; 0.2 to 0.3 mV for each cell and kelvin, from memory
METER_SHARE, METER_FLOOR = (
    0.005,
    0.02,
)  # a handheld voltmeter: 0.5 % of the reading and 2 digits of 10 mV


@figure(
    "battery-charge",
    "%",
    value_is=(
        "charge left by the chosen table; low and high over all the tables, which disagree "
        "by 20 points and more, the meter and "
        "a short rest"
    ),
    source=(
        "published rest-voltage tables: flooded (12.0, 12.2, 12.4, 12.6 V), AGM (middles of a "
        "maker's bands), and an "
        "electrochemical model of a 12 V, 17 A*h battery (parameter set Sulzer2019); rest of 8 "
        "h or more (a system maker's "
        "manual); a handheld meter's 0.5 % and 2 digits; 1.5 mV for each °C (from memory); "
        "surface charge after a shorter "
        "rest up to 0.5 V (ours)"
    ),
    range=(
        "11.0 to 13.5 V after 15 min of rest or more (under 8 h the band is wide), -10 to 50 "
        "°C, and not below the chosen "
        "table's lowest row"
    ),
    extra_units={"low": "%", "high": "%", "flooded": "%", "agm": "%", "model": "%"},
    voltage=quantity(
        "voltage", "voltage with nothing connected", least=11.0, most=13.5, default=None
    ),
    rest=quantity("time", "time since charger or load were taken off", least=0, default=None),
    temperature=quantity(
        "temperature", "temperature of the case", least=263.14, most=323.16, default=_ROOM
    ),
    rest_voltage=quantity(
        "voltage",
        "voltage after a full rest by an exact meter: the tables alone",
        least=11.0,
        most=13.5,
        default=None,
    ),
    table=choice("which table gives the value", "flooded", "agm", "model", default="agm"),
)
def battery_charge(
    voltage: float | None = None,
    rest: float | None = None,
    temperature: float = _ROOM,
    rest_voltage: float | None = None,
    table: str = "agm",
) -> Outcome:
    """State of charge in % from a voltage in V, a rest in s and a temperature in K, linear between
    the rows of a table.

    `low` and `high` take in all tables, the meter and what a short rest leaves; with `rest_voltage`
    the tables alone. A table that ends above the voltage counts as 0 % for `low` and is None among
    the extras; if it is the chosen one, OutOfRange. Above the top row the charge is 100 %. Raises
    BadInput where the rest is not given, OutOfRange for one under 15 min.

    Example: An AGM battery rested overnight shows 12.55 V. Its table says 50 % at 12.45 V and 75 %
    at 12.70 V: 50 + 25 × (12.55 - 12.45) / (12.70 - 12.45) = 60 %. Other tables say up to 94 %.

        pitcrew figure battery-charge rest_voltage="12.55 V" table=agm
        battery-charge: 60 %
    """
    if (voltage is None) == (rest_voltage is None):
        raise BadInput(
            'battery-charge needs voltage with its rest. Add voltage="12.7 V" rest="8 h".',
            "voltage",
        )
    volts, spread = (rest_voltage, 0.0) if voltage is None else _rested(voltage, rest, temperature)
    assert volts is not None
    by_table = {name: _charge(volts, rows) for name, rows in CHARGE_TABLES.items()}
    value = by_table[table]
    if value is None:
        end, share = CHARGE_TABLES[table][0]
        raise OutOfRange(
            f"battery-charge: the {table} table ends at {end:g} V = {share} %, and {volts:g} V is "
            "below it. "
            "The battery is flat: charge it, then let it rest and read again.",
            "voltage" if voltage else "rest_voltage",
        )
    low = min(_charge(volts - spread, rows) or 0.0 for rows in CHARGE_TABLES.values())
    high = max(_charge(volts + spread, rows) or 0.0 for rows in CHARGE_TABLES.values())
    return Outcome(
        value,
        _because(volts, voltage, rest, value, low, high, table),
        {"low": low, "high": high, **by_table},
    )


def _rested(voltage: float, rest: float | None, temperature: float) -> tuple[float, float]:
    """The voltage brought to 25 °C, and how far it may be off: the meter, and what a short rest
    leaves.
    """
    if rest is None:
        raise BadInput(
            'battery-charge needs rest (time since charger or load came off). Add rest="8 h".',
            "rest",
        )
    if rest < LEAST_REST:
        raise OutOfRange(
            f"battery-charge: {rest / 60:.3g} min of rest arrived; wanted 15 min or more. Just "
            "off a charger or a match the voltage "
            "says nothing of the charge: wait and read again.",
            "rest",
        )
    unsettled = SURFACE * max(0.0, math.log(TABLE_REST / rest) / math.log(TABLE_REST / LEAST_REST))
    return (
        voltage - _PER_KELVIN * (temperature - _ROOM),
        meter_uncertainty(voltage, METER_SHARE, METER_FLOOR) + unsettled,
    )


def _because(
    volts: float,
    voltage: float | None,
    rest: float | None,
    value: float,
    low: float,
    high: float,
    table: str,
) -> str:
    short = rest is not None and rest < TABLE_REST
    told = f"after {rest / HOUR:.2g} h" if rest is not None else "at rest"
    if voltage is not None and abs(volts - voltage) >= 0.005:
        told = f"({mark(voltage, 'voltage', 4)} brought to 25 °C) {told}"
    band = "over the tables" if voltage is None else "over the tables and the meter"
    wait = " The tables want 8 h of rest: until then the band is this wide." if short else ""
    return (
        f"{mark(volts, 'voltage', 4)} {told} is {value:.0f} % by the {table} table, but {low:.0f} "
        f"to {high:.0f} % {band}.{wait} "
        "Just off a charger or a match the voltage says nothing; voltage never shows health."
    )


def _charge(volts: float, rows: Sequence[tuple[float, float]]) -> float | None:
    """Charge in % by one table: None below its lowest row, 100 above its highest."""
    return None if volts < rows[0][0] else between(volts, rows)
