"""Where each kind of entry is filed: the table of the state, the key of its list there, and the
parts that it touches."""

from bisect import bisect_left, insort
from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter
from typing import Any, TypeVar

from pitcrew.base.errors import BadInput
from pitcrew.domain.logbook.facts import Fact

FactType = TypeVar("FactType", bound=Fact)
_order = attrgetter("order")


def _no_parts(body: Any) -> tuple[str, ...]:
    return ()


@dataclass(frozen=True)
class Filing:
    """`table`: the state's attribute; `key`: the list in it (None: the table is one list);
    `refers`: the field of the body that names the entry whose parts are touched; `parts`: the parts
    that the body itself names."""

    table: str
    key: Callable[[Fact], str] | None = None
    refers: str = ""
    parts: Callable[[Any], tuple[str, ...]] = _no_parts


def battery_name(text: str) -> str:
    """A battery's name as written, without outer blanks and the `battery.` of its part id."""
    return text.strip().removeprefix("battery.")


def _part(body: Any) -> tuple[str, ...]:
    return (body.part,) if body.part else ()


def _battery_part(body: Any) -> tuple[str, ...]:
    return (f"battery.{battery_name(body.battery)}",)


def _check_key(fact: Fact) -> str:
    return f"{fact.body.check}@{fact.body.part}"


def _run_id(fact: Fact) -> str:
    if fact.match is None or len(fact.match.split("/")) != 3:
        raise BadInput(
            f"The match {fact.match!r} does not name a run. Wanted: event/match/run, such as"
            " fjord/12/1.",
            "match",
        )
    return fact.match


FILINGS: dict[str, Filing] = {
    "reading": Filing("readings", _check_key, parts=_part),
    "skipped": Filing("skips", _check_key, parts=_part),
    "fault": Filing("fault_reports", lambda fact: fact.id, parts=_part),
    "fault_move": Filing("fault_moves", lambda fact: fact.body.fault, "fault"),
    "temporary": Filing("temporary_starts", lambda fact: fact.id, parts=_part),
    "temporary_undone": Filing("temporary_ends", lambda fact: fact.body.temporary, "temporary"),
    "part_change": Filing("part_changes", lambda fact: fact.body.part, parts=_part),
    "match_run": Filing("run_facts", _run_id),
    "returned": Filing("returned"),
    "debrief": Filing("debriefs"),
    "battery_move": Filing(
        "battery_moves", lambda fact: battery_name(fact.body.battery), parts=_battery_part
    ),
    "battery_test": Filing(
        "battery_tests", lambda fact: battery_name(fact.body.battery), parts=_battery_part
    ),
    "robot_log": Filing(
        "robot_logs", lambda fact: battery_name(fact.body.battery), parts=_battery_part
    ),
    "clearance": Filing("clearances"),
    "approval": Filing("approvals", lambda fact: fact.body.of, "of"),
    "definitions": Filing("loads"),
    "handoff": Filing("handoffs"),
    "note": Filing("notes", parts=_part),
    "merge": Filing("merges"),
    "access": Filing("accesses"),
    "loss": Filing("losses"),
}


def insert(facts: list[FactType], fact: FactType) -> None:
    """Put a fact at its place in an ordered list; at the end, where it mostly belongs, at once."""
    if not facts or facts[-1].order <= fact.order:
        facts.append(fact)
    else:
        insort(facts, fact, key=_order)


def remove(facts: list[FactType], fact: FactType) -> None:
    """Take a fact out of its ordered list."""
    del facts[bisect_left(facts, fact.order, key=_order)]
