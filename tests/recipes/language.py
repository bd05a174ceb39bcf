"""A checklist in another language, which is what there is of one today."""

LIST = """[checklist]
name = "kjeder"
label = "Kjeder"
[[check]]
id = "kjede"
kind = "roller-chain"
label = "Kjede"
ask = "Henger kjedet?"
minutes = 0.5
power = "off"
due = ["every match"]
[[check.input]]
name = "svar"
label = "Svar"
kind = "choice"
options = { "stramt" = "ok", "henger" = "stop" }
[check.limit]
because = "Et slakt kjede hopper av."
say = { stop = "Kjedet henger for mye." }
"""
TRIED = f"""
import sys
from datetime import timedelta
from pathlib import Path
from pitcrew.pit.folder import bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import open_pit
from pitcrew.web.app import create_app

folder = Path(sys.argv[1])
make_folder(folder, "climb_planned = false", bundled_sheets(), [])
(folder / "checklists" / "kjeder.toml").write_text('''{LIST}''')
pit = open_pit(folder)
print([mistake.sentence for mistake in pit.definitions.mistakes])
app = create_app(pit)
browser = app.test_client()
device = pit.roster.join(pit.roster.make_code("crew", timedelta(minutes=9)), "Runa", "", "here")
with browser.session_transaction() as session:
    session["device"] = device.device.id
given = {{"svar": {{"typed": "henger", "value": "henger"}}}}
(key,) = (key for key in pit.definitions.part_checks if key.endswith("@lift.chain.left"))
body = {{"check": "kjede", "part": "lift.chain.left", "inputs": given, "verdict": "ok"}}
made = pit.record("reading", body, Author("phone", "Runa", "crew"))
print(pit.definitions.part_checks[key].check.ask)
print(made.judged["sentence"])
page = browser.get("/walk").text
print("Henger kjedet?" in page and 'lang="en"' in page)
pit.close()
"""
