"""Receive: the laptop's camera reads a phone's moving codes."""

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from pitcrew.exchange.camera import LACKING, can_read
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.screen import Screen

blueprint = Blueprint("receive", __name__, url_prefix="/receive")
SCREEN = Screen("receive", script="receive")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The page that reads the moving codes with the laptop's camera."""
    return render_template("hand_in/receive.html", lacking="" if can_read() else LACKING)
