"""The hold path by the readings of this minute, and who last looked at each link of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import to_si
from pitcrew.domain.climb.lowered import factor_is_lowered
from pitcrew.domain.holding.asking import LOOK
from pitcrew.domain.holding.links import HoldPath, LastReading, Link, Measured
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.moment import Moment

PROOF = "path-proof"
"""The check that proof-loads a link at home; it stands in for looking at it."""
OF_THE_ROBOT = ("mass", "deflection", "free_length")
"""Quantities that belong to the robot, whichever part the check stands on."""


@dataclass(frozen=True)
class Inspection:
    """Who last looked at a link (or proof-loaded it), when, and what came of it."""

    key: str
    verdict: str
    at: datetime
    by: str


def hold_path_of(moment: Moment, seen_seq: int | None = None) -> HoldPath:
    """The hold path of the robot that plays, by what was known at `seen_seq` (None: all)."""
    return moment.once(
        (hold_path_of, seen_seq),
        lambda: hold_path(
            moment.definitions.robot,
            moment.definitions.settings,
            measured_by(moment, seen_seq),
            factor_is_lowered(moment, seen_seq),
        ),
    )


def measured_by(moment: Moment, seen_seq: int | None = None) -> Measured:
    """The last reading of every quantity that a check of the robot that plays measures."""
    found: dict[tuple[str, str], LastReading] = {}
    for key, item in moment.definitions.part_checks.items():
        measures = getattr(item.check, "measures", {})
        reading = moment.last_reading(key, seen_seq) if measures else None
        if reading is None:
            continue
        for quantity, value in _values(reading, measures):
            name = ("" if quantity in OF_THE_ROBOT else item.part.id, quantity)
            if name not in found or found[name].at <= reading.at:
                found[name] = LastReading(value, reading.at, reading.person, reading.marks)
    return Measured(found)


def _values(reading: ReadingFact, measures: dict[str, str]) -> Iterator[tuple[str, float]]:
    """Each quantity that a reading has a number for, SI."""
    for name, quantity in measures.items():
        given = reading.inputs.get(name)
        given = given if isinstance(given, dict) else {}
        value = given.get("value")
        if isinstance(value, bool) or not isinstance(value, int | float):
            continue
        try:
            yield quantity, to_si(value, given.get("unit") or "1")
        except PitcrewError:
            continue


def inspection_of(moment: Moment, link: Link, seen_seq: int | None = None) -> Inspection | None:
    """The last look at a link without numbers, or its proof load at home, whichever came later."""
    if not link.inspection_key:
        return None
    keys = (link.inspection_key, link.inspection_key.replace(LOOK, PROOF, 1))
    seen = [reading for key in keys if (reading := moment.last_reading(key, seen_seq)) is not None]
    if not seen:
        return None
    last = max(seen, key=lambda reading: reading.at)
    return Inspection(last.key, last.verdict, last.at, last.person)
