"""Every figure by name. Asking for one imports the modules of this room, which declare them; scipy
is imported only inside the functions that use it."""

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from pitcrew import engineering
from pitcrew.base.errors import UnknownName
from pitcrew.engineering.figures import Figure, registered


@cache
def figures() -> dict[str, Figure]:
    """All figures, by name."""
    for module in iter_modules(engineering.__path__):
        import_module(f"{engineering.__name__}.{module.name}")
    return registered()


def find(name: str) -> Figure:
    """The figure of that name. Raises UnknownName with the nearest."""
    known = figures()
    if name not in known:
        raise UnknownName("The figure", name, known)
    return known[name]
