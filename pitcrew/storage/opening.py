"""From an address to an engine, by name, so that no engine is imported unasked."""

from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

from pitcrew.base.errors import BadInput
from pitcrew.storage import engines
from pitcrew.storage.journal import Appended, Engine, Journal, ReadLog, Stamp

__all__ = [
    "FILE",
    "MEMORY",
    "Appended",
    "Journal",
    "ReadLog",
    "engine_of",
    "open_journal",
    "read_records",
]

MEMORY = "memory:"
FILE = "file"


def open_journal(
    address: Path | str, stamp: Stamp, *, create: bool = False, fsync: bool = True
) -> Journal:
    """Open a log for writing: a file path, `memory:` for a trial, or `NAME://WHERE` for another
    engine. Raises Missing, Damaged, BadInput and PitcrewError."""
    name, where = engine_of(address)
    return _engine(name).opened(where, stamp, create, fsync)


def engine_of(address: Path | str) -> tuple[str, str]:
    """The engine that an address names, and where its log is; whatever names none is a file."""
    name, mark, where = str(address).partition("://")
    if address == MEMORY:
        return "memory", ""
    return (name, where) if mark else (FILE, str(address))


def _engine(name: str) -> Engine:
    known = [module.name for module in iter_modules(engines.__path__)]
    if name not in known:
        raise BadInput(
            f"The engine {name!r} is not built in yet; the logbook is a file. Leave out --store.",
            "--store",
        )
    found: Engine = import_module(f"{engines.__name__}.{name}").ENGINE
    return found


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
