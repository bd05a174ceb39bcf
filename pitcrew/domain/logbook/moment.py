"""One look at the pit: definitions, state, the time, the run that is next, and what happened since
a point in time."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from operator import itemgetter
from typing import Any, TypeVar

from pitcrew.base.clock import event_day
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.logbook.climbs import Climb, climbs_of, hit_text, was_hit
from pitcrew.domain.logbook.facts import UNKNOWN_PART, Fact, ReadingFact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.logbook.schedule import Run, next_run, played_runs
from pitcrew.domain.logbook.state import State

Answer = TypeVar("Answer")
NO_CLIMB = "no climb this match"
_AS_NOTES = {NO_CLIMB: False, "climb this match": True}
"""How older logbooks have a climb plan: as a note of just these words that names the run."""
ARRIVAL = timedelta(hours=36)
"""Load-in is the afternoon before the first match (common practice): work done since then counts as
done on arrival."""


@dataclass(frozen=True)
class Look:
    """Definitions and state together: what concerns the robot that plays."""

    definitions: Definitions
    state: State

    @property
    def robot(self) -> str | None:
        """The name of the robot that plays."""
        return self.definitions.robot.name if self.definitions.robot else None

    def is_mine(self, robot: str | None) -> bool:
        """Whether something made on `robot` concerns the one that plays; what names no robot
        does."""
        return robot is None or self.robot is None or robot == self.robot

    def mine(self, facts: Iterable[Fact]) -> list[Fact]:
        """Of some facts those that concern the robot that plays."""
        return [fact for fact in facts if self.is_mine(fact.robot)]

    def last_reading(self, key: str, up_to_seq: int | None = None) -> ReadingFact | None:
        """The latest reading of `check@part` on the robot that plays; of those known at
        `up_to_seq`, if given."""
        for fact in reversed(self.state.readings.get(key, [])):
            if self.is_mine(fact.robot) and (up_to_seq is None or fact.seq <= up_to_seq):
                return fact
        return None

    def label(self, part: str) -> str:
        """A part's name for people; its id where no build sheet has it."""
        robot = self.definitions.robot
        return robot.parts[part].label if robot and part in robot.parts else part


@dataclass(frozen=True)
class Moment(Look):
    """A look at one time. `run`: the one to be played next, None where the schedule holds none."""

    now: datetime
    run: Run | None

    @cached_property
    def _known(self) -> dict[object, Any]:
        """What was worked out for this moment, by what it is."""
        return {}

    def once(self, question: object, work: Callable[[], Answer]) -> Answer:
        """The answer to a question, worked out by `work` the first time: a page asks for the same
        several times. `question` may be anything that tells it apart and hashes."""
        if question not in self._known:
            self._known[question] = work()
        answer: Answer = self._known[question]
        return answer

    @cached_property
    def played(self) -> list[tuple[Run, datetime]]:
        """Our runs that are over or under way, with their starts, in order of play."""
        return played_runs(self.state, self.now)

    @cached_property
    def arrival(self) -> datetime | None:
        """From when on work counts as done at this event; None where the event has no match
        times."""
        event = self.definitions.settings["event"]
        times = [
            run.planned for run in self.state.runs.values() if run.planned and run.event == event
        ]
        return min(times) - ARRIVAL if times else None

    @cached_property
    def hits(self) -> list[datetime]:
        """When the debriefs reported a hard hit, a tip, or a climb that went wrong."""
        return [fact.at for fact in self.state.debriefs if was_hit(fact.body.answers)]

    def hit_after(self, at: datetime, until: datetime) -> str:
        """What the first debrief after a point in time (and not after `until`) says about a hit, in
        words: `the debrief of Q66 says the climb did not hold`; empty where none does."""
        for fact in self.state.debriefs:
            if at < fact.at <= until and was_hit(fact.body.answers):
                run = self.state.runs.get(fact.match or "")
                of = f" of {run.label}" if run else ""
                return f"the debrief{of} says {hit_text(fact.body.answers)}"
        return ""

    @cached_property
    def climbs(self) -> list[Climb]:
        """The matches in which the robot climbed or may have, in order of play."""
        planned = bool(self.definitions.settings["climb_planned"])
        return climbs_of(self.played, self.mine(self.state.debriefs), planned)

    @cached_property
    def faults(self) -> list[Fault]:
        """The faults of the robot that plays, as reported."""
        mine = [fault for fault in self.state.faults.values() if self.is_mine(fault.robot)]
        return sorted(mine, key=lambda fault: (fault.at, fault.id))

    @cached_property
    def unplaced(self) -> list[Fault]:
        """Open faults that no build sheet has a place for: on a part that no robot has, or on a
        robot that has no build sheet. A renamed part, a slip: it may be any part of this robot."""
        robots = self.definitions.robots
        return [
            fault
            for fault in self.state.faults.values()
            if not fault.closed
            and (
                (fault.robot is not None and fault.robot not in robots)
                or (self.is_mine(fault.robot) and fault.part in self.unknown_parts)
            )
        ]

    @cached_property
    def unknown_parts(self) -> set[str]:
        """Ids of parts that entries name and no build sheet has; batteries need none."""
        known = {part for robot in self.definitions.robots.values() for part in robot.parts}
        return {
            part
            for part in self.state.touches
            if part not in known and part != UNKNOWN_PART and not part.startswith("battery.")
        }

    @cached_property
    def faults_of_subsystem(self) -> dict[str, list[Fault]]:
        """The same by subsystem, the first word of the part's id."""
        found: dict[str, list[Fault]] = defaultdict(list)
        for fault in self.faults:
            found[fault.part.partition(".")[0]].append(fault)
        return found

    @cached_property
    def repairs(self) -> dict[str, datetime]:
        """When each part was repaired last."""
        found: dict[str, datetime] = {}
        for fault in self.faults:
            if fault.repaired_at is not None:
                found[fault.part] = max(fault.repaired_at, found.get(fault.part, fault.repaired_at))
        return found

    def runs_since(self, at: datetime, until: datetime | None = None) -> list[Run]:
        """Our runs that started after a point in time (and not after `until`)."""
        first = bisect_right(self.played, at, key=itemgetter(1))
        return [run for run, start in self.played[first:] if until is None or start <= until]

    def climbs_since(self, at: datetime, until: datetime | None = None) -> list[Climb]:
        """The climbs after a point in time (and not after `until`)."""
        first = bisect_right(self.climbs, at, key=lambda climb: climb.at)
        return [climb for climb in self.climbs[first:] if until is None or climb.at <= until]

    def same_day(self, at: datetime, day: datetime | None = None) -> bool:
        """Whether a point in time lies on the event day of another, or of now."""
        return event_day(at, self.state.zone) == event_day(day or self.now, self.state.zone)

    def repaired_or_changed(self, part: str) -> datetime | None:
        """When a part was repaired or changed last; None where it never was."""
        changes = self.mine(self.state.part_changes.get(part, []))
        times = [
            time
            for time in (self.repairs.get(part), changes[-1].at if changes else None)
            if time is not None
        ]
        return max(times, default=None)

    def climb_planned(self) -> bool:
        """Whether the robot shall climb in the run that is next: by the settings, unless someone
        decided otherwise for that run."""
        return bool(self.definitions.settings["climb_planned"]) and not self.climb_left_out

    @cached_property
    def climb_left_out(self) -> bool:
        """Whether someone decided that the robot does not climb in the run that is next; of
        several decisions the latest counts."""
        run = self.run.id if self.run else None
        notes = [
            (note.order, _AS_NOTES[words])
            for note in self.state.notes
            if note.match == run and (words := note.body.text.strip().casefold()) in _AS_NOTES
        ]
        plans = [
            (fact.order, fact.body.climbs)
            for fact in self.mine(self.state.climb_plans)
            if fact.match == run
        ]
        return not max([*notes, *plans], default=(None, True))[1]


def moment_now(definitions: Definitions, state: State, now: datetime) -> Moment:
    """The moment of `now`, with our next run."""
    return Moment(definitions, state, now, next_run(state, now))
