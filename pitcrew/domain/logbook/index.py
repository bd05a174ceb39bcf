"""The ordered lists of the state, in which facts are filed."""

from bisect import bisect_left, insort
from operator import attrgetter
from typing import TypeVar

from pitcrew.domain.logbook.facts import Fact

FactType = TypeVar("FactType", bound=Fact)
_order = attrgetter("order")


def insert(facts: list[FactType], fact: FactType) -> None:
    """Put a fact at its place in an ordered list; at the end, where it mostly belongs, at once."""
    if not facts or facts[-1].order <= fact.order:
        facts.append(fact)
    else:
        insort(facts, fact, key=_order)


def remove(facts: list[FactType], fact: FactType) -> None:
    """Take a fact out of its ordered list."""
    del facts[bisect_left(facts, fact.order, key=_order)]
