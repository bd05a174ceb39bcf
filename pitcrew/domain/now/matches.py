"""How each match stands: played, next, cancelled or to come, and when it likely starts."""

from dataclasses import dataclass
from datetime import datetime

from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import Run, starts_of


@dataclass(frozen=True)
class RunView:
    """A run with its likely start (UTC) and how it stands: `next`, `played`, `cancelled` or
    empty."""

    run: Run
    expected: datetime | None
    word: str


def run_views(moment: Moment) -> list[RunView]:
    """Every run of the schedule, in order of play."""
    starts = starts_of(moment.state)
    played = {run.id for run, _ in moment.played}
    coming = moment.run.id if moment.run else None

    def word(run: Run) -> str:
        if run.cancelled:
            return "cancelled"
        if run.id in played:
            return "played"
        return "next" if run.id == coming else ""

    return [RunView(run, starts.get(run.id), word(run)) for run in moment.state.runs_in_order()]
