"""What patterns are counted from: our runs in order of play with their robot and climb, the faults,
and when each happened."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property, wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from pitcrew.base.clock import event_day
from pitcrew.base.errors import UnknownName
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.logbook.climbs import said_climbed
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.logbook.moment import ARRIVAL
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.logbook.schedule import played_runs, runs_to_come
from pitcrew.domain.logbook.state import State
from pitcrew.domain.robot.buildsheet import Part

AFTERWARDS = timedelta(hours=12)
"""How long after its last match a fault without a match still belongs to an event."""

MOST_KEPT = 500
"""So many answers are kept with a record; then the oldest go."""
Arguments = ParamSpec("Arguments")
Answer = TypeVar("Answer")


def kept(
    question: Callable[Concatenate["Record", Arguments], Answer],
) -> Callable[Concatenate["Record", Arguments], Answer]:
    """A question that is worked out once for a record and its arguments."""

    @wraps(question)
    def ask(record: "Record", /, *arguments: Arguments.args, **named: Arguments.kwargs) -> Answer:
        key, known = (question, arguments, *named.items()), record.known
        if key not in known:
            found = question(record, *arguments, **named)
            while len(known) >= MOST_KEPT:
                del known[next(iter(known))]
            known[key] = found
        answer: Answer = known[key]
        return answer

    return ask


def lasting(
    record: "Record", name: tuple[str, ...], made_from: Any, work: Callable[[], Answer]
) -> Answer:
    """What `work` makes, from an earlier head where it was `made_from` the same: a new entry
    changes few of many lists."""
    known = record.lasting.get(name)
    if known is None or known[0] != made_from:
        known = record.lasting[name] = (made_from, work())
    return known[1]


@dataclass(frozen=True)
class Scope:
    """What is looked at: an event, a season (a year), a robot, a part or the first words of its id;
    empty for all."""

    event: str = ""
    season: str = ""
    robot: str = ""
    part: str = ""

    def has_part(self, part: str) -> bool:
        """Whether a part is looked at: itself, or of the subsystem or group that is named."""
        return not self.part or part == self.part or part.startswith(f"{self.part}.")

    def has_robot(self, robot: str | None) -> bool:
        """Whether a robot is looked at; what names none counts for each."""
        return not self.robot or robot is None or robot == self.robot


@dataclass(frozen=True)
class Played:
    """One of our runs that is over or under way: its start, its place in order of play from 1, its
    robot, whether it climbed."""

    run: Run
    start: datetime
    place: int
    season: str
    robot: str | None
    climbed: bool


@dataclass(frozen=True, eq=False)
class Record:
    """One state seen at one time, good only for that head: no one may advance the state meanwhile
    (`State.still`).

    `known` holds what was worked out from it, `lasting` what outlives it (`lasting`).
    """

    definitions: Definitions
    state: State
    now: datetime
    known: dict[tuple[Any, ...], Any] = field(default_factory=dict, repr=False)
    lasting: dict[tuple[str, ...], tuple[Any, Any]] = field(default_factory=dict, repr=False)

    @cached_property
    def played(self) -> tuple[Played, ...]:
        """All our runs that are over or under way, in order of play; a replay is one more."""
        climbs = self._climbs()
        return tuple(
            Played(
                run,
                start,
                place,
                event_day(start, self.state.zone)[:4],
                self._robot_of(run.id),
                climbs.get(run.id, False),
            )
            for place, (run, start) in enumerate(played_runs(self.state, self.now), 1)
        )

    @cached_property
    def played_by_id(self) -> dict[str, Played]:
        """The same by run."""
        return {item.run.id: item for item in self.played}

    @cached_property
    def coming(self) -> list[Run]:
        """Our runs that have not started, in order of play."""
        return runs_to_come(self.state, self.now)

    @cached_property
    def faults(self) -> tuple[Fault, ...]:
        """All faults in order of time."""
        return tuple(sorted(self.state.faults.values(), key=lambda fault: (fault.at, fault.id)))

    @cached_property
    def events(self) -> tuple[str, ...]:
        """The events with a match of ours, in order of play."""
        return tuple(dict.fromkeys(item.run.event for item in self.played))

    @cached_property
    def seasons(self) -> tuple[str, ...]:
        """The years with a match of ours."""
        return tuple(sorted({item.season for item in self.played}))

    @cached_property
    def robots(self) -> tuple[str, ...]:
        """The robots that played."""
        return tuple(dict.fromkeys(item.robot for item in self.played if item.robot))

    @cached_property
    def checks_of_part(self) -> dict[str, tuple[PartCheck, ...]]:
        """The checks of every part of the build sheet that plays."""
        found: dict[str, list[PartCheck]] = defaultdict(list)
        for item in self.definitions.part_checks.values():
            found[item.part.id].append(item)
        return {part: tuple(items) for part, items in found.items()}

    @cached_property
    def parts_by_subsystem(self) -> dict[str, tuple[tuple[str, str], ...]]:
        """Every part of a build sheet or with a fault, as (id, label) by subsystem, to choose
        from."""
        parts = {part for robot in self.definitions.robots.values() for part in robot.parts} | {
            fault.part for fault in self.faults
        }
        found: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for part in sorted(parts):
            found[part.partition(".")[0]].append((part, self.label(part)))
        return {subsystem: tuple(pairs) for subsystem, pairs in found.items()}

    @cached_property
    def _starts(self) -> list[datetime]:
        return sorted(item.start for item in self.played)

    @cached_property
    def _spans(self) -> dict[str, tuple[datetime, datetime]]:
        spans: dict[str, tuple[datetime, datetime]] = {}
        for item in self.played:
            first, last = spans.get(item.run.event, (item.start, item.start))
            spans[item.run.event] = min(first, item.start), max(last, item.start)
        return {
            event: (first - ARRIVAL, last + AFTERWARDS) for event, (first, last) in spans.items()
        }

    @kept
    def played_in(self, scope: Scope) -> tuple[Played, ...]:
        """The runs that are looked at."""
        return tuple(
            item
            for item in self.played
            if scope.event in ("", item.run.event)
            and scope.season in ("", item.season)
            and scope.has_robot(item.robot)
        )

    @kept
    def faults_in(self, scope: Scope) -> tuple[Fault, ...]:
        """The faults that are looked at: those of a match with it, others with the event at whose
        time they were seen."""
        if scope.event or scope.season:
            ever = self.faults_in(Scope(robot=scope.robot, part=scope.part))
            return tuple(fault for fault in ever if self.is_when(scope, fault.match, fault.at))
        return tuple(
            fault
            for fault in self.faults
            if scope.has_part(fault.part) and scope.has_robot(fault.robot)
        )

    def is_when(self, scope: Scope, match: str | None, at: datetime) -> bool:
        """Whether something of a match, or of a time, belongs to the event and season that are
        looked at."""
        if not scope.season and not scope.event:
            return True
        item = self.played_by_id.get(match or "")
        if (
            scope.season
            and (item.season if item else event_day(at, self.state.zone)[:4]) != scope.season
        ):
            return False
        if not scope.event:
            return True
        return self.event_of(match, at) == scope.event

    def event_of(self, match: str | None, at: datetime) -> str:
        """The event of a match, or the one at whose time something was seen; empty where it was
        between events."""
        if match:
            return match.partition("/")[0]
        return next(
            (event for event, (first, last) in self._spans.items() if first <= at <= last), ""
        )

    def matches_before(self, at: datetime) -> int:
        """How many of our runs had started by then."""
        return bisect_right(self._starts, at)

    def label(self, part: str) -> str:
        """A part's name for people; its id where no build sheet has it."""
        return self._parts[part].label if part in self._parts else part

    def kind(self, part: str) -> str:
        """The part's kind; empty where no build sheet has it."""
        return self._parts[part].kind if part in self._parts else ""

    @cached_property
    def _parts(self) -> dict[str, Part]:
        """Every part of a build sheet; of one that several have, that of the robot that plays."""
        robots = [*self.definitions.robots.values(), self.definitions.robot]
        return {name: part for robot in robots if robot for name, part in robot.parts.items()}

    def _robot_of(self, run_id: str) -> str | None:
        return next(
            (fact.robot for fact in reversed(self.state.run_facts.get(run_id, [])) if fact.robot),
            None,
        )

    def _climbs(self) -> dict[str, bool]:
        """Whether a run climbed: as the debrief tells, or where no one was asked, whether it was
        cleared to."""
        found = {
            fact.match: True
            for fact in self.state.clearances
            if fact.match and fact.body.decision == "cleared"
        }
        for fact in self.state.debriefs:
            climbed = said_climbed(fact.body.answers)
            if fact.match and climbed is not None:
                found[fact.match] = climbed
        return found


def unknown_names(records: Iterable[Record], scope: Scope) -> list[str]:
    """A sentence for an event that no record has, and for a part that no build sheet and no fault
    of them names: maybe mistyped."""
    events, parts = set[str](), set[str]()
    for record in records:
        events |= {run.event for run in record.state.runs.values()} | {
            str(record.definitions.settings["event"])
        }
        parts |= {part for pairs in record.parts_by_subsystem.values() for part, _ in pairs}
    found = []
    if scope.event and scope.event not in events:
        found.append(UnknownName("The event", scope.event, events).sentence)
    if scope.part and not any(scope.has_part(part) for part in parts):
        found.append(UnknownName("The part", scope.part, parts).sentence)
    return found
