"""The record of the last head of the logbook, with what was worked out from it, kept until the head
moves on."""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import datetime
from threading import Lock
from typing import Any, Protocol

from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.logbook.state import State
from pitcrew.domain.patterns.record import Record

SLICE = 300.0
"""Seconds for which what hangs on the time of day (which matches are over) is taken to stand
still."""


class Source(Protocol):
    """What a record is made from: the pit."""

    definitions: Definitions

    def clock(self) -> datetime:
        """Now, in UTC."""

    def reading(self) -> AbstractContextManager[State]:
        """The state, held still meanwhile."""


class Memory:
    """One record at a time. Who writes waits only while the state is copied, never while someone
    counts."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._key: tuple[Any, ...] = ()
        self._record: Record | None = None

    @contextmanager
    def looking(self, source: Source) -> Iterator[Record]:
        """The record of this head. One caller at a time looks, so each question is worked out
        once."""
        with self._lock:
            yield self._of(source)

    def _of(self, source: Source) -> Record:
        now = source.clock()
        with source.reading() as state:
            key = (state.head, state.seal, int(now.timestamp() // SLICE))
            known = self._record
            if known is None or known.definitions is not source.definitions:
                known, self._key = Record(source.definitions, state.still(), now), key
            elif key != self._key:
                known, self._key = (
                    Record(known.definitions, state.still(), now, lasting=known.lasting),
                    key,
                )
            self._record = known
            return known
