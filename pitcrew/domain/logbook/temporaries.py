"""Temporary states: something taken off, bridged or borrowed that must be undone."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pitcrew.domain.logbook.facts import Fact


@dataclass(frozen=True)
class TemporaryState:
    """What is not as it should stay. `blocks`: it holds the robot back; `undone`: the entry that
    ended it, or None."""

    id: str
    part: str
    what: str
    blocks: bool
    at: datetime
    person: str
    match: str | None
    robot: str | None
    undone: Fact | None = None
    marks: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether it still has to be undone."""
        return self.undone is None


def fold_temporary(start: Fact, undone: Sequence[Fact]) -> TemporaryState:
    """A temporary state from its entry and the entries that undo it, in order; the first of them
    ends it."""
    return TemporaryState(
        start.id,
        start.body.part,
        start.body.what,
        start.body.blocks,
        start.at,
        start.person,
        start.match,
        start.robot,
        undone[0] if undone else None,
        start.marks,
    )
