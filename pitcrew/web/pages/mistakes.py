"""File mistakes: what in the pit folder's files could not be used."""

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import the_pit

blueprint = Blueprint("mistakes", __name__, url_prefix="/mistakes")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Every mistake, by file; the files are read again first."""
    definitions = the_pit().reload()
    return render_template("mistakes/mistakes.html", found=definitions.mistakes, blocked=definitions.climb_blocked)
