"""Readiness: `hold`, `ready with deferrals` or `ready`, by one rule, with every reason and where it
leads.

`hold`: an open, undeferred stop; a must-check not done, unjudged or not loaded; a blocking
temporary state; no offered battery; a climb planned and not cleared, or planned without a hold
path, holding device and hold test. `ready with deferrals`: none of these, but a live deferral or no
climb this match.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pitcrew.domain.batteries.fleet import PREFIX, Battery
from pitcrew.domain.batteries.ranking import offered_of
from pitcrew.domain.checks.definitions import SETTINGS_FILE
from pitcrew.domain.climb.clearance import ClimbClearance
from pitcrew.domain.climb.missing import planned_without
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.faults import Fault, is_deferred_now, is_open_now
from pitcrew.domain.logbook.moment import NO_CLIMB, Moment
from pitcrew.domain.now.due import DueCheck

READY, WITH_DEFERRALS, HOLD = "ready", "ready with deferrals", "hold"


@dataclass(frozen=True)
class Reason:
    """One reason in words. `kind` and `ref` say where it leads.

    Kinds: climb, fault, check, zone, temporary, battery, mistake, deferral.
    """

    text: str
    kind: str
    ref: str = ""


@dataclass(frozen=True)
class Readiness:
    """The word and its reasons, the most dangerous first."""

    word: str
    reasons: tuple[Reason, ...] = ()


def readiness(
    moment: Moment,
    due: Sequence[DueCheck],
    batteries: Sequence[Battery],
    clearance: ClimbClearance,
) -> Readiness:
    """Whether the robot may play the next run, by the rule above: by what is due, the fleet and the
    clearance of that moment."""
    holds = [
        *_climb(moment, clearance),
        *_stops(moment),
        *_mistakes(moment),
        *_musts(moment, due),
        *_temporaries(moment),
        *_battery(batteries),
    ]
    if holds:
        return Readiness(HOLD, tuple(holds))
    deferrals = (*_left_out(moment), *_deferrals(moment))
    return Readiness(WITH_DEFERRALS, deferrals) if deferrals else Readiness(READY)


def open_stops(moment: Moment) -> list[Fault]:
    """The faults of grade stop that are open for the next run, the oldest first."""
    return [
        fault
        for fault in moment.faults
        if fault.grade == "stop" and is_open_now(fault, moment.state, moment.run)
    ]


def live_deferrals(moment: Moment) -> list[Fault]:
    """The faults with which the next run is played."""
    return [fault for fault in moment.faults if is_deferred_now(fault, moment.state, moment.run)]


def unlogged_stops(moment: Moment) -> list[ReadingFact]:
    """Latest readings with the verdict stop for which no fault was logged (a battery's only take it
    off the offer)."""
    found = []
    for key, item in moment.definitions.part_checks.items():
        last = moment.last_reading(key)
        if (
            last
            and last.verdict == "stop"
            and not item.part.id.startswith(PREFIX)
            and not _is_logged(moment, last)
        ):
            found.append(last)
    return found


def _is_logged(moment: Moment, reading: ReadingFact) -> bool:
    return any(_answers(moment, fault, reading) for fault in moment.faults)


def _answers(moment: Moment, fault: Fault, reading: ReadingFact) -> bool:
    """Whether a fault answers for a stop reading: by being an unfinished stop itself, or by what
    was decided or done since.

    Only a fault on the same part that did not come from another check can; noting a stop as
    something less is no answer.
    """
    first = moment.state.facts.get(fault.reading or "")
    own = fault.reading == reading.id
    if not own and (
        fault.part != reading.part
        or (isinstance(first, ReadingFact) and first.check != reading.check)
    ):
        return False
    if fault.state in ("open", "deferred"):
        return fault.grade == "stop" or (own and is_deferred_now(fault, moment.state, moment.run))
    repaired_since = fault.repaired_at is not None and fault.repaired_at >= reading.at
    return own or repaired_since or (fault.grade == "stop" and fault.at >= reading.at)


def _climb(moment: Moment, found: ClimbClearance) -> Iterator[Reason]:
    if moment.climb_planned() and not found.cleared:
        said = {
            "none": "not signed",
            "void": "the clearance is void",
            "refused": "the captain refused",
        }[found.state]
        yield Reason(
            f"A climb is planned: {said}. {found.why}".strip(),
            "climb",
            found.fact.id if found.fact else "",
        )
        for text in planned_without(moment):
            yield Reason(f"A climb is planned without {text}.", "climb")


def _stops(moment: Moment) -> Iterator[Reason]:
    for fault in open_stops(moment):
        expired = " Its deferral has ended." if fault.state == "deferred" else ""
        yield Reason(
            f"{moment.label(fault.part)}: {fault.symptom} (stop, open).{expired}", "fault", fault.id
        )
    for reading in unlogged_stops(moment):
        check = moment.definitions.part_checks[reading.key].check
        yield Reason(
            f"{moment.label(reading.part)}, {check.label}: stop. {reading.sentence}",
            "check",
            reading.key,
        )


def _mistakes(moment: Moment) -> Iterator[Reason]:
    """What did not load may hold a must-check: it counts as missing. A wrong setting has its
    default."""
    found = [
        mistake
        for mistake in moment.definitions.mistakes
        if mistake.climb or mistake.file != SETTINGS_FILE
    ]
    if found:
        more = f" And {len(found) - 1} more." if len(found) > 1 else ""
        yield Reason(f"What did not load counts as missing. {found[0].sentence}{more}", "mistake")


def _musts(moment: Moment, due: Sequence[DueCheck]) -> Iterator[Reason]:
    """The must-checks that are due, several of one zone as one reason."""
    zones: dict[str, list[DueCheck]] = defaultdict(list)
    for item in due:
        if item.must:
            zones[item.part_check.part.zone].append(item)
    robot = moment.definitions.robot
    for zone, items in zones.items():
        if len(items) == 1 or robot is None or zone not in robot.zones:
            for item in items:
                yield Reason(
                    f"{item.part_check.check.label}, {item.part_check.part.label}: due,"
                    f" {item.why}.",
                    "check",
                    item.key,
                )
        else:
            yield Reason(f"{len(items)} checks are due: {robot.zones[zone].label}.", "zone", zone)


def _temporaries(moment: Moment) -> Iterator[Reason]:
    for item in moment.state.temporaries.values():
        if item.open and item.blocks and moment.is_mine(item.robot):
            yield Reason(
                f"{moment.label(item.part)}: {item.what}, not undone.", "temporary", item.id
            )


def _battery(batteries: Sequence[Battery]) -> Iterator[Reason]:
    placed = next(
        (battery for battery in batteries if battery.ready_in_robot and not battery.offered), None
    )
    if placed is not None:
        yield Reason(
            f"Battery {placed.name} is in the robot but not fit for a match. {placed.why}",
            "battery",
            placed.name,
        )
    elif offered_of(batteries) is None:
        yield Reason("No battery can be offered.", "battery")


def _left_out(moment: Moment) -> Iterator[Reason]:
    if moment.definitions.settings["climb_planned"] and moment.climb_left_out:
        yield Reason(f"{NO_CLIMB.capitalize()}.", "climb")


def _deferrals(moment: Moment) -> Iterator[Reason]:
    for fault in live_deferrals(moment):
        deferral = fault.deferral
        if deferral is not None:
            limits = f" {deferral.restriction}." if deferral.restriction else ""
            text = (
                f"{moment.label(fault.part)}: {fault.symptom}, deferred by {deferral.who} until"
                f" {deferral.until}.{limits}"
            )
            yield Reason(text, "deferral", fault.id)
