"""What the logbook's readings and tests say about a battery's charge: volts at rest, what its
charger said, capacity tests, and how much it holds."""

from collections.abc import Iterable, Sequence

from pitcrew.base.units import to_si
from pitcrew.base.unittable import UNITS
from pitcrew.domain.batteries.charge import LABEL, Happened
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment

CHARGER_CHECK = "battery-charge"
"""The check that asks what the charger said."""
_LATEST = 8
"""readings of each kind that are looked at; what is older is behind several charges"""


def is_voltage(reading: ReadingFact) -> bool:
    """Whether a reading is of the rest voltage, by the unit of its limit."""
    return (reading.limit or {}).get("unit") == "V"


def capacity_of(moment: Moment, name: str) -> float:
    """What a battery holds in A*h: by its last capacity test where that is less than its label."""
    robot = moment.definitions.robot
    part = robot.parts.get(f"battery.{name}") if robot else None
    label = part.specs.get("capacity") if part else None
    rated = float(label) if isinstance(label, int | float) and label > 0 else LABEL
    tested = [test.body.result.get("capacity_25") for test in _tests(moment, name)]
    found = [float(value) for value in tested if isinstance(value, int | float) and value > 0]
    return min(rated, found[-1]) if found else rated


def life_of(moment: Moment, name: str) -> Iterable[Happened]:
    """Its capacity tests, rest voltages and charger readings."""
    for test in _tests(moment, name):
        if "capacity" in test.body.result or "capacity_25" in test.body.result:
            yield Happened(test.at, "test")
    readings = moment.state.readings_of_part.get(f"battery.{name}", [])
    volts = [item for item in readings if item.check != CHARGER_CHECK and is_voltage(item)]
    for reading in volts[-_LATEST:]:
        if reading.verdict != "unjudged" and isinstance(reading.result, int | float):
            rest, case = asked(reading, "rest"), asked(reading, "case")
            volt = float(reading.result)
            yield Happened(reading.at, "volts", volts=volt, rest=rest, case=case)
    for reading in [item for item in readings if item.check == CHARGER_CHECK][-_LATEST:]:
        yield Happened(reading.at, "charger", done=reading.verdict == "ok")


def asked(reading: ReadingFact, name: str) -> float | None:
    """The number of an input in SI, None where it was not asked or not answered."""
    found = reading.inputs.get(name) or {}
    value, unit = found.get("value"), found.get("unit")
    if isinstance(value, bool) or not isinstance(value, int | float) or unit not in UNITS:
        return None
    return to_si(float(value), unit)


def _tests(moment: Moment, name: str) -> list[Fact]:
    return moment.state.battery_tests.get(name, [])


def to_usual_pair(moment: Moment, reading: ReadingFact | None) -> float:
    """The usual pair's limit over that of the pair that a load test was made with."""
    stop = (reading.limit or {}).get("stop_high") if reading else None
    if not isinstance(stop, int | float) or stop <= 0:
        return 1.0
    return float(moment.definitions.settings["battery_stop"]) / float(stop)


def with_unit(moment: Moment, readings: Sequence[ReadingFact], unit: str) -> ReadingFact | None:
    """The reading whose limit is in that SI unit: ohm for the load test, V for the rest voltage."""
    for reading in readings:
        limit = moment.definitions.part_checks[reading.key].limit
        if limit is not None and limit.unit == unit:
            return reading
    return None
