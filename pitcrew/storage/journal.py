"""What every engine of the logbook can do: the protocol that `pit.py` speaks and the contract tests try."""

from collections.abc import Callable, Sequence
from typing import Any, Literal, NamedTuple, Protocol

Record = dict[str, Any]
Stamp = Callable[[Record, int, str], Record]
"""(draft, seq, seal of the record before) -> the record to store, with `seq` and `seal`; pure and quick."""
Listener = Callable[[Sequence[Record]], None]


class Appended(NamedTuple):
    """What became of one draft: stored now, known before (same id and content), or in conflict with what is stored."""

    record: Record
    state: Literal["stored", "known", "conflict"]


class ReadLog(NamedTuple):
    """The intact part of a log as a reading command sees it, with its id and what was odd, in sentences."""

    log: str
    records: list[Record]
    report: list[str]


class Journal(Protocol):
    """An append-only log of records. Records are handed out as they are kept: nobody may change one."""

    log: str
    report: list[str]

    def append(self, drafts: Sequence[Record]) -> list[Appended]:
        """Number, seal and store drafts in order; durable when it returns. Raises DiskFull, and then nothing was stored."""

    def after(self, seq: int, limit: int | None = None) -> list[Record]:
        """The records with a larger number, in order, at most `limit`."""

    def get(self, entry_id: str) -> Record | None:
        """The record of that id, or None."""

    def head(self) -> tuple[int, str]:
        """Number and seal of the last record, (0, "") when there is none."""

    def subscribe(self, listener: Listener) -> None:
        """Have `listener` told of each newly durable group of records, in order, before `append` returns."""

    def close(self) -> None:
        """Give the log back; nothing is lost if this is never reached."""
