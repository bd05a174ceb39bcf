"""Every picture that a check of this pit shows, large, with the checks that show it: to see what
the crew will see before the event."""

from dataclasses import dataclass

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from pitcrew.domain.checks.limits import PartCheck
from pitcrew.web.access import LEADS, needs
from pitcrew.web.drawings import draw
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("pictures", __name__, url_prefix="/pictures")
SCREEN = Screen("pictures")
MOST = 3
"""How many parts' numbers one picture is shown with."""


@dataclass(frozen=True)
class Shown:
    """A picture as drawn with one part's numbers, and that part's check."""

    drawing: str
    part_check: PartCheck


@blueprint.get("")
@needs(*LEADS)
def page() -> ResponseReturnValue:
    """The pictures by name; a check without one is named at the end."""
    found: dict[str, list[Shown]] = {}
    bare: list[PartCheck] = []
    checks: dict[str, dict[str, str]] = {}
    for item in the_pit().definitions.part_checks.values():
        name = item.check.drawing
        drawing = draw(item)
        if not drawing:
            bare.append(item)
            continue
        checks.setdefault(name, {})[item.check.id] = item.check.label
        shown = found.setdefault(name, [])
        if len(shown) < MOST and drawing not in {other.drawing for other in shown}:
            shown.append(Shown(drawing, item))
    names = sorted(found)
    return render_template(
        "pictures/pictures.html", names=names, found=found, checks=checks, bare=bare
    )
