"""One reading: what was measured, the limit that it was judged by, and where phone and laptop
differed."""

from flask import Blueprint, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Missing
from pitcrew.domain.checks.limits import limit_from_dict
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.climb.witness import unwitnessed
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.secondnames import witnesses
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import looking

blueprint = Blueprint("readings", __name__, url_prefix="/readings")


@blueprint.get("/<reading_id>")
@needs(*MEMBERS)
def one(reading_id: str) -> ResponseReturnValue:
    """A reading as it stands, corrected or not."""
    with looking() as view:
        state = view.state
        reading = state.facts.get(reading_id)
        original = state.entries_by_id.get(reading_id)
        corrections = tuple(state.corrections.get(reading_id, ()))
        versions = state.versions(reading_id) if reading_id in state.entries_by_id else []
        waiting = unwitnessed(view.moment)
        seen_by = witnesses(state, reading) if isinstance(reading, ReadingFact) else []
    if original is None or original.kind != "reading":
        raise Missing("There is no such reading in the logbook.")
    if not isinstance(reading, ReadingFact):
        if corrections:
            return redirect(url_for("corrections.page", entry_id=reading_id))
        raise Missing("This reading cannot be read. The logbook keeps it as it came.")
    part_check = view.definitions.part_checks.get(reading.key)
    asked = as_asked(view.moment, part_check, original) if part_check else None
    limit, in_force = _limit(reading), asked.limit if asked else None
    return render_template(
        "readings/one.html",
        reading=reading,
        limit=limit,
        changed=bool(limit and in_force and limit != in_force),
        versions=versions,
        part_check=part_check,
        seen_by=seen_by,
        waiting=next((item for item in waiting if item.of == reading_id), None),
    )


def _limit(reading: ReadingFact):
    try:
        return limit_from_dict(reading.limit) if reading.limit else None
    except BadInput:
        return None
