"""Entries in memory alone, for tests and trials; gone when the program ends."""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from pitcrew.storage.codec import encode_line, record_of
from pitcrew.storage.journal import Record
from pitcrew.storage.table import TABLE, EntryStorage


class MemoryStorage(EntryStorage):
    """Keeps lines as the log file has them, so what comes back is what a file would give."""

    def __init__(self) -> None:
        self.log = uuid.uuid4().hex
        self.report = []
        self._lines: list[bytes] = []

    def read(self) -> dict[str, dict[str, Any]]:
        """All records, by number, as TinyDB wants them."""
        return {TABLE: {str(record["seq"]): record for record in map(record_of, self._lines)}}

    def take_loaded(self) -> list[Record]:
        return []

    def append(self, records: Sequence[Mapping]) -> list[Record]:
        lines = [encode_line(record) for record in records]
        self._lines += lines
        return [record_of(line) for line in lines]
