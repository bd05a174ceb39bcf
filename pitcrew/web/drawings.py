"""Drawings as text, for the snapshot: measuring drawings, robot map, hold path, lowering card; the
macros draw them."""

from collections.abc import Iterable, Sequence
from typing import Any

from flask import current_app

from pitcrew.base.drawings import DRAWINGS, macro_of
from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.lowering import LoweringCard
from pitcrew.domain.climb.picture import PathPicture
from pitcrew.domain.now.matches import RunView
from pitcrew.domain.now.snapshot_shape import RobotRow
from pitcrew.web.choices import part_choices
from pitcrew.web.debrief_form import DebriefForm
from pitcrew.web.fault_forms import FaultForm, RepairForm
from pitcrew.web.forms import TemporaryForm


def drawn(template: str, macro: str, *values: Any) -> str:
    """What a macro of a template draws, as text for the snapshot."""
    module = current_app.jinja_env.get_template(template).module
    return str(getattr(module, macro)(*values)).strip()


def draw(part_check: PartCheck) -> str:
    """The drawing of a check with this part's own numbers, or an empty text when the check names
    none."""
    name = part_check.check.drawing
    if name not in DRAWINGS:
        return ""
    return drawn(DRAWINGS[name], macro_of(name), part_check.part, part_check.limit)


def draw_map(robot: RobotRow | None) -> str:
    """The robot map of a snapshot's robot, or an empty text when there is none."""
    return drawn("macros/robot_map.html", "robot_map", robot, robot["zones"]) if robot else ""


def draw_path(picture: PathPicture) -> str:
    """The hold path as one picture, or an empty text when no link is known."""
    return drawn("macros/hold_path.html", "hold_path", picture) if picture.all else ""


def draw_battery(battery: Battery | None) -> str:
    """The card of the battery to take next."""
    return drawn("now/pieces.html", "battery_card", battery)


def draw_fleet(fleet: Iterable[Battery]) -> dict[str, str]:
    """What stands first on each battery's card, by its name."""
    drawing = "batteries/pieces.html", "stands"
    return {
        battery.name: drawn(*drawing, battery, number) for number, battery in enumerate(fleet, 1)
    }


def draw_fault_forms() -> dict[str, str]:
    """The fields for logging a fault, and for saying that one is repaired."""
    form = FaultForm(formdata=None)
    form.part.choices = part_choices()
    return {
        "fault": drawn("faults/pieces.html", "asked", form),
        "repair": drawn("faults/pieces.html", "repair", RepairForm(formdata=None)),
    }


def draw_temporary_form() -> dict[str, str]:
    """The fields for recording a temporary state."""
    form = TemporaryForm(formdata=None, data={"blocks": True})
    form.part.choices = part_choices()
    return {"temporary": drawn("temporary/pieces.html", "asked", form)}


def draw_matches(views: Sequence[RunView]) -> str:
    """Our matches in order of play."""
    ours = [view for view in views if view.run.ours]
    return drawn("schedule/matches.html", "matches", ours, bool(views))


def draw_under() -> str:
    """The sentence that keeps everyone from under a hanging robot."""
    return drawn("now/pieces.html", "under")


def draw_questions(climbs: bool) -> str:
    """The questions of the debrief; `climbs`: those about the climb, too."""
    return drawn("now/questions.html", "questions", DebriefForm(formdata=None), climbs)


def draw_lowering(card: LoweringCard) -> str:
    """The screen of the lowering card."""
    return drawn("macros/lowering.html", "lowering_screen", card)
