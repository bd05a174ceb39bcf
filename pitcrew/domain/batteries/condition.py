"""What a battery is fit for: how it stands now, and its health by the team's limits."""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pitcrew.base.units import show
from pitcrew.domain.batteries.records import LACKING, BatteryRecord, span
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.robot.buildsheet import Part

_WORSE = ("match", "practice only", "retire")
_REPLACE = 0.8
"""of its own first capacity test, under which it is replaced as soon as practical (a public works
agency's guide for storage batteries). The label cannot stand in: it is a 20-hour figure."""


@dataclass(frozen=True)
class Health:
    """`match`, `practice only`, `retire` or `not tested`, each with its evidence in a sentence."""

    word: str
    evidence: str


def condition(
    moment: Moment, place: str, record: BatteryRecord, offered: bool, suspect: bool
) -> tuple[str, str]:
    """How a battery stands (charging, cooling, resting, ready, used, suspect, retired), and until
    when, in words."""
    rest = moment.definitions.settings["battery_rest"]
    since = (moment.now - record.off_since).total_seconds() if record.off_since else rest
    left = f"{minutes_left(rest - since)} min more" if since < rest else ""
    if place == "retired" or suspect:
        return ("retired" if place == "retired" else "suspect"), ""
    if place == "channel":
        return "charging", (
            f"for {span(moment.now - record.stays[-1].begin)}" if record.stays else ""
        )
    if left:
        return ("cooling" if record.off_what == "robot" else "resting"), left
    if record.lacks > LACKING:
        return "used", ""
    return ("ready" if offered else "resting"), ""


def minutes_left(seconds: float) -> int:
    """Whole minutes that are left, at least one."""
    return max(1, round(seconds / 60))


def health(
    moment: Moment,
    part: Part,
    readings: Iterable[ReadingFact],
    resistance: ReadingFact | None,
    tests: Sequence[Fact],
) -> Health:
    """What limits make of the last readings and the capacity tests. The worst evidence decides."""
    broken = next(
        (item for item in readings if item.verdict == "stop" and "case" in item.check), None
    )
    if broken is not None:
        return Health("retire", broken.sentence)
    by_load = _by_resistance(moment, resistance) if resistance is not None else None
    found = [item for item in (by_load, _by_capacity(moment, part, tests)) if item]
    untested = Health("not tested", "No load test that counts, no capacity test.")
    return max(found, key=lambda item: _WORSE.index(item.word), default=untested)


def _by_resistance(moment: Moment, reading: ReadingFact) -> Health | None:
    """The resistance against the team's limits, or those of the pair that it was taken with."""
    if reading.verdict == "unjudged" or not isinstance(reading.result, int | float):
        return None
    settings, ohms = moment.definitions.settings, float(reading.result)
    own = (reading.limit or {}).get("stop_high")
    stop = float(own) if isinstance(own, int | float) else settings["battery_stop"]
    usual = math.isclose(stop, settings["battery_stop"], rel_tol=1e-6)
    whose = "your team's" if usual else "the limit of its pair of loads,"
    word, edge = ("match", stop) if ohms <= stop else ("practice only", stop)
    if usual and ohms > settings["battery_retire"]:
        word, edge = "retire", settings["battery_retire"]
    side = "within" if word == "match" else "above"
    return Health(word, f"{show(ohms, 'mohm')}, {side} {whose} {show(edge, 'mohm')}.")


def _by_capacity(moment: Moment, part: Part, tests: Sequence[Fact]) -> Health | None:
    """The last capacity test by the retire rule. The sources disagree, and the sentence says so."""
    measured = [
        float(value)
        for test in tests
        if isinstance(value := test.body.result.get("capacity_25"), int | float)
    ]
    if not measured:
        return None
    last, first, rated = measured[-1], measured[0], part.specs.get("capacity")
    least = moment.definitions.settings["battery_capacity"]
    if isinstance(rated, int | float) and last < rated / 2:
        half = f"under half of its label's {show(float(rated), 'A*h')}: worn out (common practice)"
        return Health("retire", f"{show(last, 'A*h')} at 25 °C, {half}.")
    said = (
        f"{show(last, 'A*h')} at 25 °C, your team wants {show(least, 'A*h')} for matches "
        "(makers' documentation)"
    )
    if last >= _REPLACE * first:
        return Health("match" if last >= least else "practice only", f"{said}.")
    said += (
        f"; {100 * last / first:.0f} % of its first test: under {_REPLACE * 100:.0f} % replace it "
        "(guides for storage batteries)"
    )
    return Health("practice only" if last >= least else "retire", f"{said}.")


def is_elimination(run: Run | None, beginnings: str) -> bool:
    """Whether a run's name begins like those of elimination matches: by its letters alone where
    they are one or two."""
    found = re.match(r"[^\W\d_]+", run.match.strip().casefold()) if run else None
    if found is None:
        return False
    wanted = [word.strip().casefold() for word in beginnings.split(",") if word.strip()]
    return any(found[0] == word or (len(word) > 2 and found[0].startswith(word)) for word in wanted)


def two_at_once(moves: Sequence[Fact]) -> str:
    """The conflict of a battery that two devices logged in two places within two minutes; a later
    move settles it."""
    if len(moves) < 2:
        return ""
    first, second = moves[-2:]
    near = (
        second.at - first.at
    ).total_seconds() <= 120 and first.entry.device != second.entry.device
    places = [f"{move.body.to} {move.body.where}".strip() for move in (first, second)]
    if not near or places[0] == places[1] or first.body.to == second.body.to == "robot":
        return ""
    return (
        f"{first.person} logged it at {places[0]} and {second.person} at {places[1]} within two"
        " minutes: two batteries of one name? Look where it is and log that."
    )


def measured_though_retired(moves: Sequence[Fact], readings: Sequence[ReadingFact]) -> str:
    """The conflict of a reading on a battery that was retired before; empty where there is none."""
    if (
        not moves
        or moves[-1].body.to != "retired"
        or not any(reading.at > moves[-1].at for reading in readings)
    ):
        return ""
    return (
        "It was measured after it was retired: is it another one of that name, or in use again? Log"
        " where it is."
    )
