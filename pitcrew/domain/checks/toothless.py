"""Limits that nothing can break: a stop bound beyond every number that may be typed."""

from pitcrew.domain.checks.formulas import evaluate, names
from pitcrew.domain.checks.limitrules import LimitRule
from pitcrew.domain.checks.limitshape import Limit
from pitcrew.domain.checks.noresult import NoResult
from pitcrew.domain.checks.scope import PART

TRIED = 96
TOOTHLESS = "No number that can be typed would be stop, so this can't be judged."


def never_stops(limit: Limit) -> bool:
    """Whether no number that may be typed is beyond a stop bound, though the limit has one: an
    allowed error of 200° for what is never off by more than 180°.

    Asked where one typed number decides; a formula of it is tried at `TRIED` places.
    """
    if limit.stop_low is None and limit.stop_high is None:
        return False
    numbers = [name for name, item in limit.inputs.items() if item.kind == "number"]
    used = [name for name in numbers if name in names(limit.result)]
    typed = limit.inputs[used[0]] if len(used) == 1 else None
    if typed is None or typed.least is None or typed.most is None:
        return False
    step = (typed.most - typed.least) / TRIED
    values = [typed.least + step * place for place in range(TRIED + 1)]
    return not any(_stops(limit, {used[0]: value}) for value in values)


def _stops(limit: Limit, values: dict[str, float]) -> bool:
    try:
        result = evaluate(limit.result, values)
    except NoResult:
        return False
    low, high = limit.stop_low, limit.stop_high
    return (high is not None and result > high) or (low is not None and result < low)


def bound_fields(rule: LimitRule) -> tuple[str, ...]:
    """The fields of the part that the bounds of a rule are made from, by name."""
    found: set[str] = set().union(*(names(amount.expression) for amount in rule.bounds.values()))
    return tuple(sorted(name.removeprefix(PART) for name in found if name.startswith(PART)))
