"""What really happened on the field: when a match started, which moves the likely times after it,
and a match played again."""

from datetime import datetime

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from pitcrew.base.clock import event_day, format_instant, zone
from pitcrew.base.errors import BadInput
from pitcrew.domain.event.localtime import read_local
from pitcrew.domain.logbook.runs import Run, replay_of, starts_of
from pitcrew.domain.logbook.schedule import played_runs
from pitcrew.domain.logbook.state import State
from pitcrew.web.access import DECIDERS, needs
from pitcrew.web.filters import clock_time
from pitcrew.web.request_context import author, the_pit
from pitcrew.web.schedule_forms import ReplayForm, StartForm

blueprint = Blueprint("starts", __name__, url_prefix="/schedule")


@blueprint.post("/started")
@needs(*DECIDERS)
def started() -> ResponseReturnValue:
    """A match started at this time of its day; an empty time takes that back."""
    pit = the_pit()
    with pit.reading() as state:
        form = start_form(state, pit.clock())
        _check(form)
        run = state.runs[form.run.data]
    if form.at.data is None:
        pit.record("match_run", {"actual": ""}, author(), match=run.id)
        flash(f"{run.name}: no start is known any more.")
        return redirect(url_for("schedule.page"))
    settings, now = pit.definitions.settings, pit.clock()
    day = event_day(run.planned or now, settings["zone"])
    actual, remark = read_local(form.at.data.strftime("%H:%M"), day, settings["zone"], None)
    if actual > now:
        raise BadInput(
            f"{clock_time(actual)} is still to come. Type when {run.name} started, at the latest"
            f" now, {clock_time(now)}.",
            "at",
        )
    pit.record("match_run", {"actual": format_instant(actual)}, author(), match=run.id)
    flash(
        f"{run.name} started {clock_time(actual)}. The likely times of the matches after it follow."
        f" {remark}".strip()
    )
    return redirect(url_for("schedule.page"))


@blueprint.post("/replay")
@needs(*DECIDERS)
def replay() -> ResponseReturnValue:
    """A match of ours is played again: a run of its own, with its own checks, faults and
    clearance."""
    pit = the_pit()
    with pit.reading() as state:
        form = replay_form(state, pit.clock())
        _check(form)
        again = replay_of(state.runs[form.run.data], state)
    planned, remark = read_local(*form.when(), pit.definitions.settings["zone"], None)
    body = {
        "planned": format_instant(planned),
        "ours": again.ours,
        "label": again.label,
        "stations": {name: list(teams) for name, teams in again.stations.items()},
    }
    pit.record("match_run", body, author(), match=again.id)
    flash(f"Stored: {again.name}, {clock_time(planned)}. {remark}".strip())
    return redirect(url_for("schedule.page"))


def start_form(state: State, now: datetime) -> StartForm:
    """The form with every match that is on; it proposes the one that most likely starts now, and
    the time of now."""
    likely = starts_of(state)
    runs = [run for run in state.runs_in_order() if not run.cancelled]
    due = [run for run in runs if run.actual is None and run.id in likely and likely[run.id] <= now]
    proposed = due[-1] if due else next(iter(runs), None)
    form = StartForm(
        prefix="start-",
        run=proposed.id if proposed else None,
        at=now.astimezone(zone(state.zone)).time(),
    )
    form.run.choices = [(run.id, _named(run)) for run in runs]
    return form


def replay_form(state: State, now: datetime) -> ReplayForm:
    """The form with our matches that were played, the last one first."""
    played = [run for run, _ in played_runs(state, now)]
    form = ReplayForm(
        prefix="replay-", day=datetime.fromisoformat(event_day(now, state.zone)).date()
    )
    form.run.choices = [(run.id, _named(run)) for run in reversed(played)]
    return form


def _named(run: Run) -> str:
    return f"{run.name}, {clock_time(run.planned)}" if run.planned else run.name


def _check(form: FlaskForm) -> None:
    """Raises BadInput with the first thing that is wrong."""
    if not form.validate_on_submit():
        name, sentences = next((name, found) for name, found in form.errors.items() if found)
        raise BadInput(str(sentences[0]), str(name))
