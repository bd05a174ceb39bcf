"""Patterns: what fails again, and how sure that is."""

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue

from pitcrew.domain.moment import Moment
from pitcrew.domain.patterns import FEW, faults_by_part, faults_by_subsystem, share_of
from pitcrew.domain.schedule import next_run
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.here import the_pit

blueprint = Blueprint("patterns", __name__, url_prefix="/patterns")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Faults by part and by subsystem, with the matches in which they could have happened."""
    pit = the_pit()
    now = pit.clock()
    with pit.reading() as state:
        moment = Moment(pit.definitions, state, now, next_run(state, now))
        parts, subsystems, played = faults_by_part(moment), faults_by_subsystem(moment), len(moment.played)
    return render_template(
        "patterns/patterns.html", parts=parts, subsystems=subsystems, played=played, few=played < FEW, clean=share_of(0, played),
    )
