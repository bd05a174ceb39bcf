"""The record of faults of one repaired thing: when each happened, counted from a common start, and
when counting stopped.

Times are cumulative (matches, climbs, hours, cycles), not gaps. How counting stopped matters: at a
set time, or with a fault, which then carries no information of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.engineering.parameters import Parameter, choice, number, numbers


@dataclass(frozen=True)
class History:
    """Rising `times` above 0, none beyond `end`; `by_failure` when counting stopped with the last
    of them."""

    times: tuple[float, ...]
    end: float
    by_failure: bool

    @property
    def free(self) -> tuple[float, ...]:
        """The times that were free to fall anywhere before the end: without the last where it was
        the end."""
        return self.times[:-1] if self.by_failure else self.times

    @property
    def gaps(self) -> list[float]:
        """From each fault to the next, the first from the start."""
        return [later - earlier for earlier, later in pairwise((0.0, *self.times))]


def times_parameter() -> Parameter:
    """`times` of a history, the same in every figure."""
    return numbers(
        "cumulative times of the faults (matches, climbs, hours), rising, counted from one start;"
        " not the gaps"
    )


def end_parameter() -> Parameter:
    """`end` of a history."""
    return number(
        "when counting stopped, in the same unit; with truncated=failure it is the last fault and"
        " need not be given",
        above=0,
        default=None,
    )


def truncated_parameter() -> Parameter:
    """`truncated` of a history."""
    return choice(
        "what stopped the counting: a set time, or the last failure itself",
        "time",
        "failure",
        default="time",
    )


def history(
    figure: str, times: Sequence[float], end: float | None, truncated: str, *, least: int
) -> History:
    """A checked History with at least `least` free times.

    Raises OutOfRange for times that are not above 0, not rising, or beyond the end, and for too
    few; BadInput without an end.
    """
    by_failure = truncated == "failure"
    wanted = least + by_failure
    if len(times) < wanted:
        why = " (the last one only says when counting stopped)" if by_failure else ""
        arrived = "1 time" if len(times) == 1 else f"{len(times)} times"
        raise OutOfRange(
            f"{figure}: {arrived} arrived; wanted at least {wanted}{why}. Wait for more.", "times"
        )
    if min(times) <= 0:
        raise OutOfRange(
            f"{figure}: the time {min(times):g} is not above 0. Count from a start before the first"
            " fault.",
            "times",
        )
    for earlier, later in pairwise(times):
        if later < earlier:
            raise OutOfRange(
                f"{figure}: {later:g} follows {earlier:g}; times must rise. Are these gaps? Add"
                " them up.",
                "times",
            )
    if end is None and not by_failure:
        raise BadInput(
            f"{figure} needs end (when counting stopped) with truncated=time. Add end={times[-1]:g}"
            " or later.",
            "end",
        )
    stop = times[-1] if by_failure or end is None else end
    if end is not None and end < times[-1]:
        raise OutOfRange(
            f"{figure}: a fault at {times[-1]:g} lies beyond the end {end:g}. Correct one of them.",
            "end",
        )
    if min(times[: len(times) - by_failure]) >= stop:
        raise OutOfRange(
            f"{figure}: all faults fall on the end {stop:g}; there is no time in which to see a"
            " trend.",
            "times",
        )
    return History(tuple(float(time) for time in times), float(stop), by_failure)
