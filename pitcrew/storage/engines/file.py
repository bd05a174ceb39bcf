"""The log file of the pit folder: the engine where no other is named."""

from pathlib import Path

from pitcrew.storage.journal import Engine, Journal, Stamp
from pitcrew.storage.lines import LinesStorage
from pitcrew.storage.tiny import TinyJournal


def _opened(where: str, stamp: Stamp, create: bool, fsync: bool) -> Journal:
    return TinyJournal(LinesStorage(Path(where), create=create, fsync=fsync), stamp)


ENGINE = Engine(_opened, durable=True)
