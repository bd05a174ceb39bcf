"""Which battery to carry: the ranked proposal for the next match with its reasons, and a plan for
the matches after it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.base.settings import Settings
from pitcrew.base.units import show
from pitcrew.domain.batteries.condition import is_elimination
from pitcrew.domain.batteries.fleet import NO_MATCH, Battery
from pitcrew.domain.batteries.forecasts import SHARE
from pitcrew.domain.batteries.ranking import preference, why_later
from pitcrew.domain.batteries.records import LACKING, lacking_sentence, usual_charge
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import starts_of
from pitcrew.domain.logbook.schedule import Run, runs_to_come

PLANNED = 6
"""matches ahead that are planned"""
_SECONDS = 3600.0


@dataclass(frozen=True)
class Candidate:
    """A battery at its rank: `take` for the one to carry, `why` speaks for it, `why_not` says why
    it does not come first, `behind` why it comes after the one before it, if that is not the
    first."""

    battery: Battery
    take: bool
    why: str
    why_not: str
    behind: str = ""


@dataclass(frozen=True)
class Planned:
    """A coming match and the battery meant for it; None where none is likely to be charged by
    then."""

    run: Run
    start: datetime | None
    battery: Battery | None
    why: str


def candidates(moment: Moment, batteries: Sequence[Battery]) -> list[Candidate]:
    """The batteries in the order in which they should be taken for the next match; retired ones
    come last."""
    ranked = sorted(
        batteries,
        key=lambda item: (item.place == "retired", *preference(item)),
    )
    current = moment.definitions.settings["charger_current"]
    first = ranked[0] if ranked and ranked[0].offered else None
    return [
        Candidate(
            item,
            item is first,
            _why(item),
            "" if item is first else _why_not(item, first, current),
            _behind(item, ranked[at - 1], first) if at else "",
        )
        for at, item in enumerate(ranked)
    ]


def plan(moment: Moment, batteries: Sequence[Battery]) -> list[Planned]:
    """A battery for each of the coming matches: the best that is not planned yet, else the one that
    is charged again soonest."""
    settings = moment.definitions.settings
    starts = starts_of(moment.state)
    hours = usual_charge(moment) / settings["charger_current"]
    usable = [
        item
        for item in batteries
        if item.offered or item.place == "channel" or item.record.lacks > LACKING
    ]
    usable = [
        item
        for item in usable
        if item.place != "retired"
        and not item.conflicts
        and item.state != "stop"
        and not (item.health and item.health.word in NO_MATCH)
    ]
    free_at = {item.name: _ready_at(moment, item, settings) for item in usable}
    uses: Counter[str] = Counter()
    found = []
    for run in runs_to_come(moment.state, moment.now)[:PLANNED]:
        start = starts.get(run.id)
        at = max(start, moment.now).timestamp() if start else float("inf")
        last = is_elimination(run, settings["eliminations"])
        free = [item for item in usable if free_at[item.name] <= at]
        chosen = min(
            free,
            key=lambda item: (item.kept_back != last, uses[item.name], preference(item)),
            default=None,
        )
        if chosen is not None:
            uses[chosen.name] += 1
            free_at[chosen.name] = (
                at
                + settings["match_length"]
                + settings["walk_back"]
                + hours * _SECONDS
                + settings["battery_rest"]
            )
        found.append(Planned(run, start, chosen, _plan_words(chosen, last)))
    return found


def as_rows(found: Sequence[Candidate]) -> list[dict[str, Any]]:
    """The ranked list as plain data, numbers in SI units, charge in A*h."""
    return [_row(rank, item) for rank, item in enumerate(found, 1)]


def _row(rank: int, item: Candidate) -> dict[str, Any]:
    battery, sag, charge = item.battery, item.battery.forecast, item.battery.charge
    return {
        "rank": rank,
        "battery": battery.name,
        "label": battery.part.label,
        "take": item.take,
        "offered": battery.offered,
        "why": item.why,
        "why_not": item.why_not,
        "behind": item.behind,
        "reasons": [text for text in (item.why, item.why_not, item.behind) if text],
        "place": battery.place,
        "where": battery.where,
        "state": battery.condition,
        "charged": battery.charged,
        "lacks": battery.record.lacks,
        "charge": {"low": charge.low, "high": charge.high} if charge else None,
        "charge_source": charge.source if charge else None,
        "charge_unknown": battery.record.estimate.unknown,
        "resistance": battery.ohms,
        "health": battery.health.word if battery.health else None,
        "lowest_voltage": sag.lowest if sag else None,
        "margin": sag.margin if sag else None,
        "lowest_interval": {"low": sag.low, "high": sag.high, "share": SHARE} if sag else None,
        "forecast_record": sag.record if sag else None,
        "forecast_if_charged": bool(sag and charge is None),
        "matches": len(battery.record.matches),
        "cycles": battery.record.cycles,
        "bought": battery.bought,
        "channel_suspect": list(battery.channel_suspect),
        "kept_back": battery.kept_back,
        "conflicts": list(battery.conflicts),
    }


def plan_rows(found: Sequence[Planned]) -> list[dict[str, Any]]:
    """The plan as plain data."""
    return [
        {
            "match": item.run.id,
            "label": item.run.name,
            "expected": format_instant(item.start) if item.start else None,
            "battery": item.battery.name if item.battery else None,
            "why": item.why,
        }
        for item in found
    ]


def row_lines(rows: Sequence[dict[str, Any]]) -> list[str]:
    """Rows of the list or of the plan as lines."""
    if rows and "rank" in rows[0]:
        record = next((row["forecast_record"] for row in rows if row["forecast_record"]), "")
        ranked = [
            f"{row['rank']}. {row['label']}{': take this one' if row['take'] else ''}."
            f" {' '.join(map(_sentence, row['reasons']))}"
            for row in rows
        ]
        return [*ranked, f"{_sentence(record)}."] if record else ranked
    return [f"{row['label']}: {_choice(row)}" for row in rows]


def _choice(row: dict[str, Any]) -> str:
    battery, why = row["battery"], row["why"]
    return f"{battery or 'none'}{(', ' if battery else '. ') if why else ''}{why}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _ready_at(moment: Moment, battery: Battery, settings: Settings) -> float:
    """When a battery is charged and rested, as a timestamp: what lacks by the charger's current,
    then the rest."""
    now = moment.now.timestamp()
    current: float = settings["charger_current"]
    rest: float = settings["battery_rest"]
    if battery.record.lacks > LACKING:
        return now + battery.record.lacks / current * _SECONDS + rest
    return now + (rest if battery.place == "channel" else 0.0)


def _plan_words(chosen: Battery | None, last: bool) -> str:
    if chosen is None:
        return "None is likely to be charged and rested by then: charge one now."
    if last and chosen.kept_back:
        return "kept for the eliminations"
    if chosen.charge is None and chosen.record.lacks <= LACKING:
        return "if its charge holds: it is not known"
    return (
        "if it goes on charge now"
        if chosen.record.lacks > LACKING and chosen.place != "channel"
        else ""
    )


def _why(battery: Battery) -> str:
    """What speaks for a battery, in one sentence of short pieces."""
    pieces = []
    if battery.ready_in_robot:
        pieces.append("it is in the robot and fresh")
    elif battery.place == "channel":
        pieces.append(f"still on channel {battery.where}")
    if battery.charge is not None:
        charge = battery.charge
        pieces.append(f"{charge.low:.0f} to {charge.high:.0f} % by {charge.source}")
    else:
        pieces.append("charge not known")
    if battery.ohms is not None:
        pieces.append(f"{show(battery.ohms, 'mohm')}")
    if battery.forecast is not None:
        sag = battery.forecast
        known = battery.charge is not None
        if_charged, whatever = ("", "") if known else (", if it is charged", " whatever its charge")
        pieces.append(
            f"forecast lowest {sag.lowest:.1f} V{if_charged} ({sag.low:.1f} to"
            f" {sag.high:.1f} V{whatever}) at {sag.current:.0f} A, {sag.against_brown_out}"
        )
    if battery.bought is not None:
        pieces.append(f"bought in {battery.bought}")
    played = len(battery.record.matches)
    pieces.append(
        f"{played} match{'es' if played != 1 else ''} played" if played else "not played yet"
    )
    return _sentence(f"{', '.join(pieces)}.")


def _behind(battery: Battery, before: Battery, first: Battery | None) -> str:
    """Why a battery stands after the one before it; empty where that is the first, of which
    `why_not` tells, or where it is not offered at all, which is said already."""
    if before is first or (before.offered and not battery.offered):
        return ""
    words = why_later(battery, before)
    if words.startswith(("It ", "Its ", "Nothing ", "As good ")):
        words = words[:1].lower() + words[1:]
    return f"Behind {before.part.label}: {words}" if words else ""


def _why_not(battery: Battery, first: Battery | None, current: float) -> str:
    """Why a battery does not come first: what it fails by, in the order in which that counts."""
    if not battery.offered:
        return battery.why
    lacking = lacking_sentence(battery.record, current)
    if battery.place == "channel" and (lacking or first is None or first.place != "channel"):
        return f"It is on channel {battery.where}. {lacking}".strip()
    if lacking:
        return lacking
    return why_later(battery, first) if first else ""
