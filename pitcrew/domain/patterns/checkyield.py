"""Which checks earn their minutes: what each found before a match did, what it missed, and what it
cost.

A check missed a fault where the part failed in a match although the check's last reading before it
was `ok`; a fault that was written down from a reading was found by a check, not by the match.
Whether a check could have seen what it missed is for a person to say.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from dataclasses import dataclass
from functools import partial
from itertools import chain
from operator import attrgetter

from pitcrew.base.clock import event_day
from pitcrew.base.units import counted
from pitcrew.domain.checks.checklists import Check
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.frequency import ONE_SIDED, Frequency, exposure_text, percent, share_of
from pitcrew.domain.patterns.record import Record, Scope, kept, lasting

RARELY, OFTEN = 0.05, 0.20
"""Less often is suggested where the true share of findings is surely below the first, more often
where it is counted above the second (ours: they start a talk, they decide nothing)."""


@dataclass(frozen=True)
class Worth:
    """One check over its parts. `found`: readings judged stop; `caught`: those without a fault of a
    match on that part since the match before; `watched`; `missed`: (fault, the ok reading before
    it); `followed`: faults in the match after a skip.
    """

    check: str
    label: str
    must: bool
    readings: int
    found: int
    caught: int
    watched: int
    unjudged: int
    missed: tuple[tuple[Fault, ReadingFact], ...]
    skips: tuple[Fact, ...]
    followed: tuple[Fault, ...]
    minutes: float
    share: Frequency

    @property
    def advice(self) -> str:
        """More, less or as it is, with the reason."""
        misses = len({fault.id for fault, _ in self.missed})
        if misses > 1:
            return (
                f"More, or differently: its part failed in {exposure_text(misses, 'match')}"
                " although it was ok before."
            )
        if self.followed:
            return (
                f"Do not skip it: {len(self.followed)} of {len(self.skips)} skips were followed by"
                " a fault on that part."
            )
        if self.readings and self.found / self.readings > OFTEN:
            were = (
                f"{self.found} of {counted(self.readings, 'reading')}"
                f" {'was' if self.found == 1 else 'were'} stop"
            )
            return f"More: {were}. The part wants more than looking at."
        if (
            not self.must
            and not self.found
            and not self.watched
            and self.readings
            and self.share.upper < RARELY
        ):
            return (
                f"Less often: 0 in {counted(self.readings, 'reading')} still allows at most"
                f" {percent(self.share.upper)} ({ONE_SIDED})."
            )
        return "As it is."


@dataclass(frozen=True)
class Uncovered:
    """A part that failed and that no check covers."""

    part: str
    label: str
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class Tally:
    """The readings of one check on one part in one event and season: `counts` by verdict, and
    `caught` as in Worth."""

    check: str
    part: str
    event: str
    season: str
    robot: str | None
    counts: dict[str, int]


@kept
def tallies(record: Record) -> tuple[Tally, ...]:
    """All readings, counted once for a record."""
    told = _told_by_matches(record)
    played = {item.run.id: (item.start, item.run.event, item.season) for item in record.played}
    found: list[Tally] = []
    for key, readings in record.state.readings.items():
        made_from = readings, told.get(readings[0].part) if readings else None, played
        found += lasting(record, ("tallies", key), made_from, partial(_tallies, record, readings))
    return tuple(found)


def _tallies(record: Record, readings: list[ReadingFact]) -> list[Tally]:
    """The readings of one check on one part."""
    counts: dict[tuple[str, str, str | None], dict[str, int]] = defaultdict(
        lambda: defaultdict(int)
    )
    for reading in readings:
        numbers = counts[*_when(record, reading), reading.robot]
        numbers[reading.standing] += 1
        numbers["caught"] += is_catch(record, reading)
    return [
        Tally(readings[0].check, readings[0].part, *where, dict(numbers))
        for where, numbers in counts.items()
    ]


def is_catch(record: Record, reading: ReadingFact) -> bool:
    """Whether a reading found something that the match just played had not reported: no fault of it
    on the part was written down before."""
    if reading.standing != "stop":
        return False
    place = record.matches_before(reading.at)
    faults = _told_by_matches(record).get(reading.part, ())
    return not any(
        record.played_by_id[fault.match or ""].place == place and fault.at <= reading.at
        for fault in faults
    )


@kept
def _told_by_matches(record: Record) -> dict[str, list[Fault]]:
    """By part: the faults of matches that were not written down from a reading."""
    found: dict[str, list[Fault]] = defaultdict(list)
    for fault in record.faults:
        if fault.match in record.played_by_id and not fault.reading:
            found[fault.part].append(fault)
    return found


@kept
def checkworth(record: Record, scope: Scope) -> list[Worth]:
    """Every check that was read or skipped in what is looked at, the most minutes first."""
    counts: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for tally in tallies(record):
        if (
            scope.has_part(tally.part)
            and scope.has_robot(tally.robot)
            and scope.event in ("", tally.event)
            and scope.season in ("", tally.season)
        ):
            for name, number in tally.counts.items():
                counts[tally.check][name] += number
    missed: dict[str, list[tuple[Fault, ReadingFact]]] = defaultdict(list)
    for fault, reading in _misses(record):
        if (
            scope.has_part(fault.part)
            and scope.has_robot(fault.robot)
            and record.is_when(scope, fault.match, fault.at)
        ):
            missed[reading.check].append((fault, reading))
    skips = _skips(record, scope)
    names = {**counts, **skips, **missed}
    return sorted(
        (_worth(record, name, counts[name], missed[name], skips.get(name, [])) for name in names),
        key=lambda worth: (-worth.minutes, worth.check),
    )


@kept
def _checks(record: Record) -> dict[str, list[Check]]:
    """The checks by their id, one for each part that has it."""
    found: dict[str, list[Check]] = defaultdict(list)
    for item in record.definitions.part_checks.values():
        found[item.check.id].append(item.check)
    return found


@kept
def uncovered(record: Record, scope: Scope) -> list[Uncovered]:
    """Parts that failed in a match and have no check: a new one is needed."""
    found: dict[str, list[Fault]] = defaultdict(list)
    for fault in record.faults_in(scope):
        if (
            fault.match in record.played_by_id
            and not fault.reading
            and fault.part not in record.checks_of_part
        ):
            found[fault.part].append(fault)
    rows = [Uncovered(part, record.label(part), tuple(faults)) for part, faults in found.items()]
    return sorted(rows, key=lambda row: (-len(row.faults), row.part))


def check_label(record: Record, name: str) -> str:
    """A check's name for people; its id where no checklist has it any more."""
    return next((check.label for check in _checks(record).get(name, ())), name)


def _worth(
    record: Record,
    name: str,
    counts: dict[str, int],
    missed: list[tuple[Fault, ReadingFact]],
    skips: list[tuple[Fact, Fault | None]],
) -> Worth:
    items = _checks(record).get(name, [])
    readings = sum(counts[verdict] for verdict in ("ok", "watch", "stop", "unjudged"))
    followed = {fault.id: fault for _, fault in skips if fault}
    return Worth(
        name,
        check_label(record, name),
        any(item.must for item in items),
        readings,
        counts["stop"],
        counts["caught"],
        counts["watch"],
        counts["unjudged"],
        tuple(missed),
        tuple(skip for skip, _ in skips),
        tuple(followed.values()),
        readings * (items[0].minutes if items else 1.0),
        share_of(counts["stop"], readings, "reading"),
    )


def _when(record: Record, reading: ReadingFact) -> tuple[str, str]:
    """The event and season of a reading: those of its match, or of the time at which it was
    taken."""
    item = record.played_by_id.get(reading.match or "")
    if item:
        return item.run.event, item.season
    return record.event_of(reading.match, reading.at), event_day(reading.at, record.state.zone)[:4]


@kept
def _misses(record: Record) -> tuple[tuple[Fault, ReadingFact], ...]:
    """Faults of matches, but for those only watched, on parts whose last reading before the match,
    since the one before it, was ok."""
    starts = [item.start for item in record.played]
    found: list[tuple[Fault, ReadingFact]] = []
    for part, faults in _told_by_matches(record).items():
        readings = [
            record.state.readings.get(part_check.key, [])
            for part_check in record.checks_of_part.get(part, ())
        ]
        found += lasting(
            record,
            ("misses", part),
            (faults, readings, starts),
            partial(_misses_of, record, faults, readings),
        )
    return tuple(sorted(found, key=lambda pair: pair[0].at))


def _misses_of(
    record: Record, faults: list[Fault], of_checks: list[list[ReadingFact]]
) -> list[tuple[Fault, ReadingFact]]:
    """The same for one part with the readings of each of its checks."""
    found = []
    for fault in faults:
        if fault.grade == "watch":
            continue
        item = record.played_by_id[fault.match or ""]
        since = record.played[item.place - 2].start if item.place > 1 else None
        for readings in of_checks:
            before = bisect_left(readings, item.start, key=attrgetter("at"))
            reading = readings[before - 1] if before else None
            if reading and (since is None or reading.at > since) and reading.standing == "ok":
                found.append((fault, reading))
    return found


def _skips(record: Record, scope: Scope) -> dict[str, list[tuple[Fact, Fault | None]]]:
    """By check: each skip, and the fault on its part in the match that came next."""
    starts = [item.start for item in record.played]
    hit = {
        (fault.part, fault.match or ""): fault
        for fault in record.faults
        if fault.match in record.played_by_id
    }
    found: dict[str, list[tuple[Fact, Fault | None]]] = defaultdict(list)
    for skip in chain.from_iterable(record.state.skips.values()):
        if (
            scope.has_part(skip.body.part)
            and scope.has_robot(skip.robot)
            and record.is_when(scope, skip.match, skip.at)
        ):
            place = bisect_right(starts, skip.at)
            run = record.played[place].run.id if place < len(record.played) else ""
            found[skip.body.check].append((skip, hit.get((skip.body.part, run))))
    return found
