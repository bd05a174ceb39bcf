"""What stands around every screen: who asks, the clock strip, the banner of file mistakes. Worked
out once a request."""

from typing import Any

from flask import Flask, g, request

from pitcrew.domain.now.turnaround import turnaround
from pitcrew.web.request_context import device_or_none, the_pit


def init_app(app: Flask) -> None:
    """Give every template the frame."""
    app.context_processor(_frame)


def _frame() -> dict[str, Any]:
    if "frame" not in g:
        pit, asked, now = the_pit(), device_or_none(), the_pit().clock()
        g.frame = {"device": asked, "here": request.path, "now": now, "clock": None, "mistakes": []}
        if asked is not None:
            with pit.reading() as state:
                g.frame["clock"] = turnaround(pit.definitions, state, now)
            g.frame["mistakes"] = pit.definitions.mistakes
    return g.frame
