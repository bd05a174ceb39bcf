"""For which typed numbers a check is OK, where what is judged is worked out from the one number
that is typed: a chain's wear in % from its length in mm."""

import math

from pitcrew.base.units import screen_name
from pitcrew.domain.checks.formulas import evaluate, names
from pitcrew.domain.checks.limitshape import InputLimit, Limit, accept_window
from pitcrew.domain.checks.noresult import NoResult

TRIED = 64
HALVED = 60


def typed_limit(limit: Limit) -> Limit | None:
    """A limit on the typed number with the same window, for `range_text`; None where several
    numbers are typed, the typed one is judged itself, or more of it is not always more (or less) of
    the result."""
    typed = typed_number(limit)
    if typed is None or isinstance(limit.result, str):
        return None
    name, item = typed
    window = accept_window(limit)
    if item.least is None or item.most is None or window == (None, None):
        return None
    step = (item.most - item.least) / TRIED
    places = [item.least + step * place for place in range(TRIED + 1)]
    results = [_result(limit, name, place) for place in places]
    rising = sorted(results) == results
    if any(map(math.isnan, results)) or not (rising or sorted(results, reverse=True) == results):
        return None
    ends = [
        None if end is None else _place_of(limit, name, end, (item.least, item.most), rising)
        for end in (window if rising else window[::-1])
    ]
    return Limit(
        unit=limit.unit,
        shown=item.unit,
        shown_name="" if item.unit == "1" else screen_name(item.unit),
        scale=item.scale,
        offset=item.offset,
        decimals=1,
        watch_low=ends[0],
        watch_high=ends[1],
    )


def _result(limit: Limit, name: str, value: float) -> float:
    try:
        return evaluate(limit.result, {name: value})
    except NoResult:
        return math.nan


def _place_of(
    limit: Limit, name: str, end: float, reach: tuple[float, float], rising: bool
) -> float | None:
    """The typed number at which the result reaches `end`, by halving; None where it is beyond what
    may be typed."""
    low, high = reach
    first, last = _result(limit, name, low), _result(limit, name, high)
    if not min(first, last) < end < max(first, last):
        return None
    for _ in range(HALVED):
        middle = (low + high) / 2
        if (_result(limit, name, middle) < end) is rising:
            low = middle
        else:
            high = middle
    return low


def typed_number(limit: Limit) -> tuple[str, InputLimit] | None:
    """The one number that decides, with its name; None where several do."""
    numbers = {name: item for name, item in limit.inputs.items() if item.kind == "number"}
    used = [name for name in numbers if name in names(limit.result)]
    return (used[0], numbers[used[0]]) if len(numbers) == len(used) == 1 else None
