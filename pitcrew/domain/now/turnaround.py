"""The turnaround: when the crew must leave, and which of the due checks fit into the time that is
left, by whom.

What does not fit is listed by name; nothing here says that all is checked.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import reduce

from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.schedule import Run, outlook
from pitcrew.domain.now.due import DueCheck

POWERS = ("off", "on", "enabled")
Busy = dict[str, list[float]]
"""For each power state, the minutes in it after which each of the crew is free."""


@dataclass(frozen=True)
class Turnaround:
    """The time until the next run and the plan for it; times are UTC, None where the schedule does
    not tell them.

    `expected`: the start moved by the live delay; `earliest`: be ready from here on; `back_at`:
    when the robot is or was back from its last run; `seconds_left`: until leaving (negative: late);
    `order`: all that is due, the most dangerous first.
    """

    run: Run | None
    back_at: datetime | None
    leave_at: datetime | None
    expected: datetime | None
    earliest: datetime | None
    runs_before: int
    now: datetime
    seconds_left: float | None
    order: list[DueCheck] = field(default_factory=list)
    fits: list[DueCheck] = field(default_factory=list)
    will_not_fit: list[DueCheck] = field(default_factory=list)


def turnaround(moment: Moment, order: list[DueCheck]) -> Turnaround:
    """The plan for the next run, for which the checks of `order` are due."""
    state, now, run, settings = moment.state, moment.now, moment.run, moment.definitions.settings
    seen = outlook(state, now, run) if run else None
    leave_at = (
        seen.expected - timedelta(seconds=settings["queue_lead"])
        if seen and seen.expected
        else None
    )
    back_at = _back_at(moment)
    fits: list[DueCheck] = order
    will_not_fit: list[DueCheck] = []
    if leave_at is not None:
        begin = max(now, back_at) if back_at else now
        fits, will_not_fit = plan(order, (leave_at - begin).total_seconds() / 60, settings["crew"])
    return Turnaround(
        run=run,
        back_at=back_at,
        leave_at=leave_at,
        expected=seen.expected if seen else None,
        earliest=seen.earliest if seen else None,
        runs_before=seen.runs_before if seen else 0,
        now=now,
        seconds_left=(leave_at - now).total_seconds() if leave_at else None,
        order=order,
        fits=fits,
        will_not_fit=will_not_fit,
    )


def plan(
    order: Sequence[DueCheck], minutes: float, crew: int
) -> tuple[list[DueCheck], list[DueCheck]]:
    """Which checks `crew` people can do in `minutes`, taken in their order as long as they fit, and
    which not.

    First all with the power off, then on, then enabled, when no one's hands are in and one check is
    done at a time.
    """
    fits: list[DueCheck] = []
    will_not_fit: list[DueCheck] = []
    busy = _nobody_busy(crew)
    for item in order:
        then = _with(busy, item, crew)
        if item.part_check.check.hands <= crew and _end(then) <= minutes:
            fits.append(item)
            busy = then
        else:
            will_not_fit.append(item)
    return fits, will_not_fit


def minutes_needed(items: Sequence[DueCheck], crew: int) -> float:
    """How long `crew` people take for some checks, each begun as soon as enough hands are free."""
    return _end(reduce(lambda busy, item: _with(busy, item, crew), items, _nobody_busy(crew)))


def _nobody_busy(crew: int) -> Busy:
    return {power: [0.0] * crew for power in POWERS}


def _end(busy: Busy) -> float:
    return sum(max(free_at) for free_at in busy.values())


def _with(busy: Busy, item: DueCheck, crew: int) -> Busy:
    """With one more check, done together by as many people as it needs, those who are free
    first."""
    check = item.part_check.check
    hands = crew if check.power == "enabled" else min(check.hands, crew)
    free_at = sorted(busy[check.power])
    if hands:
        free_at[:hands] = [free_at[hands - 1] + check.minutes] * hands
    return busy | {check.power: free_at}


def _back_at(moment: Moment) -> datetime | None:
    """When the robot is back from our last run: as logged, else by the start, the match's length
    and the way back."""
    if not moment.played:
        return None
    run, start = moment.played[-1]
    logged = [fact.at for fact in moment.state.returned if fact.match == run.id or fact.at > start]
    if logged:
        return min(logged)
    settings = moment.definitions.settings
    return start + timedelta(seconds=settings["match_length"] + settings["walk_back"])
