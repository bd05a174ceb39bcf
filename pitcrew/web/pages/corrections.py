"""An entry that was wrong: correct it, take it back, or put back what was taken back by mistake.

The original stays in the logbook. Who may is what the logbook itself allows: its author on the same
device, and the pit lead.
"""

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict
from wtforms.fields.choices import SelectChoice

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import Entry
from pitcrew.base.errors import Missing, Refused
from pitcrew.base.kinds import a_spoken
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.logbook.corrections import why_not_correctable
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.people import why_refused
from pitcrew.domain.now.view import PitView
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import part_choices, run_choices
from pitcrew.web.correction_forms import (
    BatteryMoveCorrection,
    CorrectionForm,
    FaultCorrection,
    TakeBackForm,
    TemporaryCorrection,
    answers,
    reading_form,
)
from pitcrew.web.request_context import author, device, looking, the_pit

blueprint = Blueprint("corrections", __name__, url_prefix="/corrections")
FORMS: dict[str, type[CorrectionForm]] = {
    "fault": FaultCorrection,
    "temporary": TemporaryCorrection,
    "battery_move": BatteryMoveCorrection,
}
BY_MISTAKE = "Taken by mistake"


@blueprint.get("/<entry_id>")
@needs(*MEMBERS)
def page(entry_id: str) -> ResponseReturnValue:
    """What an entry says now, how it can be corrected, and how it stood before."""
    return _show(entry_id)


@blueprint.post("/<entry_id>")
@needs(*MEMBERS)
def correct(entry_id: str) -> ResponseReturnValue:
    """Record what the entry should have said."""
    with looking() as view:
        original, now = _entry(view, entry_id), view.state.facts.get(entry_id)
        form = _form(view, original, now, request.form)
    if now is None or form is None:
        raise Refused("This entry cannot be corrected, only taken back. Reload the page.")
    if not form.validate_on_submit():
        return _show(entry_id, form, 400)
    _record(original, form.body(now.entry.body), form.why.data, form.match.data or "")
    flash("Corrected. What it said before stays in the logbook.")
    return redirect(_where(original, taken=False))


@blueprint.post("/<entry_id>/mistake")
@needs(*MEMBERS)
def mistake(entry_id: str) -> ResponseReturnValue:
    """The entry counts no more."""
    with looking() as view:
        original, now = _entry(view, entry_id), view.state.facts.get(entry_id)
    if now is None and view.state.corrections.get(entry_id):
        raise Refused("It was taken back before and counts no more. Nothing was written down.")
    form = TakeBackForm()
    _record(original, None, form.why.data or BY_MISTAKE)
    flash("Taken back. It counts no more; the logbook keeps it.")
    return redirect(_where(original, taken=True))


@blueprint.post("/<entry_id>/back")
@needs(*MEMBERS)
def back(entry_id: str) -> ResponseReturnValue:
    """What was taken back counts again, as it last stood."""
    with looking() as view:
        original, now = _entry(view, entry_id), view.state.facts.get(entry_id)
        stood = [entry for entry, _ in view.state.versions(entry_id) if entry is not None]
    if now is not None:
        raise Refused("It was never taken back, or it counts again. Nothing was written down.")
    _record(original, stood[-1].body, "It was right after all", stood[-1].match or "")
    flash("It counts again.")
    return redirect(_where(original, taken=False))


def _entry(view: PitView, entry_id: str) -> Entry:
    original = view.state.entries_by_id.get(entry_id)
    if original is None or original.kind == "correction":
        raise Missing("There is no such entry in the logbook. Reload the page that you came from.")
    return original


def _why_not(original: Entry) -> str:
    """Why this device may not correct an entry, in one sentence; empty where it may."""
    if sentence := why_not_correctable(original):
        return sentence
    asked = author()
    tried = Entry(
        id="",
        kind="correction",
        at=format_instant(the_pit().clock()),
        device=asked.device,
        person=asked.person,
        body={"of": original.id, "body": original.body, "why": ""},
    )
    return why_refused(asked.role, tried, original)


def _record(original: Entry, body: dict[str, Any] | None, why: str, match: str | None = None):
    if sentence := why_not_correctable(original):
        raise Refused(sentence)
    correction: dict[str, Any] = {"of": original.id, "body": body, "why": why}
    if match is not None:
        correction["match"] = match
    the_pit().record("correction", correction, author(), match=original.match)


def _form(
    view: PitView, original: Entry, now: Fact | None, typed: MultiDict[str, str] | None = None
) -> CorrectionForm | None:
    """The form for an entry's kind, filled in with what it says now; None where it can only be
    taken back."""
    if now is None:
        return None
    body = now.entry.body
    values: dict[str, Any] = {**body, "match": now.match or "", "why": "Typed wrong"}
    kind = FORMS.get(original.kind)
    if original.kind == "reading":
        part_check = view.definitions.part_checks.get(f"{body['check']}@{body['part']}")
        if part_check is None:
            return None
        kind = reading_form(as_asked(view.moment, part_check, original))
        values |= answers(body.get("inputs", {}))
    if kind is None:
        return None
    form = kind(typed, data=None if typed else values)
    form.match.choices = _matches(view, now.match)
    if "part" in form:
        form.part.choices = part_choices()
    return form


def _matches(view: PitView, now: str | None) -> list[SelectChoice]:
    """The matches that were played, the one to come, and the one that the entry names."""
    runs = [run for run, _ in reversed(view.moment.played)]
    runs = [*([view.run] if view.run else []), *runs]
    named = view.state.runs.get(now or "")
    if named is not None and named not in runs:
        runs.append(named)
    return [SelectChoice("", "Not in a match"), *run_choices(runs)]


def _show(entry_id: str, form: CorrectionForm | None = None, status: int = 200):
    with looking() as view:
        original = _entry(view, entry_id)
        now = view.state.facts.get(entry_id)
        form = form or _form(view, original, now)
        versions = view.state.versions(entry_id)
        robot = view.definitions.robot
        parts = robot.parts if robot else {}
        critical = any(
            part in parts and parts[part].climb_critical for part in (now.parts if now else ())
        )
    return (
        render_template(
            "corrections/correct.html",
            original=original,
            word=a_spoken(original.kind),
            about=_about(view, (now.entry if now else original).body),
            labels=_labels(view, original.body),
            fact=now,
            form=form,
            take_back=TakeBackForm(formdata=None, data={"why": BY_MISTAKE}),
            why_not=_why_not(original),
            versions=versions,
            critical=critical,
            mine=original.person == device().person,
        ),
        status,
    )


def _about(view: PitView, body: dict[str, Any]) -> str:
    """The check and the part that an entry is about, by their names; empty for one about
    neither."""
    item = view.definitions.part_checks.get(f"{body.get('check')}@{body.get('part')}")
    check = item.check.label if item else str(body.get("check") or "")
    part = view.moment.label(body["part"]) if isinstance(body.get("part"), str) else ""
    return ", ".join(name for name in (check, part) if name)


def _labels(view: PitView, body: dict[str, Any]) -> dict[str, str]:
    """What the inputs of a reading are called, by name; empty for another entry."""
    item = view.definitions.part_checks.get(f"{body.get('check')}@{body.get('part')}")
    return {field.name: field.label for field in item.check.inputs} if item else {}


def _where(original: Entry, taken: bool) -> str:
    """The page on which the corrected entry is seen."""
    body = original.body
    if original.kind == "reading" and not taken:
        return url_for("readings.one", reading_id=original.id)
    if original.kind == "fault":
        return url_for("faults.page") if taken else url_for("faults.one", fault_id=original.id)
    if original.kind == "fault_move":
        return url_for("faults.one", fault_id=body["fault"])
    if original.kind in ("temporary", "temporary_undone"):
        return url_for("temporary.page")
    if original.kind == "battery_move":
        return url_for("batteries.page", _anchor=body["battery"])
    return url_for("corrections.page", entry_id=original.id)
