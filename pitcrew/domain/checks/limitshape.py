"""The shape of a limit: what the phone gets, what is stored with a reading, and what it is judged
by."""

from typing import Annotated, Any

import msgspec

from pitcrew.base.errors import BadInput


class InputLimit(msgspec.Struct, frozen=True, omit_defaults=True):
    """How an input's number becomes SI (SI = value * scale + offset), in each unit in which it may
    be given."""

    label: str
    kind: str
    unit: str = ""
    scale: float = 1.0
    offset: float = 0.0
    required: bool = True
    least: float | None = None
    most: float | None = None
    units: dict[str, tuple[float, float]] = {}


class Limit(msgspec.Struct, frozen=True):
    """What the phone needs to judge a check on one part without asking. Numbers are SI; `shown` is
    the unit on screen.

    `good` are the ends of the accept window as they are written, empty for no end; a limit from
    before has none. Beyond `stop_*` is stop; inside it by less than its guard is watch. `sentences`
    are templates for {result}, {limit}, {label} and {answer}. `unjudged_when` and `stop_when` hold
    [formula, operator, number, sentence].
    """

    unit: str = "1"
    shown: str = "1"
    shown_name: str = ""
    scale: Annotated[float, msgspec.Meta(gt=0)] = 1.0
    offset: float = 0.0
    decimals: Annotated[int, msgspec.Meta(ge=0, le=9)] = 2
    stop_low: float | None = None
    watch_low: float | None = None
    watch_high: float | None = None
    stop_high: float | None = None
    guards: dict[str, float] = {}
    because: str = ""
    source: str = ""
    say: dict[str, str] = {}
    sentences: dict[str, str] = {}
    unjudged_when: list[tuple[Any, str, float, str]] = []
    stop_when: list[tuple[Any, str, float, str]] = []
    result: Any = None
    answers: dict[str, dict[str, str]] = {}
    inputs: dict[str, InputLimit] = {}
    unjudged_because: str = ""
    good: list[str] = []


def has_bounds(limit: Limit) -> bool:
    """Whether the limit judges a number."""
    return any(
        bound is not None
        for bound in (limit.stop_low, limit.watch_low, limit.watch_high, limit.stop_high)
    )


def accept_window(limit: Limit) -> tuple[float | None, float | None]:
    """From and to which number a reading is really ok, guard bands taken off, SI; None for no end.

    Where the ends have changed places, nothing is ok: the instrument cannot decide.
    """
    lows = [
        bound + limit.guards.get(name, 0.0)
        for name, bound in (("stop_low", limit.stop_low), ("watch_low", limit.watch_low))
        if bound is not None
    ]
    highs = [
        bound - limit.guards.get(name, 0.0)
        for name, bound in (("stop_high", limit.stop_high), ("watch_high", limit.watch_high))
        if bound is not None
    ]
    return max(lows, default=None), min(highs, default=None)


def undecided(limit: Limit) -> bool:
    """Whether no reading at all could be ok: the uncertainty is wider than what is allowed."""
    low, high = accept_window(limit)
    return low is not None and high is not None and low > high


def limit_as_dict(limit: Limit) -> dict[str, Any]:
    """A limit as plain data, as it is shipped and stored with a reading. One without `stop_when`
    looks as it always did, so that a newer program finds no difference in it."""
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(limit))
    if not plain["stop_when"]:
        del plain["stop_when"]
    return plain


def limit_from_dict(data: dict[str, Any]) -> Limit:
    """A stored limit. Raises BadInput where it has not the shape of one."""
    try:
        return msgspec.convert(data, Limit)
    except msgspec.ValidationError as error:
        raise BadInput(f"This limit cannot be read ({error}). Load the checks again.") from None
