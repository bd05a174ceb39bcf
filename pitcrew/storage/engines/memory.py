"""Memory alone, for tests and trials: gone when the program ends."""

from pitcrew.storage.journal import Engine, Journal, Stamp
from pitcrew.storage.memory import MemoryStorage
from pitcrew.storage.tiny import TinyJournal


def _opened(where: str, stamp: Stamp, create: bool, fsync: bool) -> Journal:
    return TinyJournal(MemoryStorage(), stamp)


ENGINE = Engine(_opened, durable=False)
