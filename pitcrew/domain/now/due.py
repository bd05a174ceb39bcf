"""Which checks are due for the next run, and why: by their due words, by what happened, and by
their last verdict."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from pitcrew.domain.batteries.fleet import PREFIX, Battery
from pitcrew.domain.batteries.ranking import chosen_of
from pitcrew.domain.checks.duewords import DueRule
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.checks.readings import RANK
from pitcrew.domain.climb.holdtest import HoldTest, hold_test
from pitcrew.domain.holding.ownparts import holding_part
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.freshness import proof_load, why_due
from pitcrew.domain.logbook.moment import Moment


@dataclass(frozen=True)
class DueCheck:
    """A check that is due, why, and its last reading. `must`: the robot does not play without it (a
    spare battery's never is)."""

    part_check: PartCheck
    why: str
    last: ReadingFact | None
    must: bool

    @property
    def key(self) -> str:
        """`check@part`."""
        return self.part_check.key


def done_checks(moment: Moment, order: Sequence[DueCheck]) -> list[ReadingFact]:
    """The readings since our last run (or today, before the first) that make their check done,
    oldest first; the checks of `order` are still due."""
    due = {item.key for item in order}
    since = moment.played[-1][1] if moment.played else None
    found = []
    for key in moment.definitions.part_checks:
        last = moment.last_reading(key)
        if last and key not in due and (last.at > since if since else moment.same_day(last.at)):
            found.append(last)
    return sorted(found, key=lambda fact: fact.order)


def due_checks(moment: Moment, batteries: Sequence[Battery], cleared: bool) -> list[DueCheck]:
    """The checks that are due for the next run, the most dangerous to leave out first; those done
    for this turnaround are not.

    `batteries`: the fleet of that moment; `cleared`: a signature clears the climb.
    """
    asker = _Asker(moment, cleared)
    by_part = {battery.part.id: battery for battery in batteries}
    chosen = chosen_of(batteries)
    found = []
    for item in moment.definitions.part_checks.values():
        last = moment.last_reading(item.key)
        battery = by_part.get(item.part.id) if item.part.id.startswith(PREFIX) else None
        spare = battery is not None and battery is not chosen
        why = asker.why_spare(item, last, battery) if spare else asker.why(item, last)
        if why:
            found.append(DueCheck(item, why, last, item.check.must and not spare))
    return sorted(found, key=_hazard)


def _hazard(item: DueCheck) -> tuple[bool, bool, int, float]:
    """Sort key of what is worst to leave out: the climb, must-checks, what was not ok last time,
    what is longest ago."""
    part_check = item.part_check
    verdict = item.last.verdict if item.last else "unjudged"
    return (
        not (part_check.part.climb_critical or part_check.check.for_climb),
        not item.must,
        -RANK[verdict],
        item.last.at.timestamp() if item.last else 0.0,
    )


@dataclass(frozen=True)
class _Asker:
    """Asks one moment why checks are due."""

    moment: Moment
    cleared: bool

    @cached_property
    def device(self) -> str:
        """The id of the part that holds the robot without power; empty where there is none."""
        robot = self.moment.definitions.robot
        return holding_part(robot) if robot else ""

    @cached_property
    def hold_test(self) -> HoldTest:
        """The hold test that a climb would rest on now."""
        return hold_test(self.moment)

    def why(self, item: PartCheck, last: ReadingFact | None) -> str:
        """Why a check is due, in a few words; empty if it is not."""
        if last is not None and last.verdict == "unjudged":
            return "the last reading could not be judged"
        if last is not None and last.verdict != "ok" and self.moment.runs_since(last.at):
            return f"{last.verdict} last time"
        touched = self.moment.repaired_or_changed(item.part.id)
        if (
            last is not None
            and touched is not None
            and touched >= last.at
            and (last.verdict == "stop" or self._for_climb(item))
        ):
            return "the part was repaired or changed"
        return next(
            (why for rule in item.check.due if (why := self._by_rule(rule, item, last))), ""
        )

    def why_spare(self, item: PartCheck, last: ReadingFact | None, battery: Battery | None) -> str:
        """Likewise for a battery that is not the next one: only what is due for every battery."""
        if battery is None or battery.place == "retired":
            return ""
        rules = (
            rule
            for rule in item.check.due
            if rule.word in ("on arrival", "once a day", "after part change")
        )
        return next((why for rule in rules if (why := self._by_rule(rule, item, last))), "")

    def _for_climb(self, item: PartCheck) -> bool:
        return (
            (item.part.climb_critical or item.check.for_climb)
            and self.moment.climb_planned()
            and not self.cleared
        )

    def _by_rule(self, rule: DueRule, item: PartCheck, last: ReadingFact | None) -> str:
        """Why a check is due by one of its due words; empty if it is not. What is made for the
        climb waits for one to be planned."""
        planned = (
            self._for_climb(item) if rule.word == "before a climb" else self.moment.climb_planned()
        )
        proves = item.check.is_hold_test and item.part.id == self.device
        if rule.word == "before a climb" and planned and proves:
            return self.hold_test.why_again
        if item.check.for_climb and (not planned or proof_load(self.moment, item, self.moment.now)):
            return ""
        return why_due(self.moment, item, rule, last)
