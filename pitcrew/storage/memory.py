"""Entries only in memory, for tests and trials; gone when the program ends."""

import uuid
from collections.abc import Sequence
from typing import Any

from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.journal import LogRecord
from pitcrew.storage.table import TABLE, EntryStorage


class MemoryStorage(EntryStorage):
    """Keeps lines as the log file has them, so what a file could not hold is refused here too."""

    def __init__(self) -> None:
        self.log = uuid.uuid4().hex
        self.report = []
        self._lines: list[bytes] = []

    def read(self) -> dict[str, dict[str, Any]]:
        """All records, by number, as TinyDB wants them."""
        return {
            TABLE: {
                str(record["seq"]): record for record in map(decode_line, self._lines) if record
            }
        }

    def take_loaded(self) -> list[LogRecord]:
        return []

    def renew(self) -> None:
        self.log = uuid.uuid4().hex

    def append(self, records: Sequence[LogRecord]) -> None:
        self._lines += [encode_line(record) for record in records]
