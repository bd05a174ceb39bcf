"""Batteries: where each is, how it stands and what for; which one to take next and why; moving one;
its capacity test."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.base.spoken import made
from pitcrew.base.units import show
from pitcrew.domain.batteries.fleet import Battery, measured_ohms
from pitcrew.domain.batteries.nextbattery import candidates, plan
from pitcrew.domain.batteries.records import lacking_sentence, logs_of
from pitcrew.domain.batteries.wiring import resistance_rose
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.view import PitView
from pitcrew.engineering.capacity import END_VOLTAGE, TEST_CURRENT, capacity_result, started
from pitcrew.robotlog.clocks import Expected
from pitcrew.robotlog.reading import look_at, read_log
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.drawings import draw_fleet
from pitcrew.web.forms import BatteryMoveForm
from pitcrew.web.log_forms import CapacityForm, LogForm
from pitcrew.web.pages.robot_logs import offer_choices
from pitcrew.web.request_context import author, looking, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("batteries", __name__, url_prefix="/batteries")
PLACES = {
    "robot": "In the robot",
    "channel": "On the charger",
    "rest": "At rest",
    "bench": "On the bench",
    "retired": "Retired",
}
TREND = 12
"""readings of a trend"""


@dataclass(frozen=True)
class BatteryView:
    """A battery with what its card shows beside it."""

    battery: Battery
    where: str
    lacking: str
    walks: tuple[PartCheck, ...]
    load_check: PartCheck | None
    trend: tuple[ReadingFact, ...]
    since_first: str
    capacity: Fact | None
    log: Fact | None
    moved: Fact | None


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
    _known(name)
    form = BatteryMoveForm()
    if not form.validate_on_submit():
        return _show(name, 400, form)
    with looking() as view:
        run = view.run
    goes = form.body(pit.robot_name() or "", pit.definitions.robots)
    pit.record("battery_move", {"battery": name, **goes}, author(), match=run.id if run else None)
    moved = _known(name)
    flash(f"{moved.part.label}: {_where(moved)}.")
    return redirect(url_for("batteries.page", _anchor=name))


@blueprint.post("/<name>/settle")
@needs(*MEMBERS)
def settle(name: str) -> ResponseReturnValue:
    """Two names that look alike: they are two batteries, or what was logged under one belongs to
    the other."""
    pit = the_pit()
    battery, other = _known(name), request.form.get("other", "")
    if other not in battery.alike:
        raise BadInput("This is settled already. Reload the page.", "other")
    two = request.form.get("are") == "two"
    pit.record("battery_identity", {"first": name, "second": other, "same": not two}, author())
    if two:
        flash(f"{name} and {other} are two batteries.")
    else:
        with pit.reading() as state:
            wrong = [
                *state.battery_moves.get(other, []),
                *state.battery_tests.get(other, []),
                *state.robot_logs.get(other, []),
            ]
        for fact in wrong:
            body = {**fact.entry.body, "battery": name}
            why, said = made("battery_is", other=other, name=name)
            correction = {"of": fact.id, "body": body, "why": why, "said": said}
            pit.record("correction", correction, author())
        flash(
            f"What was logged under {other} belongs to {name} now; the old entries stay in the"
            " logbook."
        )
    return redirect(url_for("batteries.page", _anchor=name))


@blueprint.route("/<name>/capacity", methods=["GET", "POST"])
@needs(*MEMBERS)
def capacity(name: str) -> ResponseReturnValue:
    """The yearly capacity test: how to do it, and its points or the tester's file."""
    battery = _known(name)
    form = CapacityForm(data={"current": f"{TEST_CURRENT:g} A", "end": f"{END_VOLTAGE:g} V"})
    if form.validate_on_submit():
        try:
            points, result = _tested(form)
        except BadInput as error:
            if error.field in (None, "points") or error.field not in form:
                form.points.errors = [*form.points.errors, error.sentence]
            elif error.sentence not in form[error.field].errors:
                form[error.field].errors = [*form[error.field].errors, error.sentence]
        else:
            the_pit().record(
                "battery_test",
                {"battery": battery.name, "points": points, "result": result},
                author(),
            )
            flash(
                f"{battery.part.label}: {show(result['capacity'], 'A*h')},"
                f" {show(result['capacity_25'], 'A*h')} at 25 °C, over"
                f" {result['seconds'] / 60:.0f} min."
            )
            return redirect(url_for("batteries.page", _anchor=name))
    return render_template("batteries/capacity.html", battery=battery, form=form), (
        400 if form.errors else 200
    )


def _tested(form: CapacityForm) -> tuple[list[tuple[float, float]], dict[str, float]]:
    """Points (s, V) and result of a capacity test. Raises BadInput."""
    amps, end = form.quantity("current", "A", "current"), form.quantity("end", "V", "voltage")
    case = form.quantity("case", "degC", "temperature")
    start = None
    if form.file.data:
        steady = Expected(match_length=2 * 3600.0, capacity=30.0)  # a test of two hours
        data = read_log(*look_at(iter([form.file.data.read()])), None, steady)
        times, volts = data.clock.tolist(), data.voltage.tolist()
        currents = (
            [abs(value) for value in data.current.tolist()]
            if data.current is not None
            else [amps] * len(times)
        )
    else:
        pairs = form.pairs()
        times, volts = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
        currents, start = [amps] * len(pairs), started(times)
    result = capacity_result(times, volts, currents, case, end, start)
    every = max(1, len(times) // 100)
    return list(zip(times, volts, strict=True))[::every], result | {"end": end}


def _show(
    name: str | None, status: int, tried: BatteryMoveForm | None = None
) -> ResponseReturnValue:
    """The page; `name` and `tried` belong to a form that came back with something wrong in it."""
    pit = the_pit()
    log_form = LogForm(formdata=None)
    with looking() as view:
        moment, batteries = view.moment, view.fleet
        ranked, planned = candidates(moment, batteries), plan(moment, batteries)
        views = [_view(view.state, battery) for battery in batteries]
        logs = logs_of(moment)
        offer_choices(log_form, moment, batteries)
    return (
        render_template(
            "batteries/batteries.html",
            views=views,
            chosen=view.battery,
            ranked=ranked,
            plan=planned,
            form=BatteryMoveForm(formdata=None),
            tried=tried,
            tried_name=name,
            places=PLACES,
            channels=_channels(batteries)[:8],
            robots=sorted(
                pit.definitions.robots.values(), key=lambda robot: robot.name != pit.robot_name()
            ),
            log_form=log_form,
            logs=list(reversed(logs[-8:])),
            rose=resistance_rose(
                [fact for fact in logs if not fact.body.doubts], measured_ohms(batteries)
            ),
        ),
        status,
    )


def _channels(batteries: Sequence[Battery]) -> list[str]:
    """The charger's channels that any battery was on, by name."""
    stays = (stay for battery in batteries for stay in battery.record.stays)
    return sorted({stay.where for stay in stays if stay.to == "channel" and stay.where})


def _view(state: State, battery: Battery) -> BatteryView:
    checks = tuple(
        item
        for item in the_pit().definitions.part_checks.values()
        if item.part.id == battery.part.id
    )
    load = next(
        (item for item in checks if item.limit is not None and item.limit.unit == "ohm"), None
    )
    readings = (
        [item for item in state.readings.get(load.key, []) if isinstance(item.result, int | float)]
        if load
        else []
    )
    tests = [
        test
        for test in state.battery_tests.get(battery.name, [])
        if "capacity_25" in test.body.result
    ]
    logs = state.robot_logs.get(battery.name, [])
    moves = state.battery_moves.get(battery.name, [])
    return BatteryView(
        battery,
        _where(battery),
        lacking_sentence(battery.record, the_pit().definitions.settings["charger_current"]),
        checks,
        load,
        tuple(readings[-TREND:]),
        _since_first(readings),
        tests[-1] if tests else None,
        logs[-1] if logs else None,
        moves[-1] if moves else None,
    )


def _since_first(readings: Sequence[ReadingFact]) -> str:
    """How the resistance stands to the battery's own first one, of readings that can be compared;
    empty with fewer than two."""
    judged = [float(item.result) for item in readings if item.verdict != "unjudged"]
    if len(judged) < 2 or judged[0] <= 0:
        return ""
    return f"{100 * (judged[-1] / judged[0] - 1):+.0f} % since its first, {show(judged[0], 'mohm')}"


def _known(name: str) -> Battery:
    """A battery of the fleet. Raises UnknownName."""
    with looking() as view:
        batteries = {item.name: item for item in view.fleet}
    if name not in batteries:
        raise UnknownName("The battery", name, batteries)
    return batteries[name]


def _where(battery: Battery) -> str:
    """Where a battery is, in words."""
    if battery.place == "channel":
        return f"on channel {battery.where}"
    if battery.place == "robot" and battery.where != (the_pit().robot_name() or ""):
        robot = the_pit().definitions.robots.get(battery.where)
        return f"in the robot {robot.label if robot else battery.where}"
    return (
        PLACES[battery.place].lower()
        if battery.place in PLACES
        else battery.where or "nobody logged it"
    )


def _for_phones(view: PitView) -> dict[str, Any]:
    """What stands first on each battery's card."""
    return {"pieces": {"batteries": draw_fleet(view.fleet)}}


SCREEN = Screen(
    "batteries",
    menu="Batteries",
    place=5,
    script="batteries",
    alone="offline/batteries",
    snapshot=_for_phones,
)
