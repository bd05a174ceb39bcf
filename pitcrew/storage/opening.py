"""From an address to an engine, by name, so that no engine is imported unasked."""

from pathlib import Path

from pitcrew.base.errors import BadInput
from pitcrew.storage.journal import Appended, Journal, ReadLog, Stamp

__all__ = ["MEMORY", "Appended", "Journal", "ReadLog", "open_journal", "read_records"]

MEMORY = "memory:"


def open_journal(
    address: Path | str, stamp: Stamp, *, create: bool = False, fsync: bool = True
) -> Journal:
    """Open a log for writing: a file path, or `memory:` for a trial. Raises Missing, Damaged,
    BadInput and PitcrewError."""
    from pitcrew.storage.tiny import TinyJournal

    if address == MEMORY:
        from pitcrew.storage.memory import MemoryStorage

        return TinyJournal(MemoryStorage(), stamp)
    engine, mark, _ = str(address).partition("://")
    if mark:
        raise BadInput(
            f"The engine {engine!r} is not built in yet; the logbook is a file. Leave out --store.",
            "--store",
        )
    from pitcrew.storage.lines import LinesStorage

    return TinyJournal(LinesStorage(Path(address), create=create, fsync=fsync), stamp)


def read_records(path: Path) -> ReadLog:
    """The intact records of a log file, beside a running server: nothing is locked or repaired.
    Raises Damaged."""
    from pitcrew.storage.lines import scan
    from pitcrew.storage.torn import is_whole, may_have_been

    if not path.exists():
        return ReadLog("", [], [])
    found = scan(path)
    incomplete = (
        f"{path.name}: {found.torn} bytes after entry {len(found.records)} are no whole line (or"
        " not yet) and were left out."
    )
    cut = may_have_been(found.end) if is_whole(found.end) else ""
    return ReadLog(found.log, found.records, [incomplete] if found.torn else [], found.end, cut)
