"""File mistakes: what in the pit folder's files could not be used, and which of its checklists are
not this program's."""

from flask import Blueprint, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from pitcrew.pit.shipped import CURRENT, OLDER, copies, replace_older
from pitcrew.web.access import LEADS, MEMBERS, needs
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("mistakes", __name__, url_prefix="/mistakes")
SCREEN = Screen("mistakes")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Every mistake, by file, and how the copies of checklists stand; the files are read again
    first."""
    pit = the_pit()
    definitions = pit.reload()
    lists = [item for item in copies(pit.folder) if item.state != CURRENT]
    return render_template(
        "mistakes/mistakes.html",
        found=definitions.mistakes,
        blocked=definitions.climb_blocked,
        lists=lists,
        older=any(item.state == OLDER for item in lists),
    )


@blueprint.post("/lists")
@needs(*LEADS)
def update() -> ResponseReturnValue:
    """Replace the checklists that no one changed by those of this program."""
    pit = the_pit()
    replaced = replace_older(pit.folder)
    pit.reload()
    told = (
        f"Replaced {', '.join(replaced)}. What the climb hangs on waits for two people on the Climb"
        " page."
    )
    flash(told if replaced else "There was nothing to replace.")
    return redirect(url_for("mistakes.page"))
