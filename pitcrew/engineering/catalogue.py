"""Every figure by name. Importing this module declares them all; scipy is imported only inside the
functions that use it."""

from functools import cache
from importlib import import_module

from pitcrew.base.errors import UnknownName
from pitcrew.engineering.figures import Figure, registered

MODULES: tuple[str, ...] = (
    "audit",
    "batteries",
    "belt_strength",
    "belts",
    "brakes",
    "chains",
    "charge",
    "charts",
    "cords",
    "discard",
    "electrical",
    "fasteners",
    "growth",
    "holding",
    "lifting",
    "lines",
    "locknuts",
    "measurement",
    "pneumatics",
    "ratchets",
    "rates",
    "ropes",
    "seating",
    "servos",
    "shafts",
    "sheaves",
    "stock",
    "stretch",
    "strip",
    "survival",
    "terminals",
    "trends",
    "worms",
)


@cache
def figures() -> dict[str, Figure]:
    """All figures, by name."""
    for module in MODULES:
        import_module(f"pitcrew.engineering.{module}")
    return registered()


def find(name: str) -> Figure:
    """The figure of that name. Raises UnknownName with the nearest."""
    known = figures()
    if name not in known:
        raise UnknownName("The figure", name, known)
    return known[name]
