"""The head kept beside the log (`secrets/head.json`): number and seal of the last entry, when it
was last written down. A logbook that is shorter, older or another one than that shows at the next
start.

It is written at each signature, at most once a minute, and when the pit is closed, never while an
entry is stored; so it may lag behind the log. A log ahead of it lost nothing that anyone knows of,
a log behind it did. With it stands the mark of the log's file, which no copy of the file has: where
either is another one now, the log and the head may both come from the same backup.
"""

import os
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.errors import PitcrewError
from pitcrew.pit.roster import read_secret, write_secret

HEAD_FILE = "head.json"
Mark = list[int]


@dataclass(frozen=True)
class Kept:
    """A head as it was written down, with the mark of the log's file."""

    log: str
    seq: int
    seal: str
    file: Mark | None = None


@dataclass(frozen=True)
class Found:
    """What comparing a log with its kept head told: one of LossKind, or empty; and the numbers."""

    what: str = ""
    held: int = 0
    here: int = 0


class HeadFile:
    """The kept head of one pit folder."""

    def __init__(self, folder: Path, log_file: Path, durable: bool = True) -> None:
        self._path = folder / "secrets" / HEAD_FILE
        self._log_file = log_file
        self._durable = durable
        self._lock = threading.Lock()
        self._written = self.read()

    def read(self) -> Kept | None:
        """The head as kept; None where there is none or it cannot be read."""
        try:
            return Kept(**read_secret(self._path, None))
        except (PitcrewError, TypeError):
            return None

    def mark(self) -> Mark | None:
        """What tells the log's file from any copy of it; None where there is no file.

        The number is that of the file on its disk; of the times the first is that of the last
        change of the file or what is known of it, which no one can set.
        """
        try:
            found = os.stat(self._log_file)
        except OSError:
            return None
        return [found.st_ino, found.st_ctime_ns, found.st_mtime_ns, found.st_size]

    def keep(self, log: str, seq: int, seal: str) -> None:
        """Write the head down, if it is another one. A disk that does not take it is no reason to
        stop."""
        with self._lock, suppress(OSError):
            kept = Kept(log, seq, seal, self.mark())
            if kept != self._written:
                write_secret(self._path, asdict(kept), self._durable)
                self._written = kept


def compare(
    kept: Kept | None,
    mark: Mark | None,
    log: str,
    records: Sequence[dict[str, Any]],
    torn: int = 0,
) -> Found:
    """What a log (its id, its records, its file's mark) may have lost, by the head kept of it.

    `torn`: bytes at its end of a write that was never finished; they lose nothing.
    """
    here = len(records)
    if kept is None:
        return Found("unsure" if here else "", here=here)
    if kept.seq > here:
        return Found("shorter" if here else "missing", kept.seq, here)
    if kept.log != log or (kept.seq and records[kept.seq - 1].get("seal") != kept.seal):
        return Found("other", kept.seq, here)
    sure = kept.seq == here and _same_file(kept.file, mark, torn)
    return Found("" if sure else "unsure", kept.seq, here)


def _same_file(kept: Mark | None, now: Mark | None, torn: int) -> bool:
    """Whether a mark is that of the very file, with nothing written since but `torn` bytes."""
    if kept is None or now is None or len(kept) != len(now):
        return False
    return kept == now if not torn else (kept[0], kept[-1] + torn) == (now[0], now[-1])
