"""The plan: who makes which due check when in the minutes left, and what does not fit."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.domain.now.workplan import CLOSED, Piece, WorkPlan, work_plan
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import looking
from pitcrew.web.screen import Screen

blueprint = Blueprint("plan", __name__, url_prefix="/plan")
SCREEN = Screen("plan")
MOST_MINUTES = 24 * 60


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The plan for whoever is named, in the minutes that are named or left."""
    typed = {name: request.args.get(name, "").strip() for name in ("people", "minutes")}
    with looking() as view:
        left = view.turnaround.seconds_left
        seconds = None if left is None else max(0.0, left - CLOSED)
        crew = view.definitions.settings["crew"]
        people = [name.strip() for name in typed["people"].split(",") if name.strip()]
        people = people or [f"Person {number + 1}" for number in range(crew)]
        error, plan = "", None
        try:
            seconds = 60 * _minutes(typed["minutes"]) if typed["minutes"] else seconds
            plan = work_plan(view.due, people, seconds)
        except BadInput as problem:
            error = problem.sentence
    return render_template(
        "plan/plan.html",
        plan=plan,
        error=error,
        typed=typed,
        minutes=None if seconds is None else seconds / 60,
        hands=_by_person(plan, people) if plan else {},
    ), (400 if error else 200)


def _minutes(text: str) -> float:
    """The minutes typed. Raises BadInput."""
    try:
        minutes = float(text.replace(",", "."))
    except ValueError:
        minutes = -1.0
    if not 0 <= minutes <= MOST_MINUTES:
        raise BadInput(f"{text!r} is no time. Type minutes from 0 to {MOST_MINUTES}.", "minutes")
    return minutes


def _by_person(plan: WorkPlan, people: list[str]) -> dict[str, list[Piece]]:
    """What each person does, in order."""
    return {
        name: sorted(
            (piece for piece in plan.pieces if name in piece.people), key=lambda piece: piece.start
        )
        for name in people
    }
