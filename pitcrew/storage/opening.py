"""From an address to an engine, by name, so that no engine is imported unasked."""

from pathlib import Path

from pitcrew.errors import BadInput
from pitcrew.storage.journal import Appended, Journal, ReadLog, Stamp

__all__ = ["Appended", "Journal", "ReadLog", "open_journal", "read_records"]


def open_journal(address: Path | str, stamp: Stamp, *, create: bool = False, fsync: bool = True) -> Journal:
    """Open the log at a file path (or one day a `postgresql://` address) for writing. Raises Missing, Damaged, BadInput."""
    if "://" in str(address):
        engine = str(address).partition("://")[0]
        raise BadInput(f"The engine {engine!r} is not built in yet; the logbook is a file. Leave out --store.", "--store")
    from pitcrew.storage.tiny import TinyJournal

    return TinyJournal(Path(address), stamp, create=create, fsync=fsync)


def read_records(path: Path) -> ReadLog:
    """The intact records of a log file, beside a running server: nothing is locked or repaired. Raises Damaged."""
    from pitcrew.storage.lines import read_file

    return read_file(path)[0] if path.exists() else ReadLog("", [], [])
