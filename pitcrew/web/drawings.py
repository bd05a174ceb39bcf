"""Drawings as text, for the snapshot: the measuring drawings and the robot map; the macros stand in templates/macros/."""

from typing import Any

from flask import current_app

from pitcrew.domain.checks.limits import PartCheck


def draw(part_check: PartCheck) -> str:
    """The drawing of a check with this part's own numbers, or an empty text when the check names none."""
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
