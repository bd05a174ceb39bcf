"""A walk: one person's way through the checks that are due, and how far the crew has come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.logbook.schedule import Run
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.due import DueCheck, done_checks, due_checks
from pitcrew.domain.now.turnaround import POWERS


@dataclass(frozen=True)
class Walk:
    """The steps that are left in their order, and the progress: `done` of `total`."""

    steps: list[DueCheck]
    done: int
    total: int


def walk(
    definitions: Definitions, state: State, now: datetime, run: Run | None, zone: str = ""
) -> Walk:
    """The way through what is due, in one zone or on the whole robot."""
    steps = in_walking_order(
        [
            item
            for item in due_checks(definitions, state, now, run)
            if zone in ("", item.part_check.part.zone)
        ]
    )
    checks = definitions.part_checks
    done = [
        fact
        for fact in done_checks(definitions, state, now, run)
        if zone in ("", checks[fact.key].part.zone)
    ]
    return Walk(steps, len(done), len(done) + len(steps))


def in_walking_order(items: Sequence[DueCheck]) -> list[DueCheck]:
    """All with the power off first, then on, then enabled; zone by zone, the zone of the most
    dangerous check first."""
    first_of_zone: dict[str, int] = {}
    for place, item in enumerate(items):
        first_of_zone.setdefault(item.part_check.part.zone, place)

    def key(item: DueCheck) -> tuple[int, int]:
        check = item.part_check.check
        return POWERS.index(check.power) if check.power in POWERS else len(POWERS), first_of_zone[
            item.part_check.part.zone
        ]

    return sorted(items, key=key)
