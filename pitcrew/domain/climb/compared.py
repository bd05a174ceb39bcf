"""A hold test against the first one on the same path: no more teeth may pass, and nothing may move
further by more than both readings can be off.

The limit of the next test holds that itself, so that the phone, the laptop, the witness and Climb
give one verdict on it.
"""

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import msgspec

from pitcrew.base.entries import Entry
from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import number_text, screen_unit, show, to_si
from pitcrew.domain.checks.limits import Limit, PartCheck
from pitcrew.domain.checks.limitshape import window_texts, write_sentences
from pitcrew.domain.climb.basis import critical_parts
from pitcrew.domain.climb.touched import Work, work_on
from pitcrew.domain.climb.weighed import ROUNDING, as_weighed, asks_for_weight
from pitcrew.domain.logbook.facts import ReadingFact, corrected
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.robot.instruments import INSTRUMENTS

LOADINGS = 2
"""How often a new rope or knot is loaded fully before a hold test on it counts."""
ROPES = ("wire-rope", "cord")
TEETH = "teeth"
LENGTHS = (
    ("slip", "it sank", "rope, ends and knots"),
    ("moved", "the paint line moved", "the brake"),
)
"""The lengths that a hold test measures: how far the robot sank or the drum moved, and where to
look when it is more than before."""


def on_path(moment: Moment) -> list[Work]:
    """All work on the climb-critical parts, in order of time."""
    return work_on(moment, critical_parts(moment))


def on_rope(moment: Moment, work: Iterable[Work]) -> list[Work]:
    """Of some work what was on a rope or cord: another one, or a new knot or end."""
    robot = moment.definitions.robot
    ropes = {part.id for part in robot.parts.values() if part.kind in ROPES} if robot else set()
    return [item for item in work if item.part in ropes]


def comparable(moment: Moment, work: list[Work], tests: list[ReadingFact]) -> list[ReadingFact]:
    """Of the tests in order of time those on the path as it is after `work`, without the loadings
    that settle a new rope or knot."""
    same = [test for test in tests if not work or test.at > work[-1].at]
    settled = len(same) > LOADINGS and on_rope(moment, work[-1:])
    return same[LOADINGS:] if settled else same


def further(moment: Moment, first: ReadingFact, later: ReadingFact) -> str:
    """What a later test shows that the first on the same path did not; empty if nothing. It is
    `stop`.

    Two readings of a length differ by more than both can be off beyond the root of the sum of their
    squares (JCGM 100).
    """
    teeth, more = number_in(first, TEETH), number_in(later, TEETH)
    if teeth is not None and more is not None and more > teeth + ROUNDING:
        word = "tooth" if more == 1 else "teeth"
        return f"stop: {number_text(more)} {word} passed, {_teeth(teeth)}"
    unit = screen_unit("length", moment.definitions.settings["units"])
    for name, what, look in LENGTHS:
        then, now = number_in(first, name), number_in(later, name)
        if then is not None and now is not None and now - then > _both_off(moment):
            shown = f"{what} by {show(now, unit)}, by {show(then, unit)} in the first test"
            return f"stop: {shown}; look at {look}"
    return ""


def _teeth(first: float) -> str:
    return (
        f"{number_text(first)} in the first test; "
        "look at the device and the path before another test"
    )


def _both_off(moment: Moment) -> float:
    """By how much two readings of the ruler may differ and still be one, m."""
    robot = moment.definitions.robot
    ruler = INSTRUMENTS["ruler"].accuracy.floor
    return math.sqrt(2) * (robot.instruments.get("ruler", ruler) if robot else ruler)


def as_asked(moment: Moment, item: PartCheck, entry: Entry | None = None) -> PartCheck:
    """A check as it is asked now: one that hangs the robot by its last weight, and a hold test with
    what the first one on the same path allows.

    `entry`: a reading of it that was made, or is being taken in; only tests before it count.
    """
    if not asks_for_weight(item):
        return item
    item = as_weighed(moment, item)
    if not item.check.is_hold_test or item.limit is None:
        return item
    first = _first_test(moment, item.key, entry)
    return replace(item, limit=_against(moment, item.limit, first)) if first else item


def _first_test(moment: Moment, key: str, entry: Entry | None) -> ReadingFact | None:
    """The test that the next one is compared with; None where it is the first itself."""
    before = (corrected(entry), entry.id) if entry else (moment.now, "")
    work = [item for item in on_path(moment) if item.at < before[0]]
    judged = [
        test
        for test in moment.state.readings.get(key, [])
        if moment.is_mine(test.robot) and test.order < before and test.verdict != "unjudged"
    ]
    same = [test for test in judged if not work or test.at > work[-1].at]
    if len(same) >= LOADINGS and on_rope(moment, work[-1:]):
        same = same[LOADINGS:]
    return same[0] if same else None


def _against(moment: Moment, limit: Limit, first: ReadingFact) -> Limit:
    """The limit with what the first test allows beside its own bounds."""
    rules: list[tuple[Any, str, float, str]] = list(limit.stop_when)
    teeth = number_in(first, TEETH)
    if teeth is not None and TEETH in limit.inputs:
        rules.append((TEETH, ">", teeth, f"More teeth passed: {_teeth(teeth)}. No climb."))
    unit = screen_unit("length", moment.definitions.settings["units"])
    for name, what, look in LENGTHS:
        then = number_in(first, name)
        if then is None or name not in limit.inputs:
            continue
        bound = then + _both_off(moment)
        why = f"{what} by {show(then, unit)} in the first test"
        if name == limit.result:
            limit = _capped(limit, bound, why[0].lower() + why[1:])
        more = f"More than both readings can be off: {why}. Look at {look}. No climb."
        rules.append((name, ">", bound, more))
    return msgspec.structs.replace(limit, stop_when=rules)


def _capped(limit: Limit, bound: float, because: str) -> Limit:
    """The limit that is stop above `bound`, SI, too. The bound counts both readings' uncertainty
    already, so that it has no guard band."""
    own = limit.stop_high
    if own is not None and own - limit.guards.get("stop_high", 0.0) <= bound:
        return limit
    watch = limit.watch_high
    capped = msgspec.structs.replace(
        limit,
        stop_high=bound,
        watch_high=None if watch is None or watch >= bound else watch,
        guards={**limit.guards, "stop_high": 0.0},
        because=because,
    )
    capped = msgspec.structs.replace(capped, good=list(window_texts(capped)))
    return msgspec.structs.replace(capped, sentences=write_sentences(capped))


def number_in(reading: ReadingFact, name: str) -> float | None:
    """A number that a reading has for an input, SI; None where it has none."""
    given: Any = reading.inputs.get(name)
    value = given.get("value") if isinstance(given, dict) else None
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return to_si(value, given.get("unit") or "1")
    except PitcrewError:
        return None
