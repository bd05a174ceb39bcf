"""The current pit, the view of it, and the current device, typed."""

from collections.abc import Iterator
from contextlib import contextmanager

from flask import current_app, g, session
from flask_wtf.csrf import generate_csrf

from pitcrew.base.errors import NotJoined
from pitcrew.domain.now.view import PitView, view_of
from pitcrew.pit.intake import Author
from pitcrew.pit.photos import PhotoStore
from pitcrew.pit.pit import Pit
from pitcrew.pit.roster import Device


def the_pit() -> Pit:
    """The pit that this application serves."""
    return current_app.extensions["pit"]


@contextmanager
def looking() -> Iterator[PitView]:
    """This request's view of the pit, the state held still while the caller looks.

    Whoever looks again sees the same view, unless the log or the definitions moved on meanwhile.
    """
    pit = the_pit()
    with pit.reading() as state:
        if "view" not in g or not g.view.is_current(pit.definitions, state):
            g.view = view_of(pit.definitions, state, pit.clock())
        yield g.view


def the_photos() -> PhotoStore:
    """The photos of that pit."""
    return current_app.extensions["photos"]


def device() -> Device:
    """The device that asked, as `access` found it. Raises NotJoined."""
    found = g.get("device")
    if found is None:
        raise NotJoined("This device has not joined. Join with a code from the pit lead.")
    return found


def device_or_none() -> Device | None:
    """The device that asked, or None on a public page."""
    return g.get("device")


def author() -> Author:
    """The device that asked, as the author of an entry."""
    asked = device()
    return Author(asked.id, asked.person, asked.role)


def remember(found: Device) -> None:
    """Keep a device in the page session, with its form token from the start: pages that load side
    by side then share one."""
    session.clear()
    g.pop("csrf_token", None)
    session["device"] = found.id
    session.permanent = True
    generate_csrf()
    g.device = found
