"""The kinds of entries, a file each. A new file here is a new kind: shape, who may write it, where
the state files it, what it touches and ends, how a handoff tells it. Nothing else names it.
"""

from importlib import import_module
from pkgutil import iter_modules

from pitcrew.base.kinds.kind import Body, Kind
from pitcrew.base.spoken import with_article


def _found() -> dict[str, Kind]:
    names = sorted(module.name for module in iter_modules(__path__) if module.name != "kind")
    return {name: import_module(f"{__name__}.{name}").KIND for name in names}


KINDS: dict[str, Kind] = _found()
BODIES: dict[str, type[Body]] = {name: kind.body for name, kind in KINDS.items()}


def spoken(name: str) -> str:
    """What people call an entry of a kind: `reading`, `skipped check`. A kind that no one here
    knows is called by its name."""
    kind = KINDS.get(name)
    return kind.words if kind and kind.words else name.replace("_", " ")


def a_spoken(name: str) -> str:
    """The same with its article: `a reading`, `an approval`."""
    return with_article(spoken(name))


SIGNED_KINDS = frozenset(name for name, kind in KINDS.items() if kind.signed)
"""Kinds that never come through `POST /api/entries`: they come through pages and the laptop
itself."""
