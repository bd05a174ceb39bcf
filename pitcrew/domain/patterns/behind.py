"""The entries behind a number: what is asked for by name, as lines that lead to each entry."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime

from pitcrew.domain.faults import Fault
from pitcrew.domain.patterns.checkworth import checkworth, verdict_of
from pitcrew.domain.patterns.fixes import fixes
from pitcrew.domain.patterns.record import Played, Record, Scope
from pitcrew.domain.patterns.wording import symptom_key
from pitcrew.errors import UnknownName


@dataclass(frozen=True)
class Line:
    """One entry: what kind it is, its id, what it says, and when it happened. `match` as its run's id."""

    kind: str
    id: str
    title: str
    said: str
    at: datetime
    match: str | None = None


def behind(record: Record, scope: Scope, what: str, check: str = "", verdict: str = "", symptom: str = "") -> list[Line]:
    """The entries of a name of WHAT in what is looked at, the latest first. Raises UnknownName."""
    if what not in WHAT:
        raise UnknownName("The list of entries", what, WHAT, "what")
    lines = WHAT[what](record, scope, check, verdict, symptom)
    return sorted(lines, key=lambda line: line.at, reverse=True)


def _faults(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for fault in record.faults_in(scope):
        if symptom in ("", symptom_key(fault.symptom)) and verdict in ("", fault.grade):
            yield _fault(record, fault)


def _outside(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    played = {item.run.id for item in record.played_in(scope)}
    for fault in record.faults_in(scope):
        if fault.match not in played and symptom in ("", symptom_key(fault.symptom)):
            yield _fault(record, fault)


def _matches(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    return (_run(item) for item in record.played_in(scope))


def _climbs(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    return (_run(item) for item in record.played_in(scope) if item.climbed)


def _cycles(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for name, moves in record.state.battery_moves.items():
        for move in moves:
            if move.body.to == "robot" and scope.has_part(f"battery.{name}") and record.is_when(scope, None, move.at):
                yield Line("battery", move.id, f"Battery {name}", "into the robot", move.at, move.match)


def _fixes(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for fix in fixes(record, scope):
        if verdict in ("", fix.kind):
            said = f"{fix.kind}: {fix.move.body.why}; {'came back' if fix.failed else 'watched'} after {fix.matches} matches"
            yield Line("fault", fix.fault.id, record.label(fix.fault.part), said, fix.move.at, fix.fault.match)


def _readings(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for readings in record.state.readings.values():
        if not readings or check not in ("", readings[0].check) or not scope.has_part(readings[0].part):
            continue
        for reading in readings:
            found = verdict_of(reading)
            if verdict in ("", found) and scope.has_robot(reading.robot) and record.is_when(scope, reading.match, reading.at):
                yield Line("reading", reading.id, record.label(reading.part), f"{reading.check}: {found}", reading.at, reading.match)


def _missed(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for worth in checkworth(record, scope):
        if check in ("", worth.check):
            yield from (_fault(record, fault) for fault, _ in worth.missed)


def _skips(record: Record, scope: Scope, check: str, verdict: str, symptom: str) -> Iterator[Line]:
    for worth in checkworth(record, scope):
        if check in ("", worth.check):
            yield from (Line("skip", skip.id, record.label(skip.body.part), f"{worth.label} skipped: {skip.body.why}", skip.at, skip.match)
                        for skip in worth.skips)


def _fault(record: Record, fault: Fault) -> Line:
    return Line("fault", fault.id, record.label(fault.part), f"{fault.symptom} ({fault.grade})", fault.at, fault.match)


def _run(item: Played) -> Line:
    return Line("match", item.run.id, item.run.name, item.run.event, item.start, item.run.id)


WHAT: dict[str, Callable[[Record, Scope, str, str, str], Iterator[Line]]] = {
    "faults": _faults, "outside": _outside, "matches": _matches, "climbs": _climbs, "hours": _matches, "cycles": _cycles, "fixes": _fixes,
    "readings": _readings, "missed": _missed, "skips": _skips,
}
"""Each list by its name."""
