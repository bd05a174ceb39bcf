"""What a battery is fit for: how it stands now, its health by the team's limits, and its forecast sag."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from pitcrew.base.units import show
from pitcrew.domain.batteries.records import LACKING, Record, logs_of, span
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.robot.buildsheet import Part

USUAL_REST_VOLTAGE = 12.7
"""V at which a forecast begins where no judged rest voltage is known."""


@dataclass(frozen=True)
class Health:
    """`match`, `practice only`, `retire` or `not tested`, each with its evidence in a sentence."""

    word: str
    evidence: str


@dataclass(frozen=True)
class Forecast:
    """The lowest voltage (V) that is to be expected under `current` (A, over a second), and its margin to the brown-out voltage."""

    lowest: float
    margin: float
    current: float
    resistance: float


def condition(moment: Moment, place: str, record: Record, offered: bool, suspect: bool) -> tuple[str, str]:
    """How a battery stands (charging, cooling, resting, ready, used, suspect, retired), and until when, in words."""
    rest = moment.definitions.settings["battery_rest"]
    since = (moment.now - record.off_since).total_seconds() if record.off_since else rest
    left = f"{minutes_left(rest - since)} min more" if since < rest else ""
    if place == "retired" or suspect:
        return ("retired" if place == "retired" else "suspect"), ""
    if place == "channel":
        return "charging", f"for {span(moment.now - record.stays[-1].begin)}" if record.stays else ""
    if left:
        return ("cooling" if record.off_what == "robot" else "resting"), left
    if record.lacks > LACKING:
        return "used", ""
    return ("ready" if offered else "resting"), ""


def minutes_left(seconds: float) -> int:
    """Whole minutes that are left, at least one."""
    return max(1, round(seconds / 60))


def health(moment: Moment, part: Part, readings: Iterable[ReadingFact], resistance: ReadingFact | None, test: Fact | None) -> Health:
    """What the team's limits make of the last readings and the last capacity test. The worst evidence decides."""
    settings = moment.definitions.settings
    broken = next((item for item in readings if item.verdict == "stop" and "case" in item.check), None)
    if broken is not None:
        return Health("retire", broken.sentence)
    found = []
    if resistance is not None and resistance.verdict != "unjudged" and isinstance(resistance.result, int | float):
        ohms = float(resistance.result)
        bounds = ((settings["battery_retire"], "retire"), (settings["battery_stop"], "practice only"))
        word, edge = next(((word, edge) for edge, word in bounds if ohms > edge), ("match", settings["battery_stop"]))
        found.append(Health(word, f"{show(ohms, 'mohm')}, {'within' if word == 'match' else 'above'} your team's {show(edge, 'mohm')}."))
    measured = test.body.result.get("capacity_25") if test else None
    if isinstance(measured, int | float):
        rated = part.specs.get("capacity")
        least = settings["battery_capacity"]
        half = isinstance(rated, int | float) and measured < rated / 2
        word = "retire" if half else "practice only" if measured < least else "match"
        found.append(Health(word, f"{show(float(measured), 'A*h')} at 25 °C, your team wants {show(least, 'A*h')} for matches."))
    return max(found, key=lambda item: ("match", "practice only", "retire").index(item.word),
               default=Health("not tested", "No load test that counts, no capacity test."))


def current_profile(moment: Moment) -> float | None:
    """The current (A over a second) of this robot's last three logs, the middle one; None without a log."""
    found = [fact.body.sustained_current for fact in logs_of(moment) if fact.body.sustained_current is not None]
    return float(median(found[-3:])) if found else None


def forecast(moment: Moment, rest: ReadingFact | None, total: float | None, current: float | None) -> Forecast | None:
    """The sag in the next match by Ohm's law, from the resistance of battery and wiring in ohm; None where it or the current is unknown."""
    if total is None or current is None:
        return None
    judged = rest is not None and rest.verdict in ("ok", "watch") and isinstance(rest.result, int | float)
    volts = float(rest.result) if judged and rest is not None else USUAL_REST_VOLTAGE
    lowest = volts - total * current
    return Forecast(lowest, lowest - moment.definitions.settings["brown_out"], current, total)


def is_elimination(run: Run | None, beginnings: str) -> bool:
    """Whether a run's name begins like those of elimination matches: by its letters alone where they are one or two."""
    found = re.match(r"[^\W\d_]+", run.match.strip().casefold()) if run else None
    if found is None:
        return False
    wanted = [word.strip().casefold() for word in beginnings.split(",") if word.strip()]
    return any(found[0] == word or (len(word) > 2 and found[0].startswith(word)) for word in wanted)


def two_at_once(moves: Sequence[Fact]) -> str:
    """The conflict of a battery that two devices logged in two places within two minutes; a later move settles it."""
    if len(moves) < 2:
        return ""
    first, second = moves[-2:]
    near = (second.at - first.at).total_seconds() <= 120 and first.entry.device != second.entry.device
    places = [f"{move.body.to} {move.body.where}".strip() for move in (first, second)]
    if not near or places[0] == places[1] or first.body.to == second.body.to == "robot":
        return ""
    return (f"{first.person} logged it at {places[0]} and {second.person} at {places[1]} within two minutes: two batteries of one name? "
            "Look where it is and log that.")


def measured_though_retired(moves: Sequence[Fact], readings: Sequence[ReadingFact]) -> str:
    """The conflict of a reading on a battery that was retired before; empty where there is none."""
    if not moves or moves[-1].body.to != "retired" or not any(reading.at > moves[-1].at for reading in readings):
        return ""
    return "It was measured after it was retired: is it another one of that name, or in use again? Log where it is."
