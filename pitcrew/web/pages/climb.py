"""Climb: whether the climb is cleared, what voided it, what is missing, and every climb-critical fact on one screen."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from pitcrew.domain.buildsheet import Part
from pitcrew.domain.clearance import ClimbClearance, climb_checks, climb_clearance
from pitcrew.domain.definitions import Definitions
from pitcrew.domain.facts import ReadingFact
from pitcrew.domain.limits import PartCheck
from pitcrew.domain.moment import Moment
from pitcrew.domain.runs import Run
from pitcrew.domain.schedule import next_run
from pitcrew.domain.snapshot import href
from pitcrew.domain.state import State
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.here import the_pit

blueprint = Blueprint("climb", __name__, url_prefix="/climb")


@dataclass(frozen=True)
class PartFacts:
    """A climb-critical part with the last reading of each of its checks; None where a check was never done."""

    part: Part
    checks: tuple[tuple[PartCheck, ReadingFact | None], ...]


@dataclass(frozen=True)
class ClimbFacts:
    """All that the captain decides on, as of entry `head`."""

    clearance: ClimbClearance
    parts: tuple[PartFacts, ...]
    run: Run | None
    planned: bool
    head: int


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The facts, for everybody to read."""
    pit = the_pit()
    definitions = pit.reload()
    with pit.reading() as state:
        facts = climb_facts(definitions, state, pit.clock())
    missing = [(item.text, href(item.kind, item.ref)) for item in facts.clearance.missing]
    return render_template("climb/climb.html", facts=facts, missing=missing, robot=definitions.robot)


def climb_facts(definitions: Definitions, state: State, now: datetime) -> ClimbFacts:
    """The climb-critical facts for the run that is next."""
    run = next_run(state, now)
    moment = Moment(definitions, state, now, run)
    by_part: dict[str, list[tuple[PartCheck, ReadingFact | None]]] = defaultdict(list)
    for item in climb_checks(definitions):
        by_part[item.part.id].append((item, moment.last_reading(item.key)))
    parts = definitions.robot.parts.values() if definitions.robot else ()
    found = tuple(PartFacts(part, tuple(by_part[part.id])) for part in parts if part.climb_critical or part.id in by_part)
    return ClimbFacts(climb_clearance(definitions, state, now, run), found, run, moment.climb_planned(), state.head)
