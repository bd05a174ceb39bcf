"""Figures of the catalogue, worked out once for the same numbers: events, filters and heads of the
logbook often ask the same."""

from functools import lru_cache

from pitcrew.engineering.catalogue import find
from pitcrew.engineering.figures import Outcome

MOST = 4096


@lru_cache(maxsize=MOST)
def figured(name: str, **numbers: float | tuple[float, ...]) -> Outcome:
    """The outcome of a figure for SI numbers; read its extras, never change them. Raises BadInput
    and OutOfRange."""
    return find(name).compute(numbers)
