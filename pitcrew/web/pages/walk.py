"""Walk: the page that carries the snapshot; its script asks the checks, one a screen."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.errors import UnknownName
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.api import make_snapshot
from pitcrew.web.here import the_pit

blueprint = Blueprint("walk", __name__, url_prefix="/walk")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The checks that are due, all of them or those of `?zone=`, or the one named by `?check=`."""
    definitions = the_pit().definitions
    zone, check = request.args.get("zone", ""), request.args.get("check", "")
    if zone and (definitions.robot is None or zone not in definitions.robot.zones):
        raise UnknownName("The zone", zone, definitions.robot.zones if definitions.robot else ())
    if check and check not in definitions.part_checks:
        raise UnknownName("The check", check, definitions.part_checks)
    return render_template("walk/walk.html", snapshot=make_snapshot())
