"""The measuring drawings as SVG text, for the snapshot; the macros themselves stand in templates/macros/drawings.html."""

from flask import current_app

from pitcrew.domain.limits import PartCheck


def draw(part_check: PartCheck) -> str:
    """The drawing of a check with this part's own numbers, or an empty text when the check names none."""
    if not part_check.check.drawing:
        return ""
    module = current_app.jinja_env.get_template("macros/drawings.html").module
    return str(module.drawing(part_check.check.drawing, part_check.part, part_check.limit)).strip()  # type: ignore[attr-defined]
