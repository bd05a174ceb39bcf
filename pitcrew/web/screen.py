"""What a screen is: everything that the program has to know of it besides its own views, said in
one place, the page's module."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from flask import current_app

from pitcrew.domain.now.view import PitView

EXTENSION = "screens"
"""Under which the application keeps its screens."""


def _nothing(view: PitView) -> dict[str, Any]:
    return {}


@dataclass(frozen=True)
class Screen:
    """One screen of the app. A page's module names it `SCREEN`; nothing else names it.

    Who may see it is stated by `@needs(...)` on the view at its path: the menu reads it there.
    """

    name: str
    """The first word of its address: `now` is the screen at /now."""
    menu: str = ""
    """Its word in the menu; empty where the menu does not lead to it."""
    place: int = 0
    """Its place among the words of the menu; 0 puts it beside them."""
    script: str = ""
    """The module under static/js/pages/ that starts on the laptop's page."""
    alone: str = ""
    """The module under static/js/pages/ that draws it on a phone without the laptop; empty where
    only the laptop can."""
    snapshot: Callable[[PitView], dict[str, Any]] = _nothing
    """What it adds to a phone's snapshot, so that `alone` has something to draw: `pieces` change
    with entries, `fixed` only with definitions."""

    @property
    def path(self) -> str:
        """The address at which it opens."""
        return f"/{self.name}"


def the_screens() -> tuple[Screen, ...]:
    """The screens of this application."""
    return current_app.extensions[EXTENSION]


def in_menu(screens: Iterable[Screen]) -> list[Screen]:
    """Those that the menu leads to, in its order; those beside its words come last."""
    return sorted((screen for screen in screens if screen.menu), key=_order)


def works_alone(screens: Iterable[Screen]) -> list[Screen]:
    """Those that a phone draws without the laptop, in the order of the menu."""
    return sorted((screen for screen in screens if screen.alone), key=_order)


def _order(screen: Screen) -> tuple[bool, int, str]:
    return not screen.place, screen.place, screen.name


def for_phones(screens: Iterable[Screen], view: PitView) -> dict[str, Any]:
    """What all screens add to a snapshot, tables of one name put together."""
    found: dict[str, Any] = {}
    for screen in screens:
        for name, added in screen.snapshot(view).items():
            found[name] = found.get(name, {}) | added if isinstance(added, dict) else added
    return found
