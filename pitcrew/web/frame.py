"""What stands around every screen: who asks, the menu, the clock strip, the banner of file
mistakes. Worked out once a request."""

from typing import Any

from flask import Flask, current_app, g, request

from pitcrew.web.access import MEMBERS, PUBLIC
from pitcrew.web.request_context import device_or_none, looking, the_pit
from pitcrew.web.screen import Screen, in_menu, the_screens


def init_app(app: Flask) -> None:
    """Give every template the frame."""
    app.context_processor(_frame)


def _frame() -> dict[str, Any]:
    if "frame" not in g:
        asked = device_or_none()
        g.frame = {"device": asked, "here": request.path, "clock": None, "mistakes": []}
        g.frame["menu"] = menu_for(asked.role if asked else None)
        if asked is None:
            g.frame["now"] = the_pit().clock()
        else:
            with looking() as view:
                g.frame |= {"now": view.now, "clock": view.clock}
                g.frame["mistakes"] = view.definitions.mistakes
    return g.frame


def menu_for(role: str | None) -> list[Screen]:
    """The screens in the menu of a role; without one, those that everyone may open."""
    return [screen for screen in in_menu(the_screens()) if _opens_for(screen, role)]


def _opens_for(screen: Screen, role: str | None) -> bool:
    endpoint, _ = current_app.url_map.bind("").match(screen.path)
    allowed = getattr(current_app.view_functions[endpoint], "needs", ())
    return allowed == PUBLIC or (role in allowed if role else set(MEMBERS) <= set(allowed))
