"""Faults: what is open, reporting one, one fault with its history, and its moves."""

from typing import Any

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms.fields.choices import SelectChoice

from pitcrew.base.errors import Missing
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.faults import Fault, allowed_moves, is_expired
from pitcrew.domain.logbook.people import MAY_DEFER
from pitcrew.domain.logbook.proofs import check_that_found, proofs
from pitcrew.domain.logbook.schedule import runs_to_come
from pitcrew.domain.logbook.secondnames import deferral_confirmed
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.view import PitView
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import part_choices, run_choices
from pitcrew.web.drawings import draw_fault_forms
from pitcrew.web.fault_forms import MOVE_FORMS, FaultForm, MoveForm
from pitcrew.web.request_context import author, device, looking, the_photos, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("faults", __name__, url_prefix="/faults")
GROUPS = ("open", "deferred", "repaired", "closed")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """All faults by what is left to do."""
    groups: dict[str, list[tuple[Fault, bool]]] = {name: [] for name in GROUPS}
    with looking() as view:
        state, run = view.state, view.run
        for fault in sorted(state.faults.values(), key=lambda fault: fault.at, reverse=True):
            expired = is_expired(fault, state, run)
            name = "open" if expired else "closed" if fault.closed else fault.state
            groups[name].append((fault, expired))
    return render_template("faults/faults.html", groups=groups)


@blueprint.route("/new", methods=["GET", "POST"])
@needs(*MEMBERS)
def new() -> ResponseReturnValue:
    """Report a fault, filled in from a reading where the address names one."""
    pit = the_pit()
    form = FaultForm(data=None if request.method == "POST" else _first_values())
    form.part.choices = part_choices()
    with looking() as view:
        runs, coming = [run for run, _ in reversed(view.moment.played)], view.run
        reading = view.state.facts.get(form.reading.data or "")
    form.match.choices = [
        SelectChoice("", "Not in a match"),
        *run_choices(runs),
        *run_choices([coming] if coming else []),
    ]
    if form.validate_on_submit():
        body = {
            "part": form.part.data,
            "symptom": form.symptom.data,
            "grade": form.grade.data,
            "reading": form.reading.data or None,
        }
        fault = pit.record("fault", body, author(), match=form.match.data or None)
        flash("The fault is logged. Its photos can be added below.")
        return redirect(url_for("faults.one", fault_id=fault.id))
    return render_template("faults/new.html", form=form, reading=reading), (
        400 if form.errors else 200
    )


@blueprint.get("/<fault_id>")
@needs(*MEMBERS)
def one(fault_id: str) -> ResponseReturnValue:
    """One fault: what it is, what became of it, and the moves that are allowed now."""
    return _show(fault_id)


@blueprint.post("/<fault_id>/<to>")
@needs(*MEMBERS)
def move(fault_id: str, to: str) -> ResponseReturnValue:
    """Move a fault. What the table of moves does not allow by now is kept and shown as a
    conflict."""
    if to not in MOVE_FORMS:
        abort(404)
    pit = the_pit()
    form = _form(to, fault_id)
    if not form.validate_on_submit():
        return _show(fault_id, {to: form}, 400)
    with looking() as view:
        run = view.run
    entry = pit.record(
        "fault_move",
        {"fault": fault_id, "to": to, **form.body()},
        author(),
        match=run.id if run else None,
    )
    with pit.reading() as state:
        conflicts = dict(state.faults[fault_id].conflicts)
    if entry.id in conflicts:
        flash(conflicts[entry.id], "error")
    else:
        flash(DONE[to])
    return redirect(url_for("faults.one", fault_id=fault_id))


DONE = {
    "repaired": "Recorded as repaired. A passing reading taken from now on proves it.",
    "deferred": "Recorded as deferred: it may play until then.",
    "proven": "Recorded as proven: the repair holds.",
    "no_fault_found": "Recorded as no fault found. It stays in the count.",
    "open": "The fault is open again.",
}


def _first_values() -> dict[str, Any]:
    """What the address and the reading that it names fill in; the match is the one played last."""
    with looking() as view:
        played, reading = view.moment.played, view.state.facts.get(request.args.get("reading", ""))
    values = {
        "part": request.args.get("part", ""),
        "match": played[-1][0].id if played else "",
        "grade": request.args.get("grade", ""),
        "symptom": request.args.get("symptom", "")[:200],
    }
    if isinstance(reading, ReadingFact):
        values |= {
            "reading": reading.id,
            "part": reading.part,
            "symptom": reading.sentence[:200],
            "match": reading.match or "",
        }
        values["grade"] = "stop" if reading.verdict == "stop" else "watch"
    return values


def _show(
    fault_id: str, tried: dict[str, MoveForm] | None = None, status: int = 200
) -> ResponseReturnValue:
    """The page of a fault; `tried` holds a form that came back with something wrong in it."""
    with looking() as view:
        state = view.state
        fault = _fault(state, fault_id)
        expired = is_expired(fault, state, view.run)
        reading = state.facts.get(fault.reading or "")
        check = check_that_found(state, fault)
        confirmed = deferral_confirmed(state, fault)
        notes = [note.body for note in state.notes if note.body.fault == fault_id]
    named = [*fault.photos, *(photo for note in notes for photo in note.photos)]
    forms = {to: _form(to, fault_id) for to in MOVE_FORMS if to in allowed_moves(fault)} | (
        tried or {}
    )
    checks = [
        item
        for item in view.definitions.part_checks.values()
        if item.part.id == fault.part and check in ("", item.check.id)
    ]
    robot = view.definitions.robot
    critical = (
        robot is not None and fault.part in robot.parts and robot.parts[fault.part].climb_critical
    )
    return (
        render_template(
            "faults/one.html",
            fault=fault,
            expired=expired,
            reading=reading,
            forms=forms,
            tried=tried or {},
            checks=checks,
            climb_critical=critical,
            wants_name=critical and not confirmed,
            may_defer=device().role in MAY_DEFER,
            conflicts=dict(fault.conflicts),
            photos=[photo for photo in named if the_photos().has(photo)],
            awaited=sum(not the_photos().has(photo) for photo in named),
        ),
        status,
    )


def _form(to: str, fault_id: str) -> MoveForm:
    """The form of a move with what can be picked for it."""
    form = MOVE_FORMS[to](prefix=f"{to}-")
    with looking() as view:
        state, fault = view.state, _fault(view.state, fault_id)
        if to == "deferred":
            form.until.choices = run_choices(runs_to_come(state, view.now))
        elif to == "proven":
            form.reading.choices = [
                SelectChoice(item.id, item.sentence) for item in reversed(proofs(state, fault))
            ]
    return form


def _fault(state: State, fault_id: str) -> Fault:
    if fault_id not in state.faults:
        raise Missing(
            "There is no such fault in the logbook. It may have been taken out by a correction."
        )
    return state.faults[fault_id]


def _for_phones(view: PitView) -> dict[str, Any]:
    """The fields for logging a fault, and for saying that one is repaired."""
    return {"fixed": draw_fault_forms()}


SCREEN = Screen(
    "faults", menu="Faults", place=3, script="photos", alone="offline/faults", snapshot=_for_phones
)
