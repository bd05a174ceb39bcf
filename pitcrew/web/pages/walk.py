"""Walk: the page that carries the snapshot; its script asks the checks, one a screen."""

from typing import Any

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import UnknownName
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.api import make_snapshot
from pitcrew.web.request_context import the_pit

blueprint = Blueprint("walk", __name__, url_prefix="/walk")
READ = ("robot", "next", "played", "faults", "schedule")
"""What static/js/pages/walk.js reads of the snapshot besides its checks."""
NAMED = ("key", "zone", "label", "due")


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
    return render_template("walk/walk.html", snapshot=_what_the_walk_needs(make_snapshot(), zone, check))


def _what_the_walk_needs(found: dict[str, Any], zone: str, check: str) -> dict[str, Any]:
    """What the walk's script reads: the checks that are asked in full; of others that are due, where and what they are."""
    due = [item for item in found["checks"] if item["due"] or item["key"] == check]
    asked = {item["key"] for item in due if item["key"] == check or item["zone"] == zone or not (zone or check)}
    checks = [item if item["key"] in asked else {name: item[name] for name in NAMED} for item in due]
    return {**{name: found[name] for name in READ}, "checks": checks}
