"""The engines that the contract is tried on, and the stamp that tests use instead of the pit's
sealing."""

import hashlib
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from typing import Any

from pitcrew.storage import engines
from pitcrew.storage.journal import Journal
from pitcrew.storage.opening import FILE, open_journal

ENGINES = tuple(module.name for module in iter_modules(engines.__path__))
DURABLE = tuple(
    name for name in ENGINES if import_module(f"{engines.__name__}.{name}").ENGINE.durable
)
"""Engines whose entries outlive the process."""


def stamp(draft: dict[str, Any], seq: int, previous: str) -> dict[str, Any]:
    """Number a draft and chain it to the one before, as the pit does with its key."""
    return {
        **draft,
        "seq": seq,
        "seal": hashlib.sha256(f"{previous}{draft['id']}".encode()).hexdigest(),
    }


def address(engine: str, place: Path) -> Path | str:
    """Where a test's log of that engine is kept."""
    log = place / "logbook.jsonl"
    return log if engine == FILE else f"{engine}://{log}"


def opened(engine: str, place: Path, **options: Any) -> Journal:
    """A journal of that engine, made if it is not there yet."""
    return open_journal(address(engine, place), stamp, create=True, **{"fsync": False, **options})


def draft(number: int | str, text: Any = "x") -> dict[str, Any]:
    """A small entry as it comes from its maker."""
    return {
        "id": f"id-{number}",
        "kind": "note",
        "at": "2026-03-07T10:31:05Z",
        "body": {"text": text},
    }


def three_entries(place: Path) -> Path:
    """A log file of three entries; its path."""
    journal = opened("file", place)
    journal.append([draft(1), draft(2), draft(3)])
    journal.close()
    return place / "logbook.jsonl"
