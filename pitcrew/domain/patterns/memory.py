"""What was computed from one head of the logbook, kept until the head moves on."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from pitcrew.domain.definitions import Definitions
from pitcrew.domain.patterns.record import Record
from pitcrew.domain.state import State

SLICE = 300.0
"""Seconds for which what hangs on the time of day (which matches are over) is taken to stand still."""


class Memory:
    """Answers each question once for a head. Ask it only while the pit holds the state still."""

    def __init__(self) -> None:
        self._key: tuple[Any, ...] = ()
        self._record: Record | None = None
        self._known: dict[Any, Any] = {}

    def record(self, definitions: Definitions, state: State, now: datetime) -> Record:
        """The record of this head."""
        key = (definitions, state, state.head, int(now.timestamp() // SLICE))
        if self._record is None or any(one is not other and one != other for one, other in zip(key, self._key, strict=True)):
            self._key, self._record, self._known = key, Record(definitions, state, now), {}
        return self._record

    def ask(self, question: Callable[..., Any], *arguments: Any) -> Any:
        """`question(record, *arguments)`, answered from memory where it was asked of this head before."""
        key = (question, *arguments)
        if key not in self._known:
            self._known[key] = question(self._record, *arguments)
        return self._known[key]
