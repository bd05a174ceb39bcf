"""What every engine of the logbook can do: the protocol that `pit.py` speaks and the contract tests
try."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple, Protocol

LogRecord = dict[str, Any]
Stamp = Callable[[LogRecord, int, str], LogRecord]
"""(draft, seq, seal of the record before) -> the record to store, with `seq` and `seal`; pure and
quick."""
Listener = Callable[[Sequence[LogRecord]], None]
AppendState = Literal["stored", "known", "conflict"]


class Appended(NamedTuple):
    """What became of one draft: stored now, known before (same id, same content), or in conflict
    with what is stored.

    `record` is what the log holds under that id.
    """

    record: LogRecord
    state: AppendState


class ReadLog(NamedTuple):
    """The intact part of a log as a reading command sees it, with its id, what was odd, in
    sentences, the bytes behind it, and what the whole lines among those may have been."""

    log: str
    records: list[LogRecord]
    report: list[str]
    end: bytes = b""
    cut: str = ""


class Journal(Protocol):
    """An append-only log of records. Records are handed out as they are kept: no one may change
    one."""

    log: str
    """The log's id, made with it; a rebuilt log has another."""
    report: list[str]
    """What opening repaired, in sentences."""
    cut: str
    """What the whole lines may have been that opening had to cut; empty for none."""
    torn: int
    """How many bytes of a write opening cut that a crash had cut short; nothing acknowledged was in
    them."""

    def append(self, drafts: Sequence[LogRecord]) -> list[Appended]:
        """Number, seal and store drafts in order; durable when it returns. What they hold is the
        log's from then on.

        Raises DiskFull, Damaged or, once closed, PitcrewError; then none of these drafts was
        stored.
        """

    def after(self, seq: int, limit: int | None = None) -> list[LogRecord]:
        """The records with a larger number, in order, at most `limit`."""

    def get(self, entry_id: str) -> LogRecord | None:
        """The record of that id, or None."""

    def head(self) -> tuple[int, str]:
        """Number and seal of the last record, (0, "") when there is none."""

    def renew(self, log: str) -> None:
        """Give the log a new id, if `log` is its present one; the records stay. For a log that was
        restored from a copy.

        Durable when it returns; raises DiskFull or Damaged, and then the id is the old one.
        """

    def subscribe(self, listener: Listener) -> None:
        """Call `listener` with each newly durable group of records, in order, before `append`
        returns.

        It runs inside the commit: it must be quick, must not append, and an error of it reaches one
        of the writers, whose entries are stored all the same.
        """

    def close(self) -> None:
        """Give the log back, after what is under way; nothing is lost if this is never reached."""


@dataclass(frozen=True)
class Engine:
    """A way to keep a log. `opened(where, stamp, create, fsync)` opens the log that is kept there;
    `durable`: its entries outlive the program."""

    opened: Callable[[str, Stamp, bool, bool], Journal]
    durable: bool
