"""A screen for leads: which tools are out of the box. A phone shows it alone, too."""

PAGE = '''"""Toolbox: which tools are out."""

from typing import Any

from flask import Blueprint, render_template

from pitcrew.domain.now.view import PitView
from pitcrew.web.access import LEADS, needs
from pitcrew.web.drawings import drawn
from pitcrew.web.screen import Screen

blueprint = Blueprint("toolbox", __name__, url_prefix="/toolbox")


@blueprint.get("")
@needs(*LEADS)
def page() -> str:
    """The tools."""
    return render_template("toolbox/toolbox.html", wrenches=9)


def _for_phones(view: PitView) -> dict[str, Any]:
    return {"pieces": {"toolbox": drawn("toolbox/pieces.html", "tools", 9)}}


SCREEN = Screen(
    "toolbox",
    menu="Toolbox",
    place=10,
    script="toolbox",
    alone="offline/toolbox",
    snapshot=_for_phones,
)
'''
TEMPLATE = """{% extends "base.html" %}
{% from "toolbox/pieces.html" import tools %}
{% block title %}Toolbox{% endblock %}
{% block main %}<h1>Toolbox</h1>{{ tools(wrenches) }}{% endblock %}
"""
PIECES = "{% macro tools(wrenches) %}<p>{{ wrenches }} wrenches, all back.</p>{% endmacro %}\n"
SCRIPT = """// The toolbox on the laptop's page.

export function start() {}
"""
ALONE = """// The toolbox without the laptop: as the laptop drew it.

import { el, piecesFrom } from "../../lib/dom.js";

export function alone({ snapshot }) {
  return { main: [el("h1", {}, "Toolbox"), ...piecesFrom(snapshot.pieces?.toolbox)], actions: [] };
}
"""
FILES = {
    "pitcrew/web/pages/toolbox.py": PAGE,
    "templates/toolbox/toolbox.html": TEMPLATE,
    "templates/toolbox/pieces.html": PIECES,
    "static/js/pages/toolbox.js": SCRIPT,
    "static/js/pages/offline/toolbox.js": ALONE,
    "static/css/toolbox.css": ".toolbox { margin: 0; }\n",
}
TRIED = """
import sys
from datetime import timedelta
from pathlib import Path
from pitcrew.pit.folder import make_folder
from pitcrew.pit.pit import open_pit
from pitcrew.web.app import create_app
from pitcrew.web.pages import SCREENS
from pitcrew.web.packing import SCRIPTS, STYLES, packed

folder = Path(sys.argv[1])
make_folder(folder, "", [], [])
pit = open_pit(folder)
app = create_app(pit)


def joined(role):
    browser = app.test_client()
    device = pit.roster.join(pit.roster.make_code(role, timedelta(minutes=9)), role, "", role)
    with browser.session_transaction() as session:
        session["device"] = device.device.id
    return browser, {"Authorization": f"Bearer {device.token}"}


for role in ("lead", "crew"):
    browser, bearer = joined(role)
    menu = '<a href="/toolbox"' in browser.get("/now").text
    print(role, menu, browser.get("/toolbox").status_code)
print("stranger's shell", "/toolbox" in app.test_client().get("/shell").text)
print("worker", '"toolbox"' in app.test_client().get("/sw.js").text.split("ALONE")[1].split("]")[0])
text = packed(SCRIPTS, SCREENS)
started, alone = ('"toolbox": () => needLater("pages/%s.js")' % name for name in ("toolbox", "offline/toolbox"))
print("scripts", started in text, alone in text)
print("styles", ".toolbox" in packed(STYLES, SCREENS))
print("piece", browser.get("/api/snapshot", headers=bearer).json["pieces"]["toolbox"])
pit.close()
"""
