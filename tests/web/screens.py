"""The addresses that tests open, from the app's own registrations: a new screen is tried without
being named here."""

from collections.abc import Iterator

from flask import Flask

from pitcrew.web.pages import SCREENS
from pitcrew.web.screen import in_menu

EVERY_SCREEN = tuple(screen.path for screen in SCREENS)
IN_MENU = tuple(screen.path for screen in in_menu(SCREENS) if screen.place)
FILES = (".pdf", ".csv", ".jsonl", ".md", ".crt", ".mobileconfig", ".js", ".webmanifest")


def pages_of(app: Flask) -> Iterator[str]:
    """Every page of the app that needs nothing in its address."""
    for rule in sorted(app.url_map.iter_rules(), key=str):
        machine = rule.rule.startswith(("/api/", "/static/")) or rule.rule == "/healthz"
        if "GET" in (rule.methods or ()) and not (
            rule.arguments or machine or rule.rule.endswith(FILES)
        ):
            yield rule.rule
