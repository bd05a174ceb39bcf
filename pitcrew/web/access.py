"""Closed by default: every view names who may open it with `@needs(...)`; a view that names no one
opens for no one."""

from collections.abc import Callable
from typing import TypeVar

from flask import Flask, current_app, g, request, session

from pitcrew.base.errors import NotJoined, Refused
from pitcrew.pit.roster import ROLES
from pitcrew.web.request_context import the_pit

PUBLIC = ("public",)
MEMBERS = ROLES
LEADS = ("lead",)
CAPTAINS = ("captain",)
DECIDERS = ("captain", "mentor", "lead")
LAPTOP = ("laptop",)

View = TypeVar("View", bound=Callable)


def needs(*roles: str) -> Callable[[View], View]:
    """Declare the roles that may open the decorated view, or `*PUBLIC`, or `*LAPTOP` (a command on
    this laptop)."""

    def declare(view: View) -> View:
        view.needs = roles  # type: ignore[attr-defined]
        return view

    return declare


def init_app(app: Flask) -> None:
    """Check every request before its view runs."""
    app.before_request(_check)


def _check() -> None:
    bearer = request.path.startswith("/api/")
    if not bearer and "device" in session:
        try:
            g.device = the_pit().roster.device(session["device"])
        except NotJoined:
            session.clear()
    if request.endpoint is None:
        return
    roles = getattr(current_app.view_functions[request.endpoint], "needs", ())
    if roles in (PUBLIC, LAPTOP):
        return
    if bearer:
        g.device = _device_of_bearer()
    if g.get("device") is None:
        raise NotJoined("This device has not joined. Join with a code from the pit lead.")
    if g.device.role not in roles:
        allowed = " or ".join(roles) or "nobody"
        raise Refused(
            f"This is for the {allowed}; you joined as {g.device.role}. Ask the pit lead."
        )


def _device_of_bearer():
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not token.strip():
        raise NotJoined(
            "The request carries no bearer token. What this phone holds is safe; join again with a"
            " fresh code."
        )
    return the_pit().roster.device_of_token(token.strip())
