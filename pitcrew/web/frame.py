"""What stands around every screen: who asks, the clock strip, the banner of file mistakes. Worked
out once a request."""

from typing import Any

from flask import Flask, g, request

from pitcrew.web.request_context import device_or_none, looking, the_pit


def init_app(app: Flask) -> None:
    """Give every template the frame."""
    app.context_processor(_frame)


def _frame() -> dict[str, Any]:
    if "frame" not in g:
        asked = device_or_none()
        g.frame = {"device": asked, "here": request.path, "clock": None, "mistakes": []}
        if asked is None:
            g.frame["now"] = the_pit().clock()
        else:
            with looking() as view:
                g.frame |= {"now": view.now, "clock": view.turnaround}
                g.frame["mistakes"] = view.definitions.mistakes
    return g.frame
