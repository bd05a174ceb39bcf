"""Jinja filters and globals: quantities, names, and times in the event's zone."""

import json
from datetime import datetime
from typing import Any

from flask import Flask
from markupsafe import Markup

from pitcrew.base.clock import event_day, format_instant, local_time, parse_instant, zone
from pitcrew.base.errors import BadInput
from pitcrew.base.kinds import spoken
from pitcrew.base.seal import head_text
from pitcrew.base.units import render, screen_name, screen_unit, show
from pitcrew.domain.checks.limits import limit_from_dict
from pitcrew.domain.checks.readings import result_text
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.sheets.templates import set_up
from pitcrew.web.names import part_name, run_name_of, zone_name
from pitcrew.web.request_context import the_pit
from pitcrew.web.shell import asset


def init_app(app: Flask) -> None:
    """Register filters and globals."""
    set_up(app.jinja_env)
    app.jinja_env.filters.update(
        measure=measure,
        clock_time=clock_time,
        day_and_time=day_and_time,
        instant=instant,
        ago=ago,
        part_name=part_name,
        zone_name=zone_name,
        run_name_of=run_name_of,
        result=result,
        unit_name=screen_name,
        kind_name=spoken,
        capital=capital,
        render=in_the_teams_units,
        head_text=head_text,
        clock_error=clock_error,
        page_json=page_json,
    )
    app.jinja_env.globals.update(asset=asset)


def measure(si: float, dimension: str) -> str:
    """An SI number in the team's unit of a dimension."""
    return show(si, screen_unit(dimension, the_pit().definitions.settings["units"]))


def in_the_teams_units(sentence: str) -> str:
    """A sentence with its marked quantities written out in the team's units."""
    return render(sentence, the_pit().definitions.settings["units"])


def page_json(value: Any) -> Markup:
    """Data for a script of the kind `application/json`: as short as it can be, with nothing in it
    that could end the script or begin a comment."""
    text = json.dumps(value, separators=(",", ":"), ensure_ascii=False)
    return Markup(text.replace("<", "\\u003c"))


def capital(text: str) -> str:
    """A sentence with its first letter in capitals, the rest as it is."""
    return text[:1].upper() + text[1:]


def result(reading: ReadingFact) -> str:
    """The number that a reading came to, as its limit shows it; empty where there is none."""
    try:
        return result_text(limit_from_dict(reading.limit or {}), reading.result)
    except BadInput:
        return ""


def instant(value: datetime | str | None) -> str:
    """An instant as machines read it."""
    return "" if value is None else (value if isinstance(value, str) else format_instant(value))


def clock_time(value: datetime | str | None) -> str:
    """`14:52` in the event's zone, with the weekday when it is not today; empty for None."""
    if value is None or value == "":
        return ""
    moment = parse_instant(value) if isinstance(value, str) else value
    zone_name = the_pit().definitions.settings["zone"]
    text = local_time(moment, zone_name)
    if local_day(moment) != local_day(the_pit().clock()):
        return f"{moment_weekday(moment)} {text}"
    return text


def day_and_time(moment: datetime) -> str:
    """`2026-03-07 14:52` in the event's zone, for what may be seasons ago."""
    return f"{moment.astimezone(zone(the_pit().definitions.settings['zone'])):%Y-%m-%d %H:%M}"


def local_day(moment: datetime) -> str:
    """The event's calendar day of a moment."""
    return event_day(moment, the_pit().definitions.settings["zone"])


def moment_weekday(moment: datetime) -> str:
    """`Sat`: the weekday in the event's zone."""
    return moment.astimezone(zone(the_pit().definitions.settings["zone"])).strftime("%a")


def ago(value: datetime | str) -> str:
    """How long ago: `4 min ago`, `3 h ago`, `2 days ago`."""
    moment = parse_instant(value) if isinstance(value, str) else value
    minutes = (the_pit().clock() - moment).total_seconds() / 60
    if minutes < 1:
        return "just now"
    if minutes < 90:
        return f"{minutes:.0f} min ago"
    return f"{minutes / 60:.0f} h ago" if minutes < 48 * 60 else f"{minutes / 1440:.0f} days ago"


def clock_error(offset: float | None) -> str:
    """How far a phone's clock is off, by the seconds to add to its times: `3 min behind`, `5 years
    ahead`; empty within a minute."""
    if offset is None or abs(offset) <= 60:
        return ""
    hours = abs(offset) / 3600
    steps = (
        (1.5, "min", 60),
        (48, "h", 1),
        (2 * 365 * 24, "days", 1 / 24),
        (float("inf"), "years", 1 / 8766),
    )
    word, factor = next((word, factor) for end, word, factor in steps if hours < end)
    return f"{hours * factor:.0f} {word} {'behind' if offset > 0 else 'ahead'}"
