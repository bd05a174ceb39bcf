"""A small pit folder of one chain on one zone, for tests that need a whole pit and no more."""

from datetime import datetime
from pathlib import Path

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import new_id
from pitcrew.pit.folder import make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit

SHEET = """
[robot]
label = "Test bench"
length = "800 mm"
width = "700 mm"
[robot.mass]
chassis = "52 kg"
bumpers = "6.6 kg"
battery = "5.8 kg"
[[zone]]
id = "mast"
label = "Mast"
box = [30, 30, 40, 30]
[[part]]
id = "lift.chain.left"
label = "Lift chain, left"
zone = "mast"
kind = "roller-chain"
size = "25"
span = "412 mm"
duty = "shock"
teeth = 24
fixed_centres = false
"""
LIST = """
[checklist]
name = "pre-match"
label = "Before a match"
[[check]]
id = "chain-slack"
part = "lift.chain.*"
label = "Chain slack"
ask = "Slack side: how far does it move?"
drawing = "chain-slack"
minutes = 1
hands = 1
power = "off"
due = ["every match"]
must = true
[[check.input]]
name = "travel"
label = "travel"
kind = "number"
unit = "mm"
least = 0
most = 80
[check.limit]
result = "travel"
figure = "chain-slack"
with = { span = "part.span", duty = "part.duty" }
stop_low = "low"
stop_high = "high"
unit = "mm"
uncertainty = "1 mm"
say = { ok = "Leave it.", watch = "Take it up if there is time.", stop = "Take it up now." }
"""


NEVER = "climb_planned = false\n"


def make_world(folder: Path) -> Path:
    """Make the small pit folder there; its event is `fjord` in Oslo's time, its team `12`."""
    make_folder(folder, 'team = "12"\nzone = "Europe/Oslo"\nevent = "fjord"\n' + NEVER, [], [])
    (folder / "robots" / "bench.toml").write_text(SHEET)
    (folder / "checklists" / "pre-match.toml").write_text(LIST)
    return folder


HOLD_PATH = """
[[part]]
id = "climb.lock"
label = "Lock pin"
zone = "mast"
kind = "pin"
spacing = "1 mm"
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
name = "hook"
strength = "20 kN"
material = "metal"
[[hold_path.step]]
part = "climb.lock"
strength = "20 kN"
material = "metal"
holds = "pin"
"""
HOLD_LIST = """
[checklist]
name = "hold"
label = "Hold test"
[[check]]
id = "hold-test"
part = "climb.lock"
label = "Hold test"
ask = "How far does it sink?"
minutes = 6
power = "enabled"
due = ["before a climb", "after repair", "after part change"]
must = true
[[check.input]]
name = "slip"
kind = "number"
unit = "mm"
[[check.input]]
name = "load"
kind = "number"
unit = "kg"
[check.limit]
result = "slip"
stop_high = "10 mm"
"""


def let_it_climb(folder: Path) -> None:
    """Give the robot of the small pit a hold path and a hold test."""
    settings = folder / "pitcrew.toml"
    settings.write_text(settings.read_text(encoding="utf-8").replace(NEVER, ""), encoding="utf-8")
    sheet = folder / "robots" / "bench.toml"
    sheet.write_text(sheet.read_text() + HOLD_PATH)
    (folder / "checklists" / "hold.toml").write_text(HOLD_LIST)


def hold_test(pit: Pit, at: datetime, load: float = 64.4, slip: float = 1.0) -> None:
    """A hold test by one person (kg, mm), confirmed by another."""
    inputs = {
        "slip": {"typed": f"{slip:g}", "value": slip, "unit": "mm"},
        "load": {"typed": f"{load:g}", "value": load, "unit": "kg"},
    }
    body = {"check": "hold-test", "part": "climb.lock", "inputs": inputs}
    offer = {"id": new_id(at), "kind": "reading", "at": format_instant(at), "body": body}
    taken = pit.take([offer], Author("phone of Ivo", "Ivo", "crew"), 0.0)[0]
    assert taken.error == "", taken.error
    pit.record(
        "approval",
        {"of": offer["id"], "decision": "confirmed"},
        Author("phone of Runa", "Runa", "crew"),
    )
