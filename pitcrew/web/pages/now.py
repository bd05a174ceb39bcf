"""Now: minutes left, readiness with its reasons, the robot map, what is due, what will not fit,
which battery."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.domain.batteries.fleet import Battery, fleet
from pitcrew.domain.batteries.ranking import chosen_of
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.witness import unwitnessed
from pitcrew.domain.logbook.moment import CLIMB, NO_CLIMB, Moment
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.logbook.schedule import next_run, outlook, played_runs
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.due import DueCheck, done_checks
from pitcrew.domain.now.history import zone_states
from pitcrew.domain.now.readiness import Readiness, readiness
from pitcrew.domain.now.snapshot import reason_as_dict
from pitcrew.domain.now.turnaround import Turnaround, minutes_needed, turnaround
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import run_choices
from pitcrew.web.debrief_form import DebriefForm
from pitcrew.web.request_context import author, the_pit

blueprint = Blueprint("now", __name__, url_prefix="/now")


@dataclass(frozen=True)
class ZoneWork:
    """What is due in one zone: how long it takes one crew, and how many people it needs at once."""

    zone: str
    checks: tuple[DueCheck, ...]
    minutes: float
    hands: int


@dataclass(frozen=True)
class Board:
    """Everything that Now shows, copied out of the state."""

    plan: Turnaround
    readiness: Readiness
    zones: list[dict[str, Any]]
    work: list[ZoneWork]
    battery: Battery | None
    out_in: Run | None
    climb_left_out: bool
    climb_asked: bool
    done: int
    head: int
    open_temporaries: int
    unwitnessed: int
    listed: bool


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The screen that the pit looks at."""
    pit = the_pit()
    definitions = pit.reload()
    with pit.reading() as state:
        board = _board(state, pit.clock())
    reasons = [reason_as_dict(reason) for reason in board.readiness.reasons]
    return render_template(
        "now/now.html",
        board=board,
        reasons=reasons,
        robot=definitions.robot,
        has_checks=bool(definitions.part_checks),
    )


@blueprint.post("/returned")
@needs(*MEMBERS)
def returned() -> ResponseReturnValue:
    """The robot is back in the pit from a run."""
    pit = the_pit()
    with pit.reading() as state:
        run = state.runs.get(request.form.get("run", ""))
        known = run is not None and any(fact.match == run.id for fact in state.returned)
    if run is None:
        raise BadInput("The match is not in the schedule. Reload the page and press again.", "run")
    if not known:
        pit.record("returned", {}, author(), match=run.id)
    flash(f"The robot is back from {run.name}. Ask the drive team before hands go in.")
    return redirect(url_for("now.debrief", run=run.id))


@blueprint.post("/climb")
@needs(*MEMBERS)
def climb() -> ResponseReturnValue:
    """The robot will not climb in the next run, or it will after all."""
    pit = the_pit()
    text = NO_CLIMB if request.form.get("climb") == "no" else CLIMB
    with pit.reading() as state:
        run = next_run(state, pit.clock())
    pit.record("note", {"text": text}, author(), match=run.id if run else None)
    flash(f"Recorded: {text}.")
    return redirect(url_for("now.page"))


@blueprint.route("/debrief", methods=["GET", "POST"])
@needs(*MEMBERS)
def debrief() -> ResponseReturnValue:
    """What the drive team says about a match."""
    pit = the_pit()
    form = DebriefForm(
        data=None if request.method == "POST" else {"match": request.args.get("run", "")}
    )
    with pit.reading() as state:
        before = len(turnaround(pit.definitions, state, pit.clock()).order)
        played = [run for run, _ in reversed(played_runs(state, pit.clock()))]
    form.match.choices, climbs = (
        run_choices(played),
        bool(pit.definitions.settings["climb_planned"]),
    )
    if form.validate_on_submit():
        pit.record("debrief", {"answers": form.answers()}, author(), match=form.match.data)
        with pit.reading() as state:
            more = len(turnaround(pit.definitions, state, pit.clock()).order) - before
        flash(f"The debrief is recorded.{f' It makes {more} more checks due.' if more > 0 else ''}")
        return redirect(url_for("now.page"))
    return render_template("now/debrief.html", form=form, played=played, climbs=climbs), (
        400 if form.errors else 200
    )


def _board(state: State, now: datetime) -> Board:
    pit = the_pit()
    definitions = pit.definitions
    plan = turnaround(definitions, state, now)
    moment = Moment(definitions, state, now, plan.run)
    return Board(
        plan=plan,
        readiness=readiness(definitions, state, now, plan.run),
        zones=_map_zones(definitions, state, plan),
        work=_by_zone(plan.order),
        battery=chosen_of(fleet(definitions, state, now)),
        out_in=_out_in(state, now),
        climb_left_out=moment.climb_left_out(),
        climb_asked=bool(definitions.settings["climb_planned"]),
        done=len(done_checks(definitions, state, now, plan.run)),
        head=state.head,
        open_temporaries=sum(
            item.open and moment.is_mine(item.robot) for item in state.temporaries.values()
        ),
        unwitnessed=len(unwitnessed(moment)),
        listed=bool(state.runs),
    )


def _map_zones(definitions: Definitions, state: State, plan: Turnaround) -> list[dict[str, Any]]:
    """The zones as the robot map wants them."""
    states = zone_states(definitions, state, plan.now, plan.run)
    zones = definitions.robot.zones.values() if definitions.robot else ()
    return [
        {
            "id": zone.id,
            "label": zone.label,
            "box": zone.box,
            "state": states[zone.id].word,
            "due": states[zone.id].due,
            "done": states[zone.id].done,
        }
        for zone in zones
    ]


def _by_zone(order: Sequence[DueCheck]) -> list[ZoneWork]:
    """The due checks by zone, the zone of the most dangerous check first."""
    zones: dict[str, list[DueCheck]] = defaultdict(list)
    for item in order:
        zones[item.part_check.part.zone].append(item)
    return [
        ZoneWork(
            zone,
            tuple(items),
            minutes_needed(items, max(item.part_check.check.hands for item in items)),
            max(item.part_check.check.hands for item in items),
        )
        for zone, items in zones.items()
    ]


def _out_in(state: State, now: datetime) -> Run | None:
    """The run from which the robot may come back: the next one once it may have started, else the
    last played one."""
    coming = next_run(state, now)
    seen = outlook(state, now, coming) if coming else None
    if coming and seen and seen.earliest and seen.earliest <= now:
        return coming
    back = {fact.match for fact in state.returned}
    played = played_runs(state, now)
    return played[-1][0] if played and played[-1][0].id not in back else None
