"""Parts: one part's specification, limits, latest readings and faults; and recording that it was
changed."""

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import UnknownName
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.now.view import PitView
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import parts_by_zone
from pitcrew.web.filters import clock_time, measure
from pitcrew.web.forms import PartChangeForm
from pitcrew.web.request_context import author, looking, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("parts", __name__, url_prefix="/parts")
SCREEN = Screen("parts")
TREND = 12


@dataclass(frozen=True)
class CheckView:
    """A check of the part with its latest readings, oldest first."""

    part_check: PartCheck
    readings: tuple[ReadingFact, ...]

    @property
    def last(self) -> ReadingFact | None:
        """The latest reading."""
        return self.readings[-1] if self.readings else None

    @property
    def is_good(self) -> bool:
        """Whether the latest reading was ok; the page folds it."""
        return self.last is not None and self.last.verdict == "ok"

    @property
    def points(self) -> list[dict[str, Any]]:
        """The readings that came to a number, for the trend; one that could not be judged is not
        joined to the others."""
        return [
            {
                "label": clock_time(reading.at),
                "value": reading.result,
                "verdict": reading.verdict,
                "joined": reading.verdict != "unjudged",
            }
            for reading in self.readings
            if isinstance(reading.result, int | float) and has_bounds(self.part_check)
        ]


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """All parts by zone."""
    return render_template("parts/parts.html", zones=parts_by_zone())


@blueprint.route("/<part_id>", methods=["GET", "POST"])
@needs(*MEMBERS)
def one(part_id: str) -> ResponseReturnValue:
    """One part, and the form that records its change."""
    pit = the_pit()
    part = _part(part_id)
    form = PartChangeForm()
    if form.validate_on_submit():
        with looking() as view:
            run = view.run
        body = {
            "part": part.id,
            "identical": form.identical.data == "yes",
            "old": form.old.data or "",
            "new": form.new.data or "",
        }
        pit.record("part_change", body, author(), match=run.id if run else None)
        flash("The change is recorded. Checks that are due after a change are on the list now.")
        return redirect(url_for("parts.one", part_id=part.id))
    with looking() as view:
        shown = _view(view, part)
    return render_template("parts/one.html", part=part, form=form, specs=_specs(part), **shown), (
        400 if form.errors else 200
    )


def has_bounds(item: PartCheck) -> bool:
    """Whether a check's limit has a number that can be drawn."""
    limit = item.limit
    return limit is not None and any(
        bound is not None
        for bound in (limit.stop_low, limit.watch_low, limit.watch_high, limit.stop_high)
    )


def _view(view: PitView, part: Part) -> dict[str, Any]:
    state = view.state
    checks = [
        CheckView(as_asked(view.moment, item), tuple(state.readings.get(item.key, [])[-TREND:]))
        for item in view.definitions.part_checks.values()
        if item.part.id == part.id
    ]
    faults = sorted(
        (fault for fault in state.faults.values() if fault.part == part.id),
        key=lambda fault: fault.at,
        reverse=True,
    )
    temporaries = [
        item for item in state.temporaries.values() if item.part == part.id and item.open
    ]
    changes = list(reversed(state.part_changes.get(part.id, [])))
    return {"checks": checks, "faults": faults, "temporaries": temporaries, "changes": changes}


def _specs(part: Part) -> list[tuple[str, str]]:
    """What the build sheet says of a part, as (meaning, value): as typed, or the default in the
    team's units."""
    fields = KINDS[part.kind].fields if part.kind in KINDS else ()
    return [
        (field.meaning, part.typed.get(field.name) or _shown(field.kind, part.specs[field.name]))
        for field in fields
        if field.name in part.specs or field.name in part.open
    ]


def _shown(kind: str, value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return measure(value, kind) if kind in SI_UNIT else str(value)


def _part(part_id: str) -> Part:
    """A part of any robot of the pit. Raises UnknownName."""
    definitions = the_pit().definitions
    robots = [robot for robot in (definitions.robot, *definitions.robots.values()) if robot]
    found = next((robot.parts[part_id] for robot in robots if part_id in robot.parts), None)
    if found is None:
        raise UnknownName("The part", part_id, {name for robot in robots for name in robot.parts})
    return found
