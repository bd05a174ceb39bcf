"""The current pit and the current device, typed."""

from flask import current_app, g, session
from flask_wtf.csrf import generate_csrf

from pitcrew.base.errors import NotJoined
from pitcrew.pit.photos import PhotoStore
from pitcrew.pit.pit import Author, Pit
from pitcrew.pit.roster import Device


def the_pit() -> Pit:
    """The pit that this application serves."""
    return current_app.extensions["pit"]


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
