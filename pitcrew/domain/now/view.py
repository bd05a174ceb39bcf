"""One view of the pit: what follows from definitions, state and time, each thing worked out once
and only when someone asks.

Pages, sheets, the snapshot and commands read one view instead of working out the same lists again.
"""

from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from pitcrew.domain.batteries.fleet import Battery, fleet
from pitcrew.domain.batteries.ranking import chosen_of
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.clearance import ClimbClearance, decision_of, with_missing
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.moment import Moment, moment_now
from pitcrew.domain.logbook.schedule import Run
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.due import DueCheck, done_checks, due_checks
from pitcrew.domain.now.history import ZoneState, map_rows, zone_states
from pitcrew.domain.now.readiness import Readiness, readiness
from pitcrew.domain.now.snapshot_shape import ZoneRow
from pitcrew.domain.now.turnaround import Turnaround, turnaround


@dataclass(frozen=True, eq=False)
class PitView:
    """Everything that follows from one moment.

    A state grows with each entry, so a view is good for the head that it was made at: no one may
    advance the state while a view works something out (`Pit.reading` holds it still), and
    `is_current` says whether it moved on since.
    """

    moment: Moment
    head: int = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "head", self.moment.state.head)

    def is_current(self, definitions: Definitions, state: State) -> bool:
        """Whether these are still the definitions and the head that this view was made from."""
        mine = self.moment
        return mine.definitions is definitions and mine.state is state and self.head == state.head

    @property
    def definitions(self) -> Definitions:
        """The definitions in force."""
        return self.moment.definitions

    @property
    def state(self) -> State:
        """The facts of the logbook."""
        return self.moment.state

    @property
    def now(self) -> datetime:
        """The time, in UTC."""
        return self.moment.now

    @property
    def run(self) -> Run | None:
        """Our run that is next; None where the schedule holds none."""
        return self.moment.run

    @cached_property
    def fleet(self) -> list[Battery]:
        """Every battery of the build sheet and of the logbook, by name."""
        return fleet(self.moment)

    @cached_property
    def battery(self) -> Battery | None:
        """The battery to take next, fit for a match or not."""
        return chosen_of(self.fleet)

    @cached_property
    def decision(self) -> ClimbClearance:
        """What became of the captain's last decision; what is missing is not worked out for it."""
        return decision_of(self.moment)

    @cached_property
    def clearance(self) -> ClimbClearance:
        """Whether the climb is cleared, and what is missing for it."""
        return with_missing(self.moment, self.decision)

    @cached_property
    def due(self) -> list[DueCheck]:
        """The checks that are due for the next run, the most dangerous to leave out first."""
        return due_checks(self.moment, self.fleet, self.decision.cleared)

    @cached_property
    def done(self) -> list[ReadingFact]:
        """The readings that make their check done for this turnaround, oldest first."""
        return done_checks(self.moment, self.due)

    @cached_property
    def clock(self) -> Turnaround:
        """The same times without the checks, which every page shows and which are quick to tell."""
        return turnaround(self.moment, [])

    @cached_property
    def turnaround(self) -> Turnaround:
        """When the crew must leave, and which of the due checks fit into the time left."""
        return turnaround(self.moment, self.due)

    @cached_property
    def readiness(self) -> Readiness:
        """Whether the robot may play the next run, with every reason."""
        return readiness(self.moment, self.due, self.fleet, self.clearance)

    @cached_property
    def zones(self) -> dict[str, ZoneState]:
        """How each zone of the robot that plays stands, by its id."""
        return zone_states(self.moment, self.due, self.done)

    @cached_property
    def map_zones(self) -> list[ZoneRow]:
        """The same as the robot map needs it, in the order of the build sheet."""
        return map_rows(self.definitions.robot, self.zones)


def view_of(definitions: Definitions, state: State, now: datetime) -> PitView:
    """The view of the pit at `now` (UTC), for our next run."""
    return PitView(moment_now(definitions, state, now))
