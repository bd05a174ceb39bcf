"""A check with its figure and its drawing: how far a battery strap sags."""

FIGURE = '''"""Straps: how far one may sag."""

from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import quantity


@figure(
    "strap-sag",
    "m",
    value_is="the most that a strap may sag at the middle of its span",
    source="a rule of thumb made up for this recipe: 5 % of the span",
    range="any strap of a robot",
    span=quantity("length", "length between the two ends", above=0, most=2),
)
def strap_sag(span: float) -> Outcome:
    """The most sag in m for a span in m.

    Example: A strap over 200 mm may sag 0.05 × 200 = 10 mm.

        pitcrew figure strap-sag span="200 mm" --units metric
        strap-sag: 10 mm
    """
    return Outcome(0.05 * span, f"5 % of {mark(span, 'length')}")
'''
DRAWING = """{# A strap that sags between its ends. #}
{% from "macros/pencil.html" import label, frame %}

{% macro strap_sag(part, limit) %}
{% call frame("Press the strap down at its middle", 120) %}
<path class="ink" d="M40 40C140 90 200 90 300 40"/>
{{ label(170, 100, "drawn for " ~ part.label, kind="note") }}
{% endcall %}
{% endmacro %}
"""
LIST = """[checklist]
name = "straps"
label = "Straps"
[[check]]
id = "strap-sag"
part = "lift.chain.left"
label = "Strap sag"
ask = "How far does the strap sag?"
drawing = "strap-sag"
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
figure = "strap-sag"
with = { span = "200 mm" }
result = "sag"
unit = "mm"
stop_high = "value"
instrument = "ruler"
because = "a loose strap lets the battery out"
say = { stop_high = "Tighten it." }
"""
FILES = {
    "pitcrew/engineering/straps.py": FIGURE,
    "templates/macros/drawings/straps.html": DRAWING,
    "checklists/straps.toml": LIST,
}
TRIED = """
import re
import sys
from pathlib import Path
from click.testing import CliRunner
from pitcrew.cli.main import main
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import open_pit
from pitcrew.web.app import create_app
from pitcrew.web.drawings import draw

folder = Path(sys.argv[1])
own = [path for path in bundled_lists() if path.stem == "straps"]
make_folder(folder, "climb_planned = false", bundled_sheets(), own)
asked = CliRunner().invoke(main, ["figure", "strap-sag", "span=200 mm", "--units", "metric"])
print(asked.output.splitlines()[0].partition(" (")[0])
pit = open_pit(folder)
print([mistake.sentence for mistake in pit.definitions.mistakes])
item = next(item for key, item in pit.definitions.part_checks.items() if "strap-sag@" in key)
print(f"{item.check.label}: stop above {item.limit.stop_high * 1000:g} mm")
with create_app(pit).test_request_context():
    print(re.search("drawn for [^<]*", draw(item))[0])
body = {"check": "strap-sag", "part": item.part.id, "verdict": "ok"}
body["inputs"] = {"sag": {"typed": "14 mm", "value": 14, "unit": "mm"}}
print(pit.record("reading", body, Author("phone", "Runa", "crew")).judged["verdict"])
pit.close()
"""
