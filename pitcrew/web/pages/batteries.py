"""Batteries: where each is and since when, what it measured last, whether it is offered; and moving one."""

from flask import Blueprint, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from pitcrew.domain.fleet import Battery, chosen_of, fleet
from pitcrew.domain.schedule import next_run
from pitcrew.errors import UnknownName
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.forms import BatteryMoveForm
from pitcrew.web.here import author, the_pit

blueprint = Blueprint("batteries", __name__, url_prefix="/batteries")
PLACES = {"robot": "In the robot", "channel": "On the charger", "rest": "At rest", "bench": "On the bench", "retired": "Retired"}


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The whole fleet."""
    return _show(None, 200)


@blueprint.post("/<name>/move")
@needs(*MEMBERS)
def move(name: str) -> ResponseReturnValue:
    """A battery goes somewhere."""
    pit = the_pit()
    batteries = {battery.name: battery for battery in _fleet()}
    if name not in batteries:
        raise UnknownName("The battery", name, batteries)
    form = BatteryMoveForm()
    if not form.validate_on_submit():
        return _show(name, 400, form)
    with pit.reading() as state:
        run = next_run(state, pit.clock())
    pit.record("battery_move", {"battery": name, **form.body(pit.robot_name() or "")}, author(), match=run.id if run else None)
    moved = next(battery for battery in _fleet() if battery.name == name)
    flash(f"{moved.part.label}: {_where(moved)}.")
    return redirect(url_for("batteries.page", _anchor=name))


def _show(name: str | None, status: int, tried: BatteryMoveForm | None = None) -> ResponseReturnValue:
    """The page; `name` and `tried` belong to a form that came back with something wrong in it."""
    batteries = _fleet()
    checks = the_pit().definitions.part_checks.values()
    walks = {battery.name: [item for item in checks if item.part.id == battery.part.id] for battery in batteries}
    return render_template(
        "batteries/batteries.html", batteries=batteries, chosen=chosen_of(batteries), walks=walks, form=BatteryMoveForm(formdata=None),
        tried=tried, tried_name=name, places=PLACES, where={battery.name: _where(battery) for battery in batteries},
    ), status


def _fleet() -> list[Battery]:
    pit = the_pit()
    with pit.reading() as state:
        return fleet(pit.definitions, state, pit.clock())


def _where(battery: Battery) -> str:
    """Where a battery is, in words."""
    if battery.place == "channel":
        return f"on channel {battery.where}"
    if battery.place == "robot" and battery.where != (the_pit().robot_name() or ""):
        return f"in the robot {battery.where}"
    return PLACES[battery.place].lower() if battery.place in PLACES else battery.where or "nobody logged it"
