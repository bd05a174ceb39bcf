"""The batteries: where each is and since when, its last readings, whether it is offered for a match and why not."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from pitcrew.domain.buildsheet import Part
from pitcrew.domain.definitions import Definitions
from pitcrew.domain.facts import Fact, ReadingFact
from pitcrew.domain.moment import Moment
from pitcrew.domain.readings import worse
from pitcrew.domain.runs import natural
from pitcrew.domain.schedule import next_run
from pitcrew.domain.state import State

PREFIX = "battery."


@dataclass(frozen=True)
class Battery:
    """One battery. `place`: robot, channel, rest, bench, retired, or empty where nobody logged it; `where`: which of them.

    `readings`: the last one of each of its checks; `state`: the worst of their verdicts; `conflicts`: what has to be settled;
    `ready_in_robot`: it lies in the robot that plays and has not played there yet.
    """

    name: str
    part: Part
    place: str
    where: str
    since: datetime | None
    readings: tuple[ReadingFact, ...]
    offered: bool
    why: str
    state: str
    ready_in_robot: bool = False
    resistance: ReadingFact | None = None
    rest_voltage: ReadingFact | None = None
    conflicts: tuple[str, ...] = ()


def fleet(definitions: Definitions, state: State, now: datetime) -> list[Battery]:
    """Every battery of the build sheet and of the logbook, by name (10 after 9)."""
    return fleet_of(Moment(definitions, state, now, next_run(state, now)))


def offered_battery(definitions: Definitions, state: State, now: datetime) -> Battery | None:
    """The battery for the next run: the fresh one in the robot, else the best on offer; None where none can be offered."""
    return offered_of(fleet(definitions, state, now))


def offered_of(batteries: Sequence[Battery]) -> Battery | None:
    """`offered_battery` of a fleet."""
    chosen = chosen_of(batteries)
    return chosen if chosen and chosen.offered else None


def chosen_of(batteries: Sequence[Battery]) -> Battery | None:
    """The battery whose checks matter now: the fresh one in the robot, else the best on offer, else the nearest to it."""
    usable = [battery for battery in batteries if battery.place != "retired"]
    return min(usable, key=_preference, default=None)


def fleet_of(moment: Moment) -> list[Battery]:
    """`fleet` for a moment."""
    robot = moment.definitions.robot
    parts = {part.id.removeprefix(PREFIX): part for part in robot.parts.values() if part.kind == "battery"} if robot else {}
    names = sorted({*parts, *moment.state.battery_moves, *moment.state.battery_tests}, key=natural)
    alike: dict[str, list[str]] = defaultdict(list)
    for name in names:
        alike[_folded(name)].append(name)
    taken_over = _taken_over(moment)
    found = []
    for name in names:
        others = [other for other in alike[_folded(name)] if other != name]
        same = tuple(f"{name!r} and {other!r} are two names: are they the same battery?" for other in others)
        part = parts.get(name) or Part(PREFIX + name, name, "", "battery")
        found.append(_battery(moment, name, part, name in parts, same, taken_over))
    return found


def _battery(moment: Moment, name: str, part: Part, listed: bool, same: tuple[str, ...], taken_over: dict[str, str]) -> Battery:
    moves = moment.state.battery_moves.get(name, [])
    last = moves[-1] if moves else None
    place, where = (last.body.to, _where(moment, last)) if last else ("", "")
    if last and last.id in taken_over:
        place, where = "", taken_over[last.id]
    readings = _last_readings(moment, part.id)
    conflicts = (*same, *_two_robots(moment, moves))
    ready = last is not None and place == "robot" and where == (moment.robot or "") and not moment.runs_since(last.at)
    found = Battery(
        name, part, place, where, last.at if last else None, readings, False, "", _worst(readings), ready,
        _with_unit(moment, readings, "ohm"), _with_unit(moment, readings, "V"), conflicts,
    )
    why = _why_not(moment, found, listed)
    return replace(found, offered=not why, why=why)


def _why_not(moment: Moment, battery: Battery, listed: bool) -> str:
    """Why a battery is not offered for a match, in one sentence; empty if it is."""
    if battery.place == "retired":
        return "It is retired."
    if battery.conflicts:
        return battery.conflicts[0]
    if not listed:
        return "No build sheet lists it, so nothing about it can be judged."
    if battery.place == "robot" and not battery.ready_in_robot:
        if battery.where != (moment.robot or ""):
            return f"It is in the robot {battery.where}."
        return "It has played in the robot. Take it out, charge and test it."
    bad = next((reading for verdict in ("stop", "unjudged") for reading in battery.readings if reading.verdict == verdict), None)
    if bad is not None:
        return f"{bad.verdict}: {bad.sentence}"
    return _untested(moment, battery)


def _untested(moment: Moment, battery: Battery) -> str:
    """The sentence of a battery without a load test at this event, or with one that the team's limit fails; else empty."""
    tests = moment.state.battery_tests.get(battery.name, [])
    test = tests[-1] if tests else None
    times = [fact.at for fact in (battery.resistance, test) if fact is not None]
    if not times:
        return "No load test is on record; voltage alone says little."
    if moment.arrival is not None and max(times) < moment.arrival:
        return "No load test since this event began; voltage alone says little."
    measured = test.body.result.get("resistance") if test else None
    if isinstance(measured, int | float) and measured > moment.definitions.settings["battery_stop"]:
        return "Its last load test is above the resistance at which a battery plays no match."
    return ""


def _last_readings(moment: Moment, part: str) -> tuple[ReadingFact, ...]:
    """The last reading of each check that this part has now."""
    keys = [key for key, item in moment.definitions.part_checks.items() if item.part.id == part]
    return tuple(reading for key in keys if (reading := moment.last_reading(key)) is not None)


def _with_unit(moment: Moment, readings: Sequence[ReadingFact], unit: str) -> ReadingFact | None:
    """The reading whose limit is in that SI unit: ohm for the load test, V for the rest voltage."""
    for reading in readings:
        limit = moment.definitions.part_checks[reading.key].limit
        if limit is not None and limit.unit == unit:
            return reading
    return None


def _worst(readings: Sequence[ReadingFact]) -> str:
    worst = "ok" if readings else "unjudged"
    for reading in readings:
        worst = worse(worst, reading.verdict)
    return worst


def _where(moment: Moment, move: Fact) -> str:
    """Which robot (by its name) or which channel a battery went to."""
    where = move.body.where.strip()
    if move.body.to != "robot":
        return where
    by_label = {robot.label.casefold(): robot.name for robot in moment.definitions.robots.values()}
    return by_label.get(where.casefold(), where.casefold()) or move.robot or ""


def _two_robots(moment: Moment, moves: Sequence[Fact]) -> tuple[str, ...]:
    """The conflict of a battery that went into a second robot without leaving the first; a later move elsewhere settles it."""
    if len(moves) < 2 or moves[-1].body.to != "robot" or moves[-2].body.to != "robot":
        return ()
    first, second = (_where(moment, move) or "one unnamed" for move in moves[-2:])
    return (f"It was logged in two robots, {first} and then {second}. Look where it is and log that.",) if first != second else ()


def _taken_over(moment: Moment) -> dict[str, str]:
    """Moves into a robot after which another battery went into the same robot: the earlier one must have come out unlogged."""
    last: dict[str, tuple[Fact, str]] = {}
    moves = [(fact, name) for name, facts in moment.state.battery_moves.items() for fact in facts if fact.body.to == "robot"]
    found = {}
    for fact, name in sorted(moves, key=lambda pair: pair[0].order):
        robot = _where(moment, fact)
        if robot in last and last[robot][1] != name:
            found[last[robot][0].id] = f"taken out of {robot or 'the robot'} when {name} went in"
        last[robot] = (fact, name)
    return found


def _folded(name: str) -> str:
    """A name without capitals, blanks and leading zeros: `07`, `7` and ` 7 ` fold to the same."""
    return "".join(name.split()).casefold().lstrip("0") or "0"


def _preference(battery: Battery) -> tuple:
    ohms = battery.resistance.result if battery.resistance else None
    measured = ohms if isinstance(ohms, int | float) else float("inf")
    return (not battery.ready_in_robot, not battery.offered, battery.place == "channel", measured, natural(battery.name))
