"""An invented robot that climbs: its hold path ends in a pin, every link has a strength, and a hold
test proves it."""

from pitcrew.base.entries import Entry
from pitcrew.domain.checks.definitions import Definitions
from tests.domain.folded import LOOKS, SHEET, Log, define

PATH = """
[hold_path]
deflection = "10 mm"
swing = "0 deg"
latency = "0 s"
fall_speed = "0 m/s"
[hold_path.motor]
count = 0
[hold_path.second]
count = 1
[[hold_path.step]]
part = "climb.bar"
strength = "20 kN"
material = "metal"
[[hold_path.step]]
part = "climb.pawl"
strength = "20 kN"
material = "metal"
holds = "pin"
"""
PIN = 'label = "Pawl"\nzone = "mast"\nkind = "plate"'
CLIMBS = SHEET.replace(PIN, PIN.replace('"plate"', '"pin"\nspacing = "1 mm"')) + PATH
"""The robot of `folded.py`, 64.4 kg as it climbs, with its pawl as a pin that holds."""
MASS = 64.4
HOLD_TEST = """
[[check]]
id = "hold-test"
part = "climb.pawl"
label = "Hold test"
ask = "How far does it sink?"
minutes = 6
power = "enabled"
due = ["before a climb", "after repair", "after part change", "after a hard hit"]
must = true
[[check.input]]
name = "slip"
kind = "number"
unit = "mm"
[[check.input]]
name = "teeth"
kind = "number"
unit = "1"
[[check.input]]
name = "load"
kind = "number"
unit = "kg"
[check.limit]
result = "slip"
stop_high = "10 mm"
"""
TEST = "hold-test@climb.pawl"


def climber(*looks: str, settings: dict | None = None, sheet: str = CLIMBS) -> Definitions:
    """Its definitions, with other checks by eye, settings or build sheet where a test wants
    them."""
    return define(*(looks or LOOKS), HOLD_TEST, settings=settings, sheet=sheet)


def hold(
    log: Log,
    at: str = "11:30",
    slip: float = 1,
    teeth: float = 0,
    load: float | None = MASS,
    witness: str = "Bo",
    **fields,
) -> Entry:
    """A hold test read by Ada (mm, teeth, kg), confirmed by a second person on another phone, if
    there is one."""
    reading = log.read("hold-test", "climb.pawl", slip, at, **fields)
    numbers = {"teeth": (teeth, "1"), "load": (load, "kg")}
    reading.body["inputs"] |= {
        name: {"typed": str(value), "value": value, "unit": unit}
        for name, (value, unit) in numbers.items()
        if value is not None
    }
    if witness:
        confirm(log, reading, witness, at)
    return reading


def confirm(log: Log, of: Entry, witness: str = "Bo", at: str = "11:31", **fields) -> Entry:
    """Someone who saw it confirms an entry."""
    return log.add(
        "approval",
        {"of": of.id, "decision": "confirmed"},
        at,
        **{"person": witness, "device": f"phone of {witness}", **fields},
    )
