"""Jinja filters and globals: quantities, times in the event's zone, and what every page's frame shows."""

from datetime import datetime
from typing import Any

from flask import Flask, g, request

from pitcrew.clock import format_instant, local_time, parse_instant
from pitcrew.domain.turnaround import turnaround
from pitcrew.units import screen_unit, show
from pitcrew.web.here import device_or_none, the_pit
from pitcrew.web.shell import asset


def init_app(app: Flask) -> None:
    """Register filters, globals and the context of every page."""
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters.update(show=show, measure=measure, clock_time=clock_time, instant=instant, ago=ago)
    app.jinja_env.globals.update(asset=asset)
    app.context_processor(_frame)


def measure(si: float, dimension: str) -> str:
    """An SI number in the team's unit of a dimension."""
    return show(si, screen_unit(dimension, the_pit().definitions.settings["units"]))


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


def local_day(moment: datetime) -> str:
    """The event's calendar day of a moment."""
    from pitcrew.clock import event_day

    return event_day(moment, the_pit().definitions.settings["zone"])


def moment_weekday(moment: datetime) -> str:
    """`Sat`: the weekday in the event's zone."""
    from pitcrew.clock import zone

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


def _frame() -> dict[str, Any]:
    """What base.html shows on every page: who asks, the clock strip, and the file mistakes. Cached for the request."""
    if "frame" not in g:
        pit, asked = the_pit(), device_or_none()
        g.frame = {"device": asked, "definitions": pit.definitions, "here": request.path, "clock": None, "mistakes": []}
        if asked is not None:
            with pit.reading() as state:
                g.frame["clock"] = turnaround(pit.definitions, state, pit.clock())
            g.frame["mistakes"] = pit.definitions.mistakes
    return g.frame
