"""Schedule: the runs in order of play; adding and cancelling one by hand; importing a list, looked
at before it is stored."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.clock import zone, zone_words
from pitcrew.base.errors import BadInput
from pitcrew.base.units import counted
from pitcrew.domain.event.localtime import read_local
from pitcrew.domain.event.schedule_csv import OURS, read_schedule
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.logbook.schedule import ScheduleRow, schedule_entries
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.matches import run_views
from pitcrew.domain.now.view import PitView
from pitcrew.pit.commands import import_schedule
from pitcrew.web.access import DECIDERS, MEMBERS, needs
from pitcrew.web.drawings import draw_matches
from pitcrew.web.filters import clock_time
from pitcrew.web.pages.starts import replay_form, start_form
from pitcrew.web.request_context import author, device, looking, the_pit
from pitcrew.web.schedule_forms import ImportForm, MatchForm
from pitcrew.web.screen import Screen

blueprint = Blueprint("schedule", __name__, url_prefix="/schedule")


@dataclass(frozen=True)
class RowView:
    """A match of an imported list, and what storing it does."""

    row: ScheduleRow
    word: str
    changes: tuple[str, ...]


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Our matches in order of play, or all with `?all=1`."""
    return _show(bool(request.args.get("all")), None, 200)


@blueprint.post("/add")
@needs(*DECIDERS)
def add() -> ResponseReturnValue:
    """A match by hand; one that is known gets the new time and station."""
    pit = the_pit()
    settings = pit.definitions.settings
    form = MatchForm()
    if not form.validate_on_submit():
        return _show(False, form, 400)
    try:
        planned, remark = read_local(*form.when(), settings["zone"], None)
    except BadInput as error:
        form.at.errors = [*form.at.errors, error.sentence]
        return _show(False, form, 400)
    ours = (form.station.data or OURS) if form.playing.data else ""
    row = ScheduleRow(f"{settings['event']}/{form.name.data}/1", form.name.data, planned, {}, ours)
    with pit.reading() as state:
        changes = schedule_entries([row], state)
    for run, body in changes:
        pit.record("match_run", body, author(), match=run)
    done = (
        f"Stored: match {row.label}, {clock_time(planned)}."
        if changes
        else f"Match {row.label} stands like this already."
    )
    flash(f"{done} {remark}".strip())
    return redirect(url_for("schedule.page"))


@blueprint.post("/cancel")
@needs(*DECIDERS)
def cancel() -> ResponseReturnValue:
    """A match is cancelled, or is on again."""
    pit = the_pit()
    cancelled = request.form.get("cancelled") == "yes"
    with pit.reading() as state:
        run = state.runs.get(request.form.get("run", ""))
    if run is None:
        raise BadInput("The match is not in the schedule. Reload the page.", "run")
    pit.record("match_run", {"cancelled": cancelled}, author(), match=run.id)
    flash(f"{run.name} is {'cancelled' if cancelled else 'on again'}.")
    return redirect(url_for("schedule.page"))


@blueprint.post("/import")
@needs(*DECIDERS)
def preview() -> ResponseReturnValue:
    """What a list would store, row by row; nothing is stored yet."""
    pit = the_pit()
    settings = pit.definitions.settings
    text = ImportForm().content()
    rows, problems = read_schedule(text, settings["event"], settings["zone"], settings["team"])
    with pit.reading() as state:
        views = _row_views(rows, state)
    return render_template(
        "schedule/preview.html", views=views, problems=problems, text=text, team=settings["team"]
    )


@blueprint.post("/import/store")
@needs(*DECIDERS)
def store() -> ResponseReturnValue:
    """Store the list that was looked at."""
    answer = import_schedule(the_pit(), request.form.get("text", ""), author())
    left = len(answer["problems"])
    remarks = f", {counted(left, 'remark')}" if left else ""
    flash(
        f"{counted(answer['read'], 'match', 'matches')} read, {answer['changed']} new or"
        f" changed{remarks}."
    )
    return redirect(url_for("schedule.page"))


def _show(everybody: bool, tried: MatchForm | None, status: int) -> ResponseReturnValue:
    pit = the_pit()
    now = pit.clock()
    zone_id = pit.definitions.settings["zone"]
    with looking() as view:
        views = run_views(view.moment)
        starts, replays = start_form(view.state, now), replay_form(view.state, now)
    form = tried or MatchForm(formdata=None, day=now.astimezone(zone(zone_id)).date())
    shown = [view for view in views if everybody or view.run.ours]
    return (
        render_template(
            "schedule/schedule.html",
            views=shown,
            off_and_on=[view for view in shown if view.word != "played"],
            everybody=everybody,
            total=len(views),
            form=form,
            tried=tried,
            import_form=ImportForm(formdata=None),
            may_edit=device().role in DECIDERS,
            zone_words=zone_words(zone_id, now),
            start_form=starts,
            replay_form=replays,
        ),
        status,
    )


def _row_views(rows: list[ScheduleRow], state: State) -> list[RowView]:
    known = {run_id.casefold(): run for run_id, run in state.runs.items()}
    bodies = {run_id.casefold(): body for run_id, body in schedule_entries(rows, state)}
    found = []
    for row in rows:
        run, body = known.get(row.run.casefold()), bodies.get(row.run.casefold())
        word = "new" if run is None else "changes" if body else "as it is"
        found.append(RowView(row, word, _differences(row, run, body or {}) if run else ()))
    return found


def _differences(row: ScheduleRow, run: Run, body: Mapping[str, Any]) -> tuple[str, ...]:
    """What changes of a known run, in words."""
    words = {
        "planned": f"time {clock_time(run.planned) or 'not known'} → {clock_time(row.planned)}",
        "ours": f"our station {run.ours or 'none'} → {row.ours or 'none'}",
        "stations": "teams at the stations",
        "label": f"name {run.label} → {row.label}",
    }
    return tuple(text for name, text in words.items() if name in body)


def _for_phones(view: PitView) -> dict[str, Any]:
    """Our matches in order of play."""
    return {"pieces": {"schedule": draw_matches(run_views(view.moment))}}


SCREEN = Screen(
    "schedule", menu="Schedule", place=6, alone="offline/schedule", snapshot=_for_phones
)
