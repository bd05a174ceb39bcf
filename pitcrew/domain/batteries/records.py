"""What happened to each battery: stays in a robot or on a channel, matches, cycles, the charge that
it still lacks.

What a match took comes from the robot's log of that match, else from the team's usual one; what a
charger put back is its time times its current at most. How full it is follows from all of it in
`charge.py`.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from statistics import median

from pitcrew.domain.batteries import lives
from pitcrew.domain.batteries.charge import Estimate, Happened, estimate
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.moment import Moment

LACKING = 0.25
"""A*h that may lack before a battery counts as not charged: a charger's end phase is slower than
its current says."""
_SECONDS = 3600.0


@dataclass(frozen=True)
class Stay:
    """A battery in one place from `begin` to `end` (None: still there)."""

    to: str
    where: str
    begin: datetime
    end: datetime | None
    move: Fact


@dataclass(frozen=True)
class BatteryRecord:
    """A battery's life in the logbook. `estimate`: its charge by all of it; `took`: A*h of its last
    match, `measured` if a log said it;
    `charged`: seconds of its last stay on a channel; `off_since`: when it left robot or channel
    last.
    """

    stays: tuple[Stay, ...] = ()
    matches: tuple[str, ...] = ()
    cycles: int = 0
    estimate: Estimate = field(default_factory=Estimate)
    took: float = 0.0
    measured: bool = False
    channel: str = ""
    charged: float = 0.0
    off_since: datetime | None = None
    off_what: str = ""
    last_match: datetime | None = None

    @property
    def lacks(self) -> float:
        """A*h not put back yet, at least; never more than the battery holds."""
        return self.estimate.lacks


@dataclass
class _Ledger:
    matches: list[str] = field(default_factory=list)
    cycles: int = 0
    drew: bool = False
    life: list[Happened] = field(default_factory=list)
    took: float = 0.0
    measured: bool = False
    channel: str = ""
    charged: float = 0.0
    last_match: datetime | None = None


def robot_of(moment: Moment, move: Fact) -> str:
    """The robot that a battery went into, by its name."""
    where = move.body.where.strip().casefold()
    by_label = {robot.label.casefold(): robot.name for robot in moment.definitions.robots.values()}
    return by_label.get(where, where) or move.robot or ""


def records(moment: Moment) -> dict[str, BatteryRecord]:
    """The record of every battery of the build sheet, or that was moved, tested, or named by a
    log."""
    ends = _driven_out(moment)
    usual = usual_charge(moment)
    moves = moment.state.battery_moves
    robot = moment.definitions.robot
    parts = robot.parts.values() if robot else ()
    listed = [part.id.removeprefix("battery.") for part in parts if part.kind == "battery"]
    names = dict.fromkeys([*moves, *moment.state.robot_logs, *moment.state.battery_tests, *listed])
    return {
        name: _record(moment, _stays(moment, moves.get(name, []), ends), name, usual)
        for name in names
    }


def usual_charge(moment: Moment) -> float:
    """What a match of this robot takes, A*h: the median of its last five logs, else the setting."""
    drawn = [fact.body.charge for fact in logs_of(moment) if tells_charge(fact)]
    return (
        float(median(drawn[-5:])) if drawn else float(moment.definitions.settings["match_charge"])
    )


def tells_charge(log: Fact) -> bool:
    """Whether a log says what its match took, and nothing about it is in doubt."""
    return log.body.charge is not None and not log.body.doubts


def logs_of(moment: Moment) -> list[Fact]:
    """The logs of the robot that plays, in order of the matches that they are of."""
    places = {run.id: at for at, (run, _) in enumerate(moment.played)}
    found = moment.mine(fact for facts in moment.state.robot_logs.values() for fact in facts)
    return sorted(found, key=lambda fact: (places.get(fact.match or "", len(places)), fact.order))


def sound_logs(moment: Moment) -> list[Fact]:
    """`logs_of` without those about which there is a doubt: nothing is built upon them."""
    return [fact for fact in logs_of(moment) if not fact.body.doubts]


def suspect_channels(moment: Moment, found: dict[str, BatteryRecord]) -> dict[str, tuple[str, ...]]:
    """Channels from which two different batteries in a row came back low, with those batteries."""
    checks: dict[str, list[tuple[datetime, str, bool]]] = defaultdict(list)
    for name, record in found.items():
        readings = [
            reading
            for reading in moment.state.readings_of_part.get(f"battery.{name}", [])
            if lives.is_voltage(reading)
        ]
        for at, stay in enumerate(record.stays):
            if stay.to == "channel" and stay.where and stay.end:
                until = next(
                    (
                        later.begin
                        for later in record.stays[at + 1 :]
                        if later.to in ("robot", "channel")
                    ),
                    moment.now,
                )
                first = next(
                    (
                        item
                        for item in readings
                        if stay.end <= item.at <= until and item.verdict != "unjudged"
                    ),
                    None,
                )
                if first is not None:
                    checks[stay.where].append((first.at, name, first.verdict == "stop"))
    suspects = {}
    for channel, seen in checks.items():
        row: list[str] = []
        for _, name, low in sorted(seen):
            row = [*row, name] if low else []
        if len(set(row)) >= 2:
            suspects[channel] = tuple(dict.fromkeys(row))
    return suspects


def _record(moment: Moment, stays: Sequence[Stay], name: str, usual: float) -> BatteryRecord:
    ledger = _Ledger()
    untold = _only_logged(moment, stays, name)
    for stay in stays:
        _play_logged(ledger, untold, stay.begin)
        if stay.to == "robot":
            _play(moment, ledger, stay, name, usual)
        elif stay.to == "channel":
            _charge(moment, ledger, stay)
    _play_logged(ledger, untold, moment.now)
    ledger.life += lives.life_of(moment, name)
    capacity = lives.capacity_of(moment, name)
    current = moment.definitions.settings["charger_current"]
    found = estimate(ledger.life, capacity, current, moment.now)
    active = [stay for stay in stays if stay.to in ("robot", "channel")]
    last = active[-1] if active else None
    return BatteryRecord(
        tuple(stays),
        tuple(ledger.matches),
        ledger.cycles,
        found,
        ledger.took,
        ledger.measured,
        ledger.channel,
        ledger.charged,
        last.end if last else None,
        last.to if last and last.end else "",
        ledger.last_match,
    )


def _play(moment: Moment, ledger: _Ledger, stay: Stay, name: str, usual: float) -> None:
    if stay.where != (moment.robot or ""):
        ledger.life.append(Happened(stay.begin, "lent"))
        return
    logs = {
        fact.match: fact.body.charge
        for fact in moment.state.robot_logs.get(name, [])
        if tells_charge(fact)
    }
    for run, start in moment.played:
        if stay.begin < start and (stay.end is None or start <= stay.end):
            ledger.measured = run.id in logs
            ledger.took = logs.get(run.id, usual)
            ledger.drew = True
            ledger.life.append(
                Happened(start, "match", charge=ledger.took, measured=ledger.measured)
            )
            ledger.matches.append(run.id)
            ledger.last_match = start


def _only_logged(
    moment: Moment, stays: Sequence[Stay], name: str
) -> list[tuple[datetime, str, float | None]]:
    """Matches that this battery played by its log alone, since no one logged it into the robot:
    start, run and A*h, by start.

    A match within a stay elsewhere, or one that the schedule does not hold, has no A*h here: it
    counts, but what became of the charge is not known.
    """
    starts = {run.id: start for run, start in moment.played}
    found = {}
    for log in moment.mine(moment.state.robot_logs.get(name, [])):
        start = starts.get(log.match or "")
        within = [
            stay
            for stay in stays
            if start and stay.begin < start and (stay.end is None or start <= stay.end)
        ]
        if log.match and not any(
            stay.to == "robot" and stay.where == (moment.robot or "") for stay in within
        ):
            elsewhere = start is None or any(stay.to in ("robot", "channel") for stay in within)
            found[log.match] = (
                start or log.at,
                log.match,
                None if elsewhere or not tells_charge(log) else log.body.charge,
            )
    return sorted(found.values(), key=lambda item: item[:2])


def _play_logged(
    ledger: _Ledger, untold: list[tuple[datetime, str, float | None]], until: datetime
) -> None:
    """Take the matches up to a time from the list and count them."""
    while untold and untold[0][0] <= until:
        start, run, took = untold.pop(0)
        ledger.matches.append(run)
        if took is not None:
            ledger.measured, ledger.took, ledger.charged, ledger.last_match = True, took, 0.0, start
            ledger.drew = True
            ledger.life.append(Happened(start, "match", charge=took, measured=True))


def _charge(moment: Moment, ledger: _Ledger, stay: Stay) -> None:
    ledger.channel, ledger.charged = (
        stay.where,
        ((stay.end or moment.now) - stay.begin).total_seconds(),
    )
    ledger.cycles += ledger.drew
    ledger.drew = False
    ledger.life.append(Happened(stay.begin, "channel", end=stay.end))


def _stays(moment: Moment, moves: Sequence[Fact], ends: dict[str, datetime]) -> list[Stay]:
    found = []
    for at, move in enumerate(moves):
        after = moves[at + 1].at if at + 1 < len(moves) else None
        end = min(filter(None, (after, ends.get(move.id))), default=None)
        where = robot_of(moment, move) if move.body.to == "robot" else move.body.where.strip()
        found.append(Stay(move.body.to, where, move.at, end, move))
    return found


def _driven_out(moment: Moment) -> dict[str, datetime]:
    """When the move into a robot ended because another battery went in: the move's id and that
    time."""
    last: dict[str, tuple[Fact, str]] = {}
    ends = {}
    for move, name in into_robots(moment):
        robot = robot_of(moment, move)
        if robot in last and last[robot][1] != name:
            ends[last[robot][0].id] = move.at
        last[robot] = (move, name)
    return ends


def into_robots(moment: Moment) -> Iterable[tuple[Fact, str]]:
    """Every move of a battery into a robot, in order of time, with the battery's name."""
    moves = [
        (fact, name)
        for name, facts in moment.state.battery_moves.items()
        for fact in facts
        if fact.body.to == "robot"
    ]
    return sorted(moves, key=lambda pair: pair[0].order)


def lacking_sentence(record: BatteryRecord, current: float) -> str:
    """Why a battery is not charged, in numbers; empty where it is, or nothing is known."""
    if record.lacks <= LACKING:
        return ""
    if record.estimate.emptied:
        took = "A capacity test emptied it"
    elif record.took:
        source = "its log says" if record.measured else "as matches usually do"
        took = f"Its last match took {record.took:.1f} A·h ({source})"
    else:
        return (
            f"{record.estimate.source[:1].upper()}{record.estimate.source[1:]}: {record.lacks:.1f}"
            " A·h are lacking."
        )
    if not record.charged or (record.off_what == "robot" and record.off_since):
        return f"{took}, and it was not charged since: {record.lacks:.1f} A·h are lacking."
    put = current * record.charged / _SECONDS
    return (
        f"{took}; {record.charged / 60:.0f} min on channel {record.channel or '?'} at {current:g} A"
        f" put back at most {put:.1f} A·h: it is not charged, whatever the light says."
    )


def span(delta: timedelta) -> str:
    """A span in words: `17 min`, `3 h`."""
    whole = round(delta.total_seconds() / 60)
    return f"{whole} min" if whole < 90 else f"{whole / 60:.0f} h"
