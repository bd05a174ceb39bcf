"""A setting: how far a strap may sag."""

NEW = """    Setting(
        "sag", "length", 0.04, "How far a strap may sag.", least=0.03, most=0.05
    ),
"""
ROW = ("pitcrew/base/settings.py", '    Setting("units", ', NEW)
LIST = """[checklist]
name = "straps"
label = "Straps"
[[check]]
id = "strap-sag"
part = "lift.chain.left"
label = "Strap sag"
ask = "How far does the strap sag?"
minutes = 0.5
power = "off"
due = ["every match"]
[[check.input]]
name = "sag"
label = "Sag"
kind = "number"
unit = "mm"
least = 0
most = 80
[check.limit]
result = "sag"
unit = "mm"
stop_high = "setting.sag"
because = "a loose strap lets the battery out"
"""
TRIED = f"""
import sys
from pathlib import Path
from click.testing import CliRunner
from pitcrew.base.settings import bounds_text, BY_NAME
from pitcrew.cli.main import main
from pitcrew.pit.folder import bundled_sheets, make_folder, read_definitions

folder = Path(sys.argv[1])
make_folder(folder, "", bundled_sheets(), [])
(folder / "checklists" / "straps.toml").write_text('''{LIST}''')
print(read_definitions(folder).settings["sag"])
file = folder / "pitcrew.toml"
file.write_text('sag = "35 mm"')
print(read_definitions(folder).settings["sag"])
file.write_text('sag = "80 mm"')
print(bounds_text(BY_NAME["sag"]))
print(*[one.file for one in read_definitions(folder).mistakes if "sag" in one.sentence])
print("How far a strap may sag." in CliRunner().invoke(main, ["schema", "settings"]).output)
file.write_text('sag = "35 mm"')
(item,) = (item for key, item in read_definitions(folder).part_checks.items() if "strap" in key)
print(item.limit.stop_high)
"""
