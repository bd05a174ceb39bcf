"""The hold test that a climb rests on: the last one, whether it still counts, and each reason why
it does not, by name.

It counts on its day, while nothing in the hold path was touched, hit or corrected since, the robot
is not heavier than what hung then, and every climb since is reported to have held until it was
taken down. A real climb that held with the power off until the robot was supported, reported by two
people, is a hold test under full load and renews one that passed.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice

from pitcrew.base.units import screen_unit, show
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.basis import critical_parts
from pitcrew.domain.climb.compared import (
    LOADINGS,
    comparable,
    further,
    number_in,
    on_path,
    on_rope,
)
from pitcrew.domain.climb.hold import hold_path_of
from pitcrew.domain.climb.touched import Work, touched_since
from pitcrew.domain.climb.waiting import folded
from pitcrew.domain.climb.weighed import ROUNDING
from pitcrew.domain.holding.ownparts import holding_part
from pitcrew.domain.logbook.climbs import Climb, failed, was_hit
from pitcrew.domain.logbook.facts import ReadingFact, arrived
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.secondnames import told_by_two, witnesses

NO_TEST = "no checklist has a hold test for the holding device"
HELD = "held until it was taken down"
CLIMBED_HELD = f"climbed and {HELD}"
UNWITNESSED = "no second person has confirmed it"
ORDINALS = ("first", "second")
LOAD = "load"
"""The input of a hold test that says what hung."""


@dataclass(frozen=True)
class HoldTest:
    """The last hold test of the holding device. `key`: the check to make; `renewed`: the real climb
    that stands in for it since.

    `why_not`: why it does not count; empty where it does.
    """

    key: str
    last: ReadingFact | None
    renewed: Climb | None
    why_not: tuple[str, ...]

    @property
    def why_again(self) -> str:
        """Why it has to be made (again), the first reason; empty where it counts or only waits for
        a second person."""
        return next((reason for reason in self.why_not if not reason.endswith(UNWITNESSED)), "")

    @property
    def counts(self) -> bool:
        """Whether a climb may rest on it."""
        return not self.why_not


def hold_tests(moment: Moment) -> list[PartCheck]:
    """The hold tests of the holding device, as the build sheet and the checklists have them."""
    robot = moment.definitions.robot
    device = holding_part(robot) if robot else ""
    return [
        item
        for item in moment.definitions.part_checks.values()
        if device and item.check.is_hold_test and item.part.id == device
    ]


def hold_test(
    moment: Moment, seen_seq: int | None = None, until: datetime | None = None
) -> HoldTest:
    """The hold test that a climb at the time `until` (None: now) would rest on, by what was known
    at `seen_seq` (None: all).
    """
    return moment.once(
        (hold_test, seen_seq, until), lambda: _hold_test(moment, seen_seq, until or moment.now)
    )


def _hold_test(moment: Moment, seen_seq: int | None, until: datetime) -> HoldTest:
    asked = _Asked(moment, until, seen_seq)
    items = hold_tests(moment)
    readings = [
        last for item in items if (last := moment.last_reading(item.key, seen_seq)) is not None
    ]
    if not readings:
        return HoldTest(
            items[0].key if items else "", None, None, ("never done" if items else NO_TEST,)
        )
    last = max(readings, key=lambda reading: reading.order)
    basis = tuple(_not_passed(moment, last, seen_seq))
    since = tuple(asked.not_since(Seen(last.at, last.seq, number_in(last, LOAD), last.id)))
    if since and not basis and (climb := asked.renewing(last)):
        return HoldTest(last.key, last, climb, ())
    return HoldTest(last.key, last, None, (*basis, *since))


def _not_passed(moment: Moment, last: ReadingFact, seen_seq: int | None) -> Iterator[str]:
    """What is wrong with the test itself."""
    if not last.done:
        yield f"{last.verdict}: {last.sentence}"
    if not witnesses(moment.state, last, seen_seq):
        yield f"{last.person or 'nobody named'} read it, and {UNWITNESSED}"
    work = [item for item in on_path(moment) if item.at < last.at]
    tests = _tests(moment, last, seen_seq)
    if unsettled := _unsettled(moment, work, tests):
        yield unsettled
    same = [test for test in tests if not work or test.at > work[-1].at]
    if any(test.verdict == "stop" for test in same[:-1]):
        yield "an earlier test was stop, and nothing was repaired or changed since"
    compared = comparable(moment, work, tests)
    told = (later for later in compared[1:] if later.done or later is not last)
    worse = (text for later in told if (text := further(moment, compared[0], later)))
    yield from islice(worse, 1)


def _tests(moment: Moment, last: ReadingFact, seen_seq: int | None) -> list[ReadingFact]:
    """The hold tests with this check up to the last one, in order of time; those that could not be
    judged tell nothing.
    """
    return [
        fact
        for fact in moment.state.readings.get(last.key, [])
        if moment.is_mine(fact.robot)
        and fact.order <= last.order
        and (seen_seq is None or fact.seq <= seen_seq)
        and (fact is last or fact.verdict != "unjudged")
    ]


def _unsettled(moment: Moment, work: list[Work], tests: list[ReadingFact]) -> str:
    """What a new rope or knot lacks before a test on it counts; empty if nothing. Hold tests and
    climbs that held load it fully.
    """
    new = on_rope(moment, work)
    if not new:
        return ""
    since, last = new[-1].at, tests[-1]
    held = [climb for climb in moment.climbs_since(since, last.at) if held_until_down(climb)]
    loadings = sum(test.at > since for test in tests[:-1]) + len(held)
    if loadings >= LOADINGS:
        return ""
    return (
        f"a new rope or knot settles: load it fully {LOADINGS} times first, then test; "
        f"this was the {ORDINALS[loadings]} time"
    )


@dataclass(frozen=True)
class Seen:
    """A time at which the robot was seen to hold: the last entry known then, what hung (kg), and
    the hold test's id if it was one.
    """

    at: datetime
    seq: int
    load: float | None
    test: str = ""


@dataclass(frozen=True)
class _Asked:
    """Asks what has happened since the robot was seen to hold, for a climb at the time `until`."""

    moment: Moment
    until: datetime
    seen_seq: int | None

    def not_since(self, held: Seen) -> Iterator[str]:
        """Why what held then says nothing about this climb, each reason by name."""
        moment = self.moment
        if not moment.same_day(held.at, self.until):
            yield "not done today"
        yield from touched_since(moment, critical_parts(moment), held.at, held.seq, held.test)
        if hit := moment.hit_after(held.at, self.until):
            yield hit
        yield from self._heavier(held.load)
        for climb in moment.climbs_since(held.at, self.until):
            if not climb.told:
                yield f"{climb.run.label} was played since; nobody told whether it {CLIMBED_HELD}"
            elif any(failed(fact.body.answers) for fact in climb.told):
                yield f"the climb in {climb.run.label} did not hold"
            elif not held_until_down(climb):
                yield f"nobody tells of the climb in {climb.run.label} that it {HELD}"

    def _heavier(self, load: float | None) -> Iterator[str]:
        """Why the robot is heavier now than what hung then; a test that does not say what hung
        tells nothing of a robot.
        """
        loads = hold_path_of(self.moment, self.seen_seq).loads
        unit = screen_unit("mass", self.moment.definitions.settings["units"])
        if load is None:
            yield "it does not say how much hung"
        elif loads is not None and loads.mass > load * (1 + ROUNDING):
            now, then = show(loads.mass, unit, 4), show(load, unit, 4)
            yield f"the robot is heavier than what hung then ({now}, then {then})"

    def renewing(self, last: ReadingFact) -> Climb | None:
        """The latest real climb after a hold test that stands in for it; None where there is
        none."""
        for climb in reversed(self.moment.climbs_since(last.at, self.until)):
            if not held_until_down(climb) or not told_by_two(
                self.moment.state, climb, self.seen_seq
            ):
                continue
            known = next(
                (
                    entry.seq
                    for entry in reversed(self.moment.state.entries_by_id.values())
                    if arrived(entry) <= climb.at
                ),
                0,
            )
            if not any(self.not_since(Seen(climb.at, known, self._mass_at(known)))):
                return climb
        return None

    def _mass_at(self, seq: int) -> float | None:
        """The robot's mass by what was known at an entry, kg; the smaller of the build sheet's
        masses then and now.
        """
        then = folded(self.moment, seq)[0].get(f"robot:{self.moment.robot}")
        robot = self.moment.definitions.robot
        if then is None or robot is None:
            loads = hold_path_of(self.moment, seq).loads
        else:
            lighter = replace(
                robot, **{f"mass_{name}": mass for name, mass in then["mass"].items()}
            )
            definitions = replace(self.moment.definitions, robot=lighter)
            loads = hold_path_of(replace(self.moment, definitions=definitions), seq).loads
        return loads.mass if loads else None


def held_until_down(climb: Climb) -> bool:
    """Whether a climb is reported to have held until it was taken down, and no one reports a hit, a
    slip or one hook.
    """
    return climb.held and not any(was_hit(fact.body.answers) for fact in climb.told)
