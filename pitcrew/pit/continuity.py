"""Whether the logbook is whole: what its start finds lost is written down, and where no one knows,
the first phone that shows its head settles it.

A loss is an entry (`loss`), so all who read the log know of it. A crash at any moment leaves at
worst an `unsure` start: what was signed before it counts again once a phone that has seen the
signature shows that it has seen nothing beyond this log, or once the captain signs again.
"""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pitcrew.base.entries import Entry, read_body
from pitcrew.base.errors import PitcrewError
from pitcrew.base.kinds.loss import loss_text
from pitcrew.domain.logbook.state import State
from pitcrew.pit.heads import Found, HeadFile, Kept, Mark, compare
from pitcrew.pit.roster import Device
from pitcrew.storage.journal import Journal, ReadLog

EVERY = 60.0
"""Seconds between two looks at the head; it is written down where it has moved."""
UNFINISHED = (
    "The laptop stopped in the middle of a write. It was never confirmed to anybody, so the phone"
    " that sent it still has it and sends it again. Somebody who wrote on the laptop itself looks"
    " whether it is there."
)
WriteNote = Callable[[str, dict[str, Any]], Entry]
"""Writes an entry of the laptop's own: its kind and body."""


class Continuity:
    """The watch over one open log. `intact`: how many entries it held when it was opened."""

    def __init__(self, folder: Path, log_file: Path | None, durable: bool) -> None:
        """Look at the files as they are before the log is opened; without a file nothing is
        watched."""
        self._heads = HeadFile(folder, log_file, durable) if log_file else None
        self._before = (self._heads.read(), self._heads.mark()) if self._heads else None
        self._unsure = ""
        self._spoken: set[str] = set()
        self._feared = False
        self.intact = 0

    def begin(
        self, journal: Journal, state: State, note: WriteNote, began: str, missing: bool
    ) -> None:
        """Compare the opened log with what was kept, and write down what is lost or not sure.

        `began`: the time of this start; `missing`: devices have joined, and there was no log.
        """
        self._journal, self._state, self._note, self._began = journal, state, note, began
        records = journal.after(0)
        self.intact = len(records)
        found = (
            compare(*self._before, journal.log, records, journal.torn) if self._before else Found()
        )
        if missing:
            found = Found("missing", found.held, 0)
        if journal.cut:
            found = Found("cut", found.held, found.here)
        if journal.torn and last_signed(state):
            state.unfinished = UNFINISHED
        if found.what and (found.what != "unsure" or last_signed(state)):
            self._feared = True
            self._write(found, journal.cut)
        self.keep()

    def keep_by_the_minute(self) -> Callable[[], None]:
        """Write the head down once a minute until what this returns is called."""
        over = threading.Event()

        def work() -> None:
            while not over.wait(EVERY):
                self.keep()

        threading.Thread(target=work, name="head", daemon=True).start()
        return over.set

    def keep(self) -> None:
        """Write the head down beside the log."""
        if self._heads:
            self._heads.keep(self._journal.log, *self._journal.head())

    def lost(self, what: str, **values: Any) -> None:
        """Write down a loss that showed while the pit is open. Raises DiskFull."""
        self._note("loss", {"what": what, **values})

    def cannot_have_seen(self, device: Device, after: int) -> bool:
        """Whether a device that says it has seen entry `after` must mean that of a lost log: where
        this start found or feared a loss, no one knows what was written since who has not exchanged
        since.
        """
        return self._feared and after > self.intact and device.id not in self._spoken

    def spoke(self, device: Device, after: int, seal: str | None) -> None:
        """A device exchanged, having seen this log up to entry `after`. The first time since this
        start, that settles an unsure one."""
        if device.id in self._spoken:
            return
        self._spoken.add(device.id)
        if not self._unsure or not last_signed(self._state) <= after <= self.intact:
            return
        if device.joined_at <= self._began and self._journal.after(after - 1, 1)[0]["seal"] == seal:
            body = {"what": "head_shown", "person": device.person, "device": device.id}
            self._note("access", body | {"of": self._unsure, "seen": after})
            self._unsure = ""

    def _write(self, found: Found, cut: str) -> None:
        """Write a loss down; where the disk does not take that, keep in mind that nothing signed
        counts."""
        body = {"what": found.what, "held": found.held, "here": found.here, "lost": cut}
        try:
            entry = self._note("loss", body)
        except PitcrewError as error:
            self._state.doubted_to = self._state.head
            self._state.doubt = f"{loss_text(read_body('loss', body))} {error.sentence}"
        else:
            self._unsure = entry.id if found.what == "unsure" else ""
        if not cut:
            self._journal.report.append(loss_text(read_body("loss", body)))


def last_signed(state: State) -> int:
    """The number of the captain's last decision in this log, for any robot, where it clears a
    climb; 0 where none does."""
    last = {fact.robot: fact for fact in state.clearances if fact.entry.origin is None}
    return max((fact.seq for fact in last.values() if fact.body.decision == "cleared"), default=0)


def doubt_of(kept: Kept | None, mark: Mark | None, read: ReadLog) -> str:
    """Why nothing that was signed in a log counts, seen from outside: for commands that only read
    while no server holds the folder. Empty where the log is what was closed last."""
    found = compare(kept, mark, read.log, read.records, 0 if read.cut else len(read.end))
    what = "cut" if read.cut else found.what
    if not what:
        return ""
    return loss_text(
        read_body("loss", {"what": what, "held": found.held, "here": found.here, "lost": read.cut})
    )
