"""The batteries: where each is and since when, its last readings, whether it is offered for a match
and why not, and which to take."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from pitcrew.domain.batteries.charge import CHARGED, FLAT, Charge
from pitcrew.domain.batteries.condition import (
    Health,
    condition,
    health,
    is_elimination,
    measured_though_retired,
    two_at_once,
)
from pitcrew.domain.batteries.forecasts import Forecast, Forecaster
from pitcrew.domain.batteries.lives import to_usual_pair, with_unit
from pitcrew.domain.batteries.records import (
    LACKING,
    BatteryRecord,
    records,
    sound_logs,
    suspect_channels,
)
from pitcrew.domain.batteries.whereabouts import (
    folded,
    moves_taken_over,
    told_apart,
    two_robots,
    where_to,
)
from pitcrew.domain.batteries.wiring import added_by_wiring, logs_that_count, resistance_rose
from pitcrew.domain.checks.readings import worse
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import natural
from pitcrew.domain.robot.buildsheet import Part

PREFIX = "battery."
NO_MATCH = ("practice only", "retire")
"""What a battery's health may say so that it is not offered for a match."""


@dataclass(frozen=True)
class Battery:
    """One battery. `place`: robot, channel, rest, bench, retired, or empty where no one logged it;
    `where`: which of them.

    `readings`: the last one of each of its checks; `state`: the worst of their verdicts;
    `conflicts`: what has to be settled;
    `ready_in_robot`: it is in the robot that plays and has not played there yet; `condition`:
    charging, cooling, resting, ready, used, suspect or retired; `channel_suspect`: other batteries
    from its channel were low too;
    `to_usual`: what brings its resistance to the usual pair of loads, where its last load test was
    made with another;
    `kept_back`: the best one, kept for the eliminations; `alike`: names that may mean the same
    battery, not settled yet.
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
    record: BatteryRecord = field(default_factory=BatteryRecord)
    condition: str = ""
    condition_more: str = ""
    health: Health | None = None
    forecast: Forecast | None = None
    channel_suspect: tuple[str, ...] = ()
    kept_back: bool = False
    alike: tuple[str, ...] = ()
    to_usual: float = 1.0

    @property
    def says(self) -> str:
        """Why it is not on offer, or what speaks for it, as a sentence."""
        if self.why:
            return self.why[:1].upper() + self.why[1:]
        offer = "In the robot already" if self.ready_in_robot else "Fit for a match by its readings"
        return f"{offer}." if self.charged else f"{offer}; {self.fitness}."

    @property
    def fitness(self) -> str:
        """What it is fit for now, in a word or two, the same on every page and on paper."""
        if not self.offered:
            return "not offered"
        if self.record.lacks > LACKING:
            return "not charged"
        if self.charge is None:
            return "charge not known"
        return "charged" if self.charged else "not sure to be charged"

    @property
    def sign(self) -> str:
        """The verdict on taking it: `ok` only for one that is fit and known to be charged."""
        if not self.offered:
            return self.state if self.state == "unjudged" else "stop"
        if self.charged:
            return self.state
        return worse(self.state, "watch" if self.charge_rank == 1 else "unjudged")

    @property
    def charge(self) -> Charge | None:
        """Its charge in % as a band and what says so; None where it is not known."""
        return self.record.estimate.charge

    @property
    def charge_words(self) -> str:
        """Its charge as a band, or that it is not known."""
        if self.charge is None:
            return "charge not known"
        return f"{self.charge.low:.0f} to {self.charge.high:.0f} %"

    @property
    def charged(self) -> bool:
        """Whether it is known to be charged: full by what was drawn and charged, and surely enough
        for a match."""
        return self.charge_rank == 0

    @property
    def charge_rank(self) -> int:
        """0 known to be charged, 1 not full but surely enough for a match, 2 not known, 3 lacking,
        not known to be enough."""
        lacking = self.record.lacks > LACKING
        if self.charge is not None and self.charge.low >= CHARGED:
            return 1 if lacking else 0
        return 3 if lacking else 2

    @property
    def bought(self) -> int | None:
        """The year in which it was bought, as the build sheet has it."""
        year = self.part.specs.get("bought")
        return int(year) if isinstance(year, int | float) else None

    @property
    def ohms(self) -> float | None:
        """The resistance by its last load test that was judged, in ohm."""
        reading = self.resistance
        judged = (
            reading is not None
            and reading.verdict != "unjudged"
            and isinstance(reading.result, int | float)
        )
        return float(reading.result) if judged and reading is not None else None

    @property
    def usual_ohms(self) -> float | None:
        """The same as it would be with the usual pair of loads, by the limits of the two pairs
        (common practice: no source compares testers)."""
        return None if self.ohms is None else self.ohms * self.to_usual


def fleet(moment: Moment) -> list[Battery]:
    """Every battery of the build sheet and of the logbook, by name (10 after 9)."""
    robot = moment.definitions.robot
    parts = (
        {
            part.id.removeprefix(PREFIX): part
            for part in robot.parts.values()
            if part.kind == "battery"
        }
        if robot
        else {}
    )
    logged = (moment.state.battery_moves, moment.state.battery_tests, moment.state.robot_logs)
    names = sorted(
        {*parts, *(name for table in logged for name, facts in table.items() if facts)}, key=natural
    )
    alike: dict[str, list[str]] = defaultdict(list)
    for name in names:
        alike[folded(name)].append(name)
    taken_over, lives = moves_taken_over(moment), records(moment)
    apart = told_apart(moment)
    suspects = suspect_channels(moment, lives)
    found = []
    for name in names:
        others = tuple(
            other
            for other in alike[folded(name)]
            if other != name and frozenset((name, other)) not in apart
        )
        same = tuple(
            f"{name!r} and {other!r} are two names: are they the same battery?" for other in others
        )
        part = parts.get(name) or Part(PREFIX + name, name, "", "battery")
        battery = _battery(moment, name, part, name in parts, same, taken_over)
        record = lives.get(name, BatteryRecord())
        suspect = suspects.get(record.channel, ())
        found.append(replace(battery, record=record, alike=others, channel_suspect=suspect))
    return _kept_back(moment, _looked_into(moment, found))


def measured_ohms(batteries: Sequence[Battery]) -> dict[str, float]:
    """The resistance of each battery that has one by its tester, in ohm, with the usual pair of
    loads."""
    found = {battery.name: battery.usual_ohms for battery in batteries}
    return {name: ohms for name, ohms in found.items() if ohms is not None}


def _looked_into(moment: Moment, batteries: Sequence[Battery]) -> list[Battery]:
    """Condition, charge, health and forecast of each battery."""
    forecaster = Forecaster(moment, _with_wiring(moment, measured_ohms(batteries)))
    found = []
    for battery in batteries:
        tests = moment.state.battery_tests.get(battery.name, [])
        fit = health(moment, battery.part, battery.readings, battery.resistance, tests)
        unfit = f"{fit.word.capitalize()}: {fit.evidence}" if fit.word in NO_MATCH else ""
        unfit = unfit or _suspect_sentence(battery) or _flat_sentence(battery)
        suspect = bool(battery.conflicts) or any(
            reading.verdict == "stop" for reading in battery.readings
        )
        word, more = condition(
            moment,
            battery.place,
            battery.record,
            battery.offered and not unfit,
            suspect or bool(battery.channel_suspect),
        )
        found.append(
            replace(
                battery,
                offered=battery.offered and not unfit,
                why=battery.why or unfit,
                condition=word,
                condition_more=more,
                health=fit,
                forecast=forecaster.of(battery.name, battery.rest_voltage, battery.record.estimate),
            )
        )
    return found


def _suspect_sentence(battery: Battery) -> str:
    """Which batteries make the channel of a battery suspect; empty where none do."""
    if not battery.channel_suspect:
        return ""
    low = " and ".join(battery.channel_suspect)
    return (
        f"Channel {battery.record.channel} is suspect: {low} came back low from it. Measure it at"
        " rest."
    )


def _flat_sentence(battery: Battery) -> str:
    """Why a battery is too empty for any match; empty where it is not known to be."""
    charge = battery.charge
    if charge is None or charge.high >= FLAT:
        return ""
    return (
        f"It is not charged: {charge.low:.0f} to {charge.high:.0f} % by {charge.source}. Charge it."
    )


def _with_wiring(moment: Moment, measured: dict[str, float]) -> dict[str, float]:
    """The resistance of each battery with the wiring as it is now, in ohm: by its own last log,
    else its tester's and what wiring adds."""
    logs = sound_logs(moment)
    counted = logs_that_count(logs, resistance_rose(logs, measured))
    added = added_by_wiring(counted, measured)
    return {name: ohms + added for name, ohms in measured.items()} | {
        fact.body.battery: float(fact.body.resistance) for fact in counted
    }


def _kept_back(moment: Moment, batteries: list[Battery]) -> list[Battery]:
    """Mark the best battery before the eliminations, where the team keeps it back and another one
    can play."""
    settings = moment.definitions.settings
    fit = [
        battery
        for battery in batteries
        if battery.offered and battery.record.lacks <= LACKING and battery.ohms is not None
    ]
    fit = [battery for battery in fit if battery.charged] or fit
    if (
        not settings["keep_best"]
        or len(fit) < 2
        or is_elimination(moment.run, settings["eliminations"])
    ):
        return batteries
    best = min(fit, key=lambda battery: (battery.usual_ohms, natural(battery.name)))
    return [
        replace(battery, kept_back=battery is best and not battery.ready_in_robot)
        for battery in batteries
    ]


def _battery(
    moment: Moment,
    name: str,
    part: Part,
    listed: bool,
    same: tuple[str, ...],
    taken_over: dict[str, str],
) -> Battery:
    moves = moment.state.battery_moves.get(name, [])
    last = moves[-1] if moves else None
    place, where = (last.body.to, where_to(moment, last)) if last else ("", "")
    if last and last.id in taken_over:
        place, where = "", taken_over[last.id]
    readings = _last_readings(moment, part.id)
    odd = (
        two_at_once(moves),
        measured_though_retired(moves, moment.state.readings_of_part.get(part.id, [])),
    )
    conflicts = (*same, *two_robots(moment, moves), *filter(None, odd))
    ready = (
        last is not None
        and place == "robot"
        and where == (moment.robot or "")
        and not moment.runs_since(last.at)
    )
    found = Battery(
        name,
        part,
        place,
        where,
        last.at if last else None,
        readings,
        False,
        "",
        _worst(readings),
        ready,
        with_unit(moment, readings, "ohm"),
        with_unit(moment, readings, "V"),
        conflicts,
    )
    why = _why_not(moment, found, listed)
    return replace(
        found, offered=not why, why=why, to_usual=to_usual_pair(moment, found.resistance)
    )


def _why_not(moment: Moment, battery: Battery, listed: bool) -> str:
    """Why a battery is not offered for a match, in one sentence; empty if it is."""
    if battery.conflicts:
        return " ".join(battery.conflicts)
    if battery.place == "retired":
        return "It is retired."
    if not listed:
        return "No build sheet lists it, so nothing about it can be judged."
    if battery.place == "robot" and not battery.ready_in_robot:
        if battery.where != (moment.robot or ""):
            robot = moment.definitions.robots.get(battery.where)
            return f"It is in the robot {robot.label if robot else battery.where}."
        return "It has played in the robot. Take it out, charge and test it."
    bad = next(
        (
            reading
            for verdict in ("stop", "unjudged")
            for reading in battery.readings
            if reading.verdict == verdict
        ),
        None,
    )
    if bad is not None:
        return f"{bad.verdict}: {bad.sentence}"
    return _untested(moment, battery)


def _untested(moment: Moment, battery: Battery) -> str:
    """The sentence of a battery without a load test at this event, or with one that the team's
    limit fails; else empty."""
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


def _worst(readings: Sequence[ReadingFact]) -> str:
    worst = "ok" if readings else "unjudged"
    for reading in readings:
        worst = worse(worst, reading.verdict)
    return worst
