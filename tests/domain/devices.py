"""Invented robots that hold themselves up by each device in turn, on each kind of line in turn."""

import tomllib
from functools import cache

from pitcrew.domain.checks.definitions import Definitions, build_definitions
from tests.domain.test_bundled import CHECKLISTS, tables

DEVICES = {
    "ratchet": (
        "ratchet",
        (
            'teeth = 24\npawl_radius = "42 mm"\ntooth_strength = "5 kN"\nwidth = "10 mm"\ntooth_height = "5 mm"\nhold_time'
            ' = "10 s"'
        ),
    ),
    "brake": ("brake", 'style = "closed"\nrated_torque = "60 N*m"\nhold_time = "10 s"'),
    "one-way": ("one-way", 'rated_torque = "60 N*m"\nhardened_shaft = true\nhold_time = "10 s"'),
    "worm": ("worm", 'efficiency = 0.4\nhold_time = "10 s"'),
    "pin": ("pin", 'diameter = "8 mm"\nhold_time = "10 s"'),
    "over-center": (
        "linkage",
        'past_center = "4 mm"\nstop = true\nlatch = true\nhold_time = "10 s"',
    ),
    "motor-brake": ("gearbox", 'play = "1 deg"\nopen = false'),
    "none": ("gearbox", 'play = "1 deg"\nopen = false'),
}
LINES = {
    "wire-rope": (
        "wire-rope",
        (
            'diameter = "3.175 mm"\nconstruction = "7x19"\nmaterial = "carbon"\nsheave = "60 mm"\n'
            'termination = "sleeve"'
        ),
    ),
    "slippery cord": (
        "cord",
        'diameter = "5 mm"\nknot = "bowline"\nfiber = "hmpe"\nstrength = "20 kN"\nsheave = "60 mm"',
    ),
    "cord": (
        "cord",
        (
            'diameter = "5 mm"\nknot = "bowline"\nfiber = "polyester"\nstrength = "20 kN"\nsheave ='
            ' "60 mm"'
        ),
    ),
    "chain": (
        "roller-chain",
        'size = "35"\nspan = "400 mm"\nduty = "shock"\nteeth = 16\njoining = "riveted"',
    ),
    "belt": (
        "timing-belt",
        (
            'pitch = "5 mm"\ncentre = "182 mm"\ndiameter1 = "38.2 mm"\ndiameter2 = "28.65'
            ' mm"\ntension = "96 N"\nmeasured_by = "deflection"\nstrength = "9 kN"'
        ),
    ),
}
DRUM = ('kind = "drum"\ndiameter = "60 mm"', 'hands_on = "drum"\nlayers = 1')
WHEELS = {
    "chain": ('kind = "sprocket"\nsize = "35"\nteeth = 16', 'hands_on = "sprocket"'),
    "belt": ('kind = "pulley"\nteeth = 24\npitch = "5 mm"', 'hands_on = "pulley"'),
}
SHEET = """
[robot]
label = "Gannet"
length = "800 mm"
width = "700 mm"
[robot.mass]
chassis = "42 kg"
bumpers = "8 kg"
battery = "6 kg"
[[zone]]
id = "winch"
label = "Winch"
box = [0, 0, 100, 100]
[[part]]
id = "climb.hook"
label = "Climb hook"
zone = "winch"
kind = "hook"
opening = "48 mm"
[[part]]
id = "climb.line"
label = "Climb line"
zone = "winch"
kind = "{line}"
{line_specs}
[[part]]
id = "climb.drum"
label = "Drum"
zone = "winch"
{wheel}
[[part]]
id = "climb.device"
label = "Holding device"
zone = "winch"
kind = "{kind}"
{specs}
[hold_path]
free_length = "180 mm"
deflection = "7 mm"
latency = "0 s"
fall_speed = "0 m/s"
[[hold_path.step]]
part = "climb.hook"
[[hold_path.step]]
part = "climb.line"
[[hold_path.step]]
name = "side plates"
[[hold_path.step]]
part = "climb.drum"
{hands_on}
[[hold_path.step]]
part = "climb.device"
holds = "{holds}"
"""


@cache
def held_by(holds: str, line: str = "wire-rope") -> Definitions:
    """The definitions of a robot that is held by that device, on that line, with the bundled
    checklists."""
    kind, specs = DEVICES[holds]
    line_kind, line_specs = LINES[line]
    wheel, hands_on = WHEELS.get(line, DRUM)
    sheet = SHEET.format(
        line=line_kind,
        line_specs=line_specs,
        wheel=wheel,
        hands_on=hands_on,
        kind=kind,
        specs=specs,
        holds=holds,
    )
    return build_definitions({}, {"robots/gannet.toml": tomllib.loads(sheet)}, tables(CHECKLISTS))


def every_robot() -> list[Definitions]:
    """One for each device and one for each line."""
    return [held_by(holds) for holds in DEVICES] + [held_by("ratchet", line) for line in LINES]
