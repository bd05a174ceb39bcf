"""Robot logs: dropping one in, saying once which column is which, and looking at what one says."""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue
from wtforms.fields.choices import SelectChoice

from pitcrew.base.errors import BadInput, Missing
from pitcrew.base.units import counted
from pitcrew.domain.batteries.fleet import Battery, measured_ohms
from pitcrew.domain.batteries.records import logs_of
from pitcrew.domain.batteries.wiring import resistance_rose
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.pit.logs import (
    LARGEST,
    LogStore,
    as_read,
    discard,
    import_stored,
    log_of,
    look_into,
    preview,
)
from pitcrew.robotlog.clocks import split_unit
from pitcrew.robotlog.results import answer_of
from pitcrew.robotlog.sentences import bad_row_lines
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import run_choices
from pitcrew.web.log_forms import ColumnsForm, LogForm
from pitcrew.web.request_context import author, looking, the_pit

blueprint = Blueprint("robot_logs", __name__, url_prefix="/batteries/logs")


@blueprint.url_value_preprocessor
def _room_for_a_log(endpoint: str | None, values: dict[str, Any] | None) -> None:
    """A log may be larger than other requests, for a device that has joined."""
    if endpoint == "robot_logs.upload" and "device" in session:
        request.max_content_length = LARGEST


@blueprint.post("")
@needs(*MEMBERS)
def upload() -> ResponseReturnValue:
    """Keep a log; import it at once where its headings are known, else ask which column is
    which."""
    pit = the_pit()
    form = LogForm()
    with looking() as view:
        offer_choices(form, view.moment, view.fleet)
    if not form.validate_on_submit():
        raise BadInput(
            next(error for errors in form.errors.values() for error in errors),
            next(iter(form.errors)),
        )
    store = LogStore(pit.folder)
    with form.file.data.stream as source:
        digest = store.keep(source)
    try:
        layout, _ = look_into(store, digest)
    except BadInput:
        discard(pit, digest)
        raise
    given = {
        "name": form.file.data.filename or "log.csv",
        "battery": form.battery.data,
        "match": form.match.data or "",
    }
    if store.remembered(layout) is None and log_of(the_pit(), digest) is None:
        return redirect(url_for("robot_logs.columns", digest=digest, **given))
    try:
        return _imported(digest, given, None)
    except BadInput as error:
        if error.field != "time":
            raise
    return redirect(url_for("robot_logs.columns", digest=digest, **given))


@blueprint.route("/<digest>/columns", methods=["GET", "POST"])
@needs(*MEMBERS)
def columns(digest: str) -> ResponseReturnValue:
    """Which column is which, proposed from the headings and confirmed once; for a log that the
    logbook has, as it was read."""
    stored = log_of(the_pit(), digest)
    layout, proposed = look_into(LogStore(the_pit().folder), digest)
    if stored is not None:
        proposed = as_read(stored.entry.body["columns"], proposed)
    name, unit = split_unit(proposed.get("time", ""), [head.text for head in layout.heads])
    form = ColumnsForm(data={**proposed, "time": name, "unit": unit})
    form.offer(layout)
    given = _given(stored)
    if form.validate_on_submit() and "look" not in request.form:
        try:
            return _imported(digest, given, form.columns())
        except BadInput as error:
            if error.field != "time":
                raise
            form.unit.errors = [*form.unit.errors, _question(error)]
    says, why_not = _says(digest, given, form)
    return render_template(
        "batteries/columns.html",
        says=says,
        why_not=why_not,
        layout=layout,
        form=form,
        given=given,
        digest=digest,
        stored=stored,
    ), (400 if form.errors else 200)


def _says(
    digest: str, given: dict[str, str], form: ColumnsForm
) -> tuple[dict[str, Any] | None, str]:
    """What the log says by the columns that are in the form, or why it cannot be read so."""
    columns = form.columns()
    if not split_unit(columns["time"], [])[0] or not columns["voltage"]:
        return None, "Pick the clock and the voltage first."
    try:
        return preview(the_pit(), digest, given["battery"], bool(given["match"]), columns), ""
    except BadInput as error:
        return None, _question(error)


def _question(error: BadInput) -> str:
    """What is wrong, without what helps only on the command line."""
    return error.sentence.rpartition(" Say ")[0] if error.field == "time" else error.sentence


def _given(stored: Fact | None) -> dict[str, str]:
    """File name, battery and match of a log: as the logbook has them, else as the form before
    said."""
    if stored is None:
        return {name: request.values.get(name, "") for name in ("name", "battery", "match")}
    body = stored.body
    return {"name": body.name, "battery": body.battery, "match": stored.match or ""}


@blueprint.get("/<digest>")
@needs(*MEMBERS)
def one(digest: str) -> ResponseReturnValue:
    """What a log says, its plot, and how it stands among this robot's earlier ones."""
    pit = the_pit()
    fact = log_of(the_pit(), digest)
    if fact is None:
        raise Missing("This log is not in the logbook. Import it on the page Batteries.")
    with looking() as view:
        state, logs = view.state, logs_of(view.moment)
        corrections = tuple(state.corrections.get(fact.id, ()))
        first = state.entries_by_id[fact.id] if corrections else None
        rose = resistance_rose(
            [fact for fact in logs if not fact.body.doubts], measured_ohms(view.fleet)
        )
    course = LogStore(pit.folder).course(digest)
    return render_template(
        "batteries/log.html",
        fact=fact,
        log=answer_of(fact.entry.body),
        course=course,
        bad_lines=list(bad_row_lines(course["bad"], fact.body.bad_rows)) if course else [],
        logs=list(reversed(logs)),
        rose=rose,
        corrections=corrections,
        first=first,
        brown_out=pit.definitions.settings["brown_out"],
    )


def offer_choices(form: LogForm, moment: Moment, batteries: Sequence[Battery]) -> None:
    """The batteries, that of the last match first chosen, and the matches played, the last one
    chosen."""
    played = [run for run, _ in reversed(moment.played)]
    form.match.choices = [SelectChoice("", "no match"), *run_choices(played)]
    form.battery.choices = [SelectChoice(item.name, item.part.label) for item in batteries]
    if not form.is_submitted():
        last = played[0].id if played else ""
        form.match.data = last
        form.battery.data = next(
            (item.name for item in batteries if last and last in item.record.matches), None
        )


def _imported(
    digest: str, given: dict[str, str], chosen: dict[str, str] | None
) -> ResponseReturnValue:
    answer = import_stored(
        the_pit(),
        digest,
        given["name"],
        given["battery"],
        given["match"] or None,
        chosen,
        author=author(),
    )
    if answer.get("corrected"):
        flash("Corrected: what the log said before stays in the logbook as its first reading.")
    elif answer["known"]:
        flash("This log is in the logbook already; nothing was added.")
    else:
        left_out = (
            f", {counted(answer['bad_rows'], 'bad row')} left out" if answer["bad_rows"] else ""
        )
        flash(
            " ".join(
                [f"Stored: {counted(answer['rows'], 'row')} read{left_out}.", *answer["remarks"]]
            )
        )
    return redirect(url_for("robot_logs.one", digest=digest))
