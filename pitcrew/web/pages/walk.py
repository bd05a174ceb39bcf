"""Walk: the page that carries the snapshot; its script asks the checks, one a screen."""

from typing import Any

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import UnknownName
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.api import make_snapshot
from pitcrew.web.request_context import looking, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("walk", __name__, url_prefix="/walk")
SCREEN = Screen("walk", menu="Walk", place=2, script="walk", alone="walk")
READ = ("robot", "next", "played", "faults", "schedule")
"""What static/js/pages/walk.js reads of the snapshot besides its checks."""
NAMED = ("key", "zone", "label", "due")
UNREAD = ("checklist", "minutes", "hands", "must", "climb_critical", "why")
"""What it does not read of a check that it asks."""
FIELDS = {"faults": ("part", "symptom", "marks"), "schedule": ("run", "label")}
ZONE = ("id", "label", "energies", "release")
LAST = ("verdict", "sentence", "marks")
"""What it reads of a fault, of a match, of a zone and of the last reading."""
HOLE = "{because}"
"""Where a limit's reason goes into its sentences; the script puts it back."""


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The checks that are due, all of them or those of `?zone=`; the one of `?check=`; or the rows
    of `?card=`."""
    definitions = the_pit().definitions
    zone, check, card = (request.args.get(name, "") for name in ("zone", "check", "card"))
    if zone and (definitions.robot is None or zone not in definitions.robot.zones):
        raise UnknownName("The zone", zone, definitions.robot.zones if definitions.robot else ())
    if check and check not in definitions.part_checks:
        raise UnknownName("The check", check, definitions.part_checks)
    the_pit().reload()
    with looking() as view:
        found = make_snapshot(view)
    return render_template(
        "walk/walk.html", snapshot=_what_the_walk_needs({**found}, zone, check, card)
    )


def _what_the_walk_needs(found: dict[str, Any], zone: str, check: str, card: str) -> dict[str, Any]:
    """What the walk's script reads: the checks that are asked in full; of others that are due,
    where and what they are."""
    due = [
        item
        for item in found["checks"]
        if item["due"] or item["key"] == check or item["check"] == card
    ]
    asked = {item["key"] for item in due if _is_asked(item, zone, check, card)}
    checks = [
        {name: value for name, value in item.items() if name not in UNREAD}
        if item["key"] in asked
        else {name: item[name] for name in NAMED}
        for item in due
    ]
    drawings, units = _taken_out(checks), _units_taken_out(checks)
    for item in checks:
        if item.get("last"):
            item["last"] = _only([item["last"]], LAST)[0]
        if item.get("limit"):
            item["limit"] = _said_once(item["limit"])
    read = {name: found[name] for name in READ}
    read |= {name: _only(found[name], fields) for name, fields in FIELDS.items()}
    if found["robot"]:
        zones = _only(found["robot"]["zones"], ZONE)
        read["robot"] = {"name": found["robot"]["name"], "zones": zones}
    return {**read, "checks": checks, "drawings": drawings, "units": units}


def _only(items: list[dict[str, Any]], names: tuple[str, ...]) -> list[dict[str, Any]]:
    """The items with these fields alone."""
    return [{name: item[name] for name in names} for item in items]


def _units_taken_out(checks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Likewise the units in which a number may be typed, which many inputs share."""
    units: list[dict[str, Any]] = []
    for check in (check for check in checks if check.get("limit")):
        inputs = {name: dict(item) for name, item in check["limit"]["inputs"].items()}
        for item in inputs.values():
            del item["label"]  # the check's own input has it, too
            if "units" in item:
                if item["units"] not in units:
                    units.append(item["units"])
                item["units"] = units.index(item["units"])
        check["limit"] = check["limit"] | {"inputs": inputs}
        del check["key"]  # check@part
    return units


def _said_once(limit: dict[str, Any]) -> dict[str, Any]:
    """A limit whose sentences leave a hole for its reason, which most of them say."""
    because = limit.get("because")
    if not because:
        return limit
    holes = {name: text.replace(because, HOLE) for name, text in limit["sentences"].items()}
    return limit | {"sentences": holes}


def _taken_out(checks: list[dict[str, Any]]) -> list[str]:
    """The drawings of some checks, each once, with its place left in the check: far apart on a long
    page they would not pack."""
    drawings: dict[str, int] = {}
    for check in checks:
        if "drawing" in check:
            check["drawing"] = drawings.setdefault(check["drawing"], len(drawings))
    return list(drawings)


def _is_asked(item: dict[str, Any], zone: str, check: str, card: str) -> bool:
    """Whether this walk asks a check."""
    if check or card:
        return check == item["key"] or card == item["check"]
    return zone in ("", item["zone"])
