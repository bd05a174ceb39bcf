"""The entries behind a number: what is asked for by name, as lines that lead to each entry."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from heapq import nlargest
from operator import itemgetter
from typing import Any

from pitcrew.base.errors import UnknownName
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.checkyield import Worth, check_label, checkworth, is_catch
from pitcrew.domain.patterns.fixes import Fix, fixes
from pitcrew.domain.patterns.frequency import exposure_text
from pitcrew.domain.patterns.record import Played, Record, Scope
from pitcrew.domain.robot.wording import symptom_key


@dataclass(frozen=True)
class Line:
    """One entry: what kind it is, its id, what it says, and when it happened. `match` as its run's
    id; `marks`: whether it is corrected or unverified."""

    kind: str
    id: str
    title: str
    said: str
    at: datetime
    match: str | None = None
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Narrowing:
    """What narrows a list: the check, the verdict (or grade, or kind of fix), the symptom; empty
    for all."""

    check: str = ""
    verdict: str = ""
    symptom: str = ""


DatedEntries = Iterator[tuple[datetime, Any]]
"""Entries, each with when it happened."""


def behind(
    record: Record, scope: Scope, what: str, asked: Narrowing, most: int
) -> tuple[list[Line], int]:
    """The latest `most` entries of a name of WHAT in what is looked at, and how many there are in
    all. Raises UnknownName."""
    if what not in WHAT:
        raise UnknownName("The list of entries", what, WHAT, "what")
    listed = WHAT[what]
    found = list(listed.search(record, scope, asked))
    return [listed.line(record, item) for _, item in nlargest(most, found, key=itemgetter(0))], len(
        found
    )


def _faults(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return (
        (fault.at, fault)
        for fault in record.faults_in(scope)
        if asked.symptom in ("", symptom_key(fault.symptom)) and asked.verdict in ("", fault.grade)
    )


def _inside(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    played = {item.run.id for item in record.played_in(scope)}
    return ((at, fault) for at, fault in _faults(record, scope, asked) if fault.match in played)


def _outside(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    played = {item.run.id for item in record.played_in(scope)}
    return ((at, fault) for at, fault in _faults(record, scope, asked) if fault.match not in played)


def _matches(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return ((item.start, item) for item in record.played_in(scope))


def _climbs(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return ((item.start, item) for item in record.played_in(scope) if item.climbed)


def _cycles(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return (
        (move.at, move)
        for name, moves in record.state.battery_moves.items()
        if scope.has_part(f"battery.{name}")
        for move in moves
        if move.body.to == "robot"
        and scope.has_robot(move.robot)
        and record.is_when(scope, None, move.at)
    )


def _fixes(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return ((fix.move.at, fix) for fix in fixes(record, scope) if asked.verdict in ("", fix.kind))


def _returns(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return ((at, fix) for at, fix in _fixes(record, scope, asked) if fix.failed)


def _readings(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    here = {item.run.id: record.is_when(scope, item.run.id, item.start) for item in record.played}

    def looked_at(reading: ReadingFact) -> bool:
        known = here.get(reading.match or "")
        return (
            record.is_when(scope, reading.match, reading.at) if known is None else known
        ) and scope.has_robot(reading.robot)

    everything = not (scope.robot or scope.event or scope.season)
    for readings in filter(None, record.state.readings.values()):
        if asked.check in ("", readings[0].check) and scope.has_part(readings[0].part):
            yield from (
                (reading.at, reading)
                for reading in readings
                if (everything or looked_at(reading))
                and (not asked.verdict or asked.verdict == reading.standing)
            )


def _caught(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return (
        (at, reading)
        for at, reading in _readings(record, scope, asked)
        if is_catch(record, reading)
    )


def _missed(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return (
        (fault.at, fault) for worth in _worths(record, scope, asked) for fault, _ in worth.missed
    )


def _followed(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return (
        (fault.at, fault) for worth in _worths(record, scope, asked) for fault in worth.followed
    )


def _skips(record: Record, scope: Scope, asked: Narrowing) -> DatedEntries:
    return ((skip.at, skip) for worth in _worths(record, scope, asked) for skip in worth.skips)


def _worths(record: Record, scope: Scope, asked: Narrowing) -> Iterator[Worth]:
    return (worth for worth in checkworth(record, scope) if asked.check in ("", worth.check))


def _fault(record: Record, fault: Fault) -> Line:
    return Line(
        "fault",
        fault.id,
        record.label(fault.part),
        f"{fault.symptom} ({fault.grade})",
        fault.at,
        fault.match,
        fault.marks,
    )


def _run(record: Record, item: Played) -> Line:
    return Line("match", item.run.id, item.run.name, item.run.event, item.start, item.run.id)


def _cycle(record: Record, move: Fact) -> Line:
    return Line(
        "battery",
        move.id,
        record.label(move.parts[0]),
        "into the robot",
        move.at,
        move.match,
        move.marks,
    )


def _fix(record: Record, fix: Fix) -> Line:
    lasted = (
        f"{'came back' if fix.failed else 'watched'} after {exposure_text(fix.matches, 'match')}"
    )
    said = f"{fix.kind}: {fix.move.body.why}; {lasted}"
    return Line(
        "fault",
        fix.fault.id,
        record.label(fix.fault.part),
        said,
        fix.move.at,
        fix.fault.match,
        fix.move.marks,
    )


def _reading(record: Record, reading: ReadingFact) -> Line:
    said = f"{check_label(record, reading.check)}: {reading.standing}"
    return Line(
        "reading",
        reading.id,
        record.label(reading.part),
        said,
        reading.at,
        reading.match,
        reading.marks,
    )


def _skip(record: Record, skip: Fact) -> Line:
    said = f"{check_label(record, skip.body.check)} skipped: {skip.body.why}"
    return Line(
        "skip", skip.id, record.label(skip.body.part), said, skip.at, skip.match, skip.marks
    )


@dataclass(frozen=True)
class Listed:
    """A list of entries: its title, how they are found, and what makes a line of one."""

    title: str
    search: Callable[[Record, Scope, Narrowing], DatedEntries]
    line: Callable[[Record, Any], Line]


WHAT = {
    "faults": Listed("Faults", _faults, _fault),
    "inside": Listed("Faults in matches", _inside, _fault),
    "outside": Listed("Faults of no match", _outside, _fault),
    "matches": Listed("Our matches", _matches, _run),
    "hours": Listed("Our matches", _matches, _run),
    "climbs": Listed("Matches with a climb", _climbs, _run),
    "cycles": Listed("Batteries put into a robot", _cycles, _cycle),
    "fixes": Listed("Repairs", _fixes, _fix),
    "returns": Listed("Repairs after which it came back", _returns, _fix),
    "readings": Listed("Readings", _readings, _reading),
    "caught": Listed("Stops that no match had told of", _caught, _reading),
    "missed": Listed("Faults although the check was ok", _missed, _fault),
    "skips": Listed("Skipped checks", _skips, _skip),
    "followed": Listed("Faults after a skipped check", _followed, _fault),
}
"""Each list by its name in the address."""
