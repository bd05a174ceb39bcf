"""The engines that the contract is tried on, and the stamp that tests use instead of the pit's sealing."""

import hashlib
from pathlib import Path
from typing import Any

from pitcrew.storage.journal import Journal
from pitcrew.storage.opening import open_journal

ENGINES = ("file",)


def stamp(draft: dict[str, Any], seq: int, previous: str) -> dict[str, Any]:
    """Number a draft and chain it to the one before, as the pit does with its key."""
    return {**draft, "seq": seq, "seal": hashlib.sha256(f"{previous}{draft['id']}".encode()).hexdigest()}


def address(engine: str, place: Path) -> Path | str:
    """Where a test's log of that engine lives."""
    assert engine == "file"
    return place / "logbook.jsonl"


def opened(engine: str, place: Path, **options: Any) -> Journal:
    """A journal of that engine, made if it is not there yet."""
    return open_journal(address(engine, place), stamp, create=True, **{"fsync": False, **options})


def draft(number: int | str, text: str = "x") -> dict[str, Any]:
    """A small entry as it comes from its maker."""
    return {"id": f"id-{number}", "kind": "note", "at": "2026-03-07T10:31:05Z", "body": {"text": text}}
