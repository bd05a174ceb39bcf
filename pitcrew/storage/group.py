"""Group commit: while one group is on its way to the disk, later writers queue and go together in
the next.

The first writer who finds no one at work leads; when its group is through, it wakes the members and
hands the lead to the first writer who waits. No one waits for a lock that others could snatch, so
no one is overtaken.
"""

import threading
from collections.abc import Callable, Sequence

from pitcrew.storage.journal import Appended, LogRecord


class Ticket:
    """One caller's drafts on their way through a group, and what became of them: nothing yet,
    outcomes, or an error."""

    def __init__(self, drafts: Sequence[LogRecord]) -> None:
        self.drafts = drafts
        self.outcomes: list[Appended] | None = None
        self.error: Exception | None = None
        self._gate = threading.Lock()
        self._gate.acquire()

    def wait(self) -> None:
        """Sleep until `wake`."""
        self._gate.acquire()

    def wake(self) -> None:
        """Let the caller go on: its group is through, or the lead is its own."""
        self._gate.release()


class GroupCommit:
    """Runs `commit` for one group of tickets at a time, in the order in which they came."""

    def __init__(self, commit: Callable[[list[Ticket]], None]) -> None:
        self._commit = commit
        self._lock = threading.Lock()
        self._waiting: list[Ticket] = []
        self._leader: Ticket | None = None

    def submit(self, ticket: Ticket) -> None:
        """Return when a commit has dealt with the ticket. An error of `commit` itself is raised to
        the leader."""
        with self._lock:
            self._waiting.append(ticket)
            if self._leader is None:
                self._leader = ticket
        if self._leader is not ticket:
            ticket.wait()
        if self._leader is ticket:
            self._lead()

    def _lead(self) -> None:
        with self._lock:
            group, self._waiting = self._waiting, []
        try:
            self._commit(group)
        finally:
            leader = self._leader
            with self._lock:
                self._leader = heir = self._waiting[0] if self._waiting else None
            for ticket in group:
                if ticket is not leader:
                    ticket.wake()
            if heir is not None:
                heir.wake()
