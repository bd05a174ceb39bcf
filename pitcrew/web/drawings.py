"""Drawings as text, for the snapshot: measuring drawings, robot map, hold path, lowering card; the
macros draw them."""

from typing import Any

from flask import current_app

from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.lowering import LoweringCard
from pitcrew.domain.climb.picture import PathPicture


def draw(part_check: PartCheck) -> str:
    """The drawing of a check with this part's own numbers, or an empty text when the check names
    none."""
    if not part_check.check.drawing:
        return ""
    module = current_app.jinja_env.get_template("macros/drawings.html").module
    return str(module.drawing(part_check.check.drawing, part_check.part, part_check.limit)).strip()  # type: ignore[attr-defined]


def draw_map(robot: dict[str, Any] | None) -> str:
    """The robot map of a snapshot's robot, or an empty text when there is none."""
    if robot is None:
        return ""
    module = current_app.jinja_env.get_template("macros/robot_map.html").module
    return str(module.robot_map(robot, robot["zones"])).strip()  # type: ignore[attr-defined]


def draw_path(picture: PathPicture) -> str:
    """The hold path as one picture, or an empty text when no link is known."""
    module = current_app.jinja_env.get_template("macros/hold_path.html").module
    return str(module.hold_path(picture)).strip() if picture.all else ""  # type: ignore[attr-defined]


def draw_lowering(card: LoweringCard) -> str:
    """The lowering card."""
    module = current_app.jinja_env.get_template("macros/lowering.html").module
    return str(module.lowering_card(card)).strip()  # type: ignore[attr-defined]
