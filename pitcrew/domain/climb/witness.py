"""What waits for a second person who saw it: hold tests, lowering tests, and debriefs that report
a climb that held."""

from dataclasses import dataclass
from datetime import datetime

from pitcrew.base.units import screen_name
from pitcrew.domain.checks.checklists import Check
from pitcrew.domain.logbook.doors import ids_of_browser
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.secondnames import told_by_two, witnesses


@dataclass(frozen=True)
class Unwitnessed:
    """An entry that only one person wrote: its id, what it says, who wrote it, under which ids its
    device has joined, when, and whether it is corrected or unverified.
    """

    of: str
    text: str
    by: str
    devices: frozenset[str]
    at: datetime
    marks: tuple[str, ...] = ()


def unwitnessed(moment: Moment) -> list[Unwitnessed]:
    """What a second person can confirm now, the latest first: the last reading of each such check
    today, and the last climb.
    """
    found = []
    for key, item in moment.definitions.part_checks.items():
        last = moment.last_reading(key)
        if (
            item.check.witness
            and last
            and last.done
            and moment.same_day(last.at)
            and not witnesses(moment.state, last)
        ):
            found.append(
                _of(
                    moment,
                    last,
                    f"{item.check.label}, {item.part.label}: {last.verdict}. {last.sentence}"
                    f" What was read: {answers_text(item.check, last)}.",
                )
            )
    if moment.climbs and (climb := moment.climbs[-1]).held and not told_by_two(moment.state, climb):
        found.append(
            _of(
                moment,
                climb.told[-1],
                f"{climb.run.label}: it climbed, "
                "and held with the power off until it was taken down.",
            )
        )
    return sorted(found, key=lambda item: item.at, reverse=True)


def answers_text(check: Check, reading: ReadingFact) -> str:
    """Every answer of a reading as it was typed, with its question: what decided is among them."""
    said = []
    for asked in check.inputs:
        given = reading.inputs.get(asked.name) or {}
        typed = str(given.get("typed", "")).strip()
        unit = screen_name(given.get("unit") or "")
        known = not unit or unit in typed
        said.append(f"{asked.label} {typed or 'not said'}{'' if known else f' {unit}'}")
    return "; ".join(said)


def _of(moment: Moment, fact: Fact, text: str) -> Unwitnessed:
    devices = ids_of_browser(moment.state.accesses, fact.entry.device)
    return Unwitnessed(fact.id, text, fact.person, devices, fact.at, fact.marks)
