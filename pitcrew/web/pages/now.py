"""Now: minutes left, readiness with its reasons, the robot map, what is due, what will not fit,
which battery."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.climb.witness import unwitnessed
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.logbook.schedule import outlook
from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.readiness import Readiness
from pitcrew.domain.now.snapshot import reason_as_dict
from pitcrew.domain.now.snapshot_shape import ZoneRow
from pitcrew.domain.now.turnaround import Turnaround, minutes_needed
from pitcrew.domain.now.view import PitView
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import run_choices
from pitcrew.web.debrief_form import DebriefForm
from pitcrew.web.drawings import draw_battery, draw_questions, draw_under
from pitcrew.web.request_context import author, looking, the_pit
from pitcrew.web.screen import Screen

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
    """Everything that Now shows, copied out of the view."""

    plan: Turnaround
    readiness: Readiness
    zones: list[ZoneRow]
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
    with looking() as view:
        board = _board(view)
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
    climbs = request.form.get("climb") != "no"
    with looking() as view:
        run = view.run
    pit.record("climb_plan", {"climbs": climbs}, author(), match=run.id if run else None)
    flash("Recorded: climb this match." if climbs else "Recorded: no climb this match.")
    return redirect(url_for("now.page"))


@blueprint.route("/debrief", methods=["GET", "POST"])
@needs(*MEMBERS)
def debrief() -> ResponseReturnValue:
    """What the drive team says about a match."""
    pit = the_pit()
    form = DebriefForm(
        data=None if request.method == "POST" else {"match": request.args.get("run", "")}
    )
    with looking() as view:
        before = len(view.due)
        played = [run for run, _ in reversed(view.moment.played)]
    form.match.choices, climbs = (
        run_choices(played),
        bool(pit.definitions.settings["climb_planned"]),
    )
    if form.validate_on_submit():
        pit.record("debrief", {"answers": form.answers()}, author(), match=form.match.data)
        with looking() as view:
            more = len(view.due) - before
        flash(f"The debrief is recorded.{f' It makes {more} more checks due.' if more > 0 else ''}")
        return redirect(url_for("now.page"))
    return render_template("now/debrief.html", form=form, played=played, climbs=climbs), (
        400 if form.errors else 200
    )


def _board(view: PitView) -> Board:
    moment, state = view.moment, view.state
    return Board(
        plan=view.turnaround,
        readiness=view.readiness,
        zones=view.map_zones,
        work=_by_zone(view.due),
        battery=view.battery,
        out_in=_out_in(moment),
        climb_left_out=moment.climb_left_out,
        climb_asked=bool(view.definitions.settings["climb_planned"]),
        done=len(view.done),
        head=state.head,
        open_temporaries=sum(
            item.open and moment.is_mine(item.robot) for item in state.temporaries.values()
        ),
        unwitnessed=len(unwitnessed(moment)),
        listed=bool(state.runs),
    )


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


def _out_in(moment: Moment) -> Run | None:
    """The run from which the robot may come back: the next one once it may have started, else the
    last played one."""
    coming, state = moment.run, moment.state
    seen = outlook(state, moment.now, coming) if coming else None
    if coming and seen and seen.earliest and seen.earliest <= moment.now:
        return coming
    back = {fact.match for fact in state.returned}
    last = moment.played[-1][0] if moment.played else None
    return last if last and last.id not in back else None


def _for_phones(view: PitView) -> dict[str, Any]:
    """The battery to take next, the sentence that keeps everyone from under the robot; the
    debrief's questions."""
    return {
        "pieces": {
            "battery": draw_battery(view.battery),
            "under": draw_under() if view.moment.climb_planned() else "",
        },
        "fixed": {"debrief": draw_questions(bool(view.definitions.settings["climb_planned"]))},
    }


SCREEN = Screen("now", menu="Now", place=1, script="now", alone="offline/now", snapshot=_for_phones)
