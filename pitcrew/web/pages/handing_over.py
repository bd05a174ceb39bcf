"""Handing over: what this phone still holds, and the ways to the laptop. The phone's own page: it
opens with or without the laptop, and holds no one's data."""

from flask import Blueprint
from flask.typing import ResponseReturnValue

from pitcrew.web.access import PUBLIC, needs
from pitcrew.web.screen import Screen
from pitcrew.web.shell import shell_page

blueprint = Blueprint("handing_over", __name__, url_prefix="/handing-over")
SCREEN = Screen("handing-over", menu="Hand over", alone="handing_over")


@blueprint.get("")
@needs(*PUBLIC)
def page() -> ResponseReturnValue:
    """The page that phones keep; its script draws the rest."""
    return shell_page()
