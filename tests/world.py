"""A small pit folder of one chain on one zone, for tests that need a whole pit and no more."""

from pathlib import Path

from pitcrew.pit.folder import make_folder

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


def make_world(folder: Path) -> Path:
    """Make the small pit folder there; its event is `fjord` in Oslo's time, its team `12`."""
    make_folder(folder, 'team = "12"\nzone = "Europe/Oslo"\nevent = "fjord"\n', [], [])
    (folder / "robots" / "bench.toml").write_text(SHEET)
    (folder / "checklists" / "pre-match.toml").write_text(LIST)
    return folder
