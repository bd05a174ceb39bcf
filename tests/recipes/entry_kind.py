"""A kind of entry: a part was oiled."""

OILED = '''"""A part was oiled."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, own_part


class Oiled(Body):
    part: str
    drops: int = 1


KIND = Kind(
    name="oiled",
    body=Oiled,
    written_by=CREW,
    table="oilings",
    key=lambda fact: fact.body.part,
    parts=own_part,
    done=lambda body: "oiled",
    told=lambda body, names: (names.label(body.part), f"oiled with {body.drops} drops"),
)
'''
FILES = {"pitcrew/base/kinds/oiled.py": OILED}
TRIED = """
import sys
from pathlib import Path
from pitcrew.base.entries import schemas
from pitcrew.domain.climb.touched import work_on
from pitcrew.domain.logbook.moment import moment_now
from pitcrew.domain.logbook.people import MAY_WRITE
from pitcrew.domain.now.view import PitView
from pitcrew.pit.export import export_folder
from pitcrew.pit.folder import make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import open_pit
from pitcrew.sheets.sections import Sheet, section

folder = Path(sys.argv[1])
make_folder(folder, "", [], [])
pit = open_pit(folder)
pit.record("oiled", {"part": "lift.chain", "drops": 3}, Author("phone", "Runa", "crew"))
with pit.reading() as state:
    moment = moment_now(pit.definitions, state, pit.clock())
    print(state.oilings["lift.chain"][0].body.drops, "drops filed")
    print([work.done for work in work_on(moment, ["lift.chain"])])
    sheet = Sheet(PitView(moment))
    print([row.said for row in section("done", sheet, 9).rows])
print("oiled" in MAY_WRITE["crew"], "oiled" in MAY_WRITE["laptop"], "oiled" in schemas()["kinds"])
pit.close()
export_folder(folder, folder / "all.csv")
print("| `oiled` | part, [drops] |" in (folder / "all.dictionary.md").read_text())
"""
