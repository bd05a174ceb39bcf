"""Judging a reading by its limit: the same steps, words and numbers as `static/js/lib/verdict.js`
on the phone."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from pitcrew.base.errors import BadInput, BadQuantity
from pitcrew.base.kinds.kind import Said
from pitcrew.base.units import parse_reading
from pitcrew.domain.checks.formulas import LARGEST, evaluate
from pitcrew.domain.checks.limitshape import (
    InputLimit,
    Limit,
    has_bounds,
    limit_from_dict,
    shown_quantity,
)
from pitcrew.domain.checks.noresult import NoResult
from pitcrew.domain.checks.saying import ANSWER, STOP_WHEN, UNJUDGED_WHEN, text_of

RANK = {"ok": 0, "watch": 1, "unjudged": 2, "stop": 3}
EQUAL = 1e-9


@dataclass(frozen=True)
class Judgement:
    """A verdict with its sentence; `result` is the SI number that was judged, or the answer that
    decided; `said` is what the sentence is made of (None: not known)."""

    verdict: str
    sentence: str
    result: float | str | None = None
    said: Said | None = None


def worse(a: str, b: str) -> str:
    """The worse of two verdicts: stop, then unjudged, then watch, then ok."""
    return a if RANK[a] >= RANK[b] else b


def judge(
    limit: Limit | dict[str, Any] | None, inputs: Mapping[str, Any], unjudged_because: str = ""
) -> Judgement:
    """The verdict on a reading's inputs (`{name: {typed, value, unit}}`): the worst of its number
    and its answers.

    A missing input, an incomparable reading or a formula without a result is `unjudged`; an answer
    or a comparison that means stop outranks that. An answer that means unjudged makes the number
    incomparable: it is kept, but neither ok nor stop is said of it.
    """
    try:
        found = limit_from_dict(limit) if isinstance(limit, dict) else limit or Limit()
    except BadInput as error:
        return _because(error.sentence)
    result, numbers = _judge_number(found, inputs, unjudged_because or found.unjudged_because)
    answers = _judge_answers(found, inputs) + _judge_stops(found, inputs)
    incomparable = any(outcome.verdict == "unjudged" for outcome in (*numbers, *answers))
    outcomes = [
        outcome for outcome in numbers if not incomparable or outcome.verdict == "unjudged"
    ] + answers
    if not outcomes:
        return _without(NoResult("nothing_judges"))
    worst = max(outcomes, key=lambda outcome: RANK[outcome.verdict])
    decided = result is None or (incomparable and worst.verdict == "stop")
    return replace(worst, result=worst.result if decided else result)


def _outcome(limit: Limit, verdict: str, said: Said, result: float | str | None) -> Judgement:
    return Judgement(verdict, text_of(limit, said), result, said)


def _without(why: NoResult) -> Judgement:
    return Judgement("unjudged", why.sentence, None, Said(why.key, {}, why.words))


def _because(why: str) -> Judgement:
    return Judgement("unjudged", why, None, Said("because", {}, {"why": why}))


def _judge_number(
    limit: Limit, inputs: Mapping[str, Any], unjudged_because: str
) -> tuple[float | None, list[Judgement]]:
    """The number's outcome (none where the check has no number to judge), and missing inputs of any
    kind."""
    try:
        values = _values(limit, inputs)
        for place, (formula, sign, number, _) in enumerate(limit.unjudged_when):
            if _holds(found := evaluate(formula, values), sign, number):
                said = Said(f"{UNJUDGED_WHEN}{place}", {"result": found, "limit": number})
                return _result_of(limit, values), [_outcome(limit, "unjudged", said, None)]
        if unjudged_because:
            return _result_of(limit, values), [_because(unjudged_because)]
        if limit.result is None:
            return None, []
        result = evaluate(limit.result, values)
    except NoResult as error:
        return None, [_without(error)]
    return result, [_compare(limit, result)] if has_bounds(limit) else []


def _judge_stops(limit: Limit, inputs: Mapping[str, Any]) -> list[Judgement]:
    """The comparisons that mean stop and hold, by the inputs that are there, whatever else is
    missing or cannot be compared."""
    if not limit.stop_when:
        return []
    values: dict[str, float] = {}
    for name in limit.inputs:
        try:
            values |= _values(limit, inputs, name)
        except NoResult:
            continue
    found = []
    for place, (formula, sign, number, _) in enumerate(limit.stop_when):
        try:
            if _holds(value := evaluate(formula, values), sign, number):
                said = Said(f"{STOP_WHEN}{place}", {"result": value, "limit": number})
                found.append(_outcome(limit, "stop", said, None))
        except NoResult:
            continue
    return found


def _result_of(limit: Limit, values: Mapping[str, float]) -> float | None:
    """The number of a reading that is kept though it is not judged."""
    try:
        return None if limit.result is None else evaluate(limit.result, values)
    except NoResult:
        return None


def _values(limit: Limit, inputs: Mapping[str, Any], only: str = "") -> dict[str, float]:
    """The numbers in SI by name, or `only` one. Raises NoResult for a missing input, an unknown
    unit, or an impossible number."""
    values = {}
    for name in [only] if only else sorted(limit.inputs):
        wanted = limit.inputs[name]
        given = inputs.get(name) or {}
        value = given.get("value")
        if value is None or value == "":
            if wanted.required:
                raise NoResult("no_answer", label=wanted.label)
        elif wanted.kind == "number":
            unit = given.get("unit") or wanted.unit
            values[name] = _si(wanted, value, unit)
            _as_typed(wanted, given.get("typed"), value, unit, values[name])
    return values


def _as_typed(wanted: InputLimit, typed: Any, value: float, unit: str, si: float) -> None:
    """Raises NoResult where the text as typed reads as another number than came with it.

    On the phone the one is always read from the other; what was made or damaged elsewhere is not
    believed.
    """
    if not isinstance(typed, str) or not typed.strip():
        return
    try:
        read = parse_reading(typed, unit).si
    except BadQuantity:
        read = math.nan
    if not math.isclose(read, si, rel_tol=1e-6, abs_tol=1e-12):
        arrived = f"{value:g} {unit}"
        raise NoResult("not_as_typed", label=wanted.label, typed=repr(typed[:20]), arrived=arrived)


def _si(wanted: InputLimit, value: Any, unit: str) -> float:
    scale = wanted.units.get(unit)
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not abs(value) <= LARGEST
        or scale is None
    ):
        raise NoResult("no_number", label=wanted.label, unit=wanted.unit)
    si = value * scale[0] + scale[1]
    if _below(si, wanted.least) or _below(wanted.most, si):
        raise NoResult("impossible", label=wanted.label)
    return si


def _holds(value: float, sign: str, number: float) -> bool:
    if sign == "==":
        return not _below(value, number) and not _below(number, value)
    if sign in ("<", ">"):
        return _below(value, number) if sign == "<" else _below(number, value)
    return not _below(number, value) if sign == "<=" else not _below(value, number)


def _below(a: float | None, b: float | None) -> bool:
    """Whether a is below b by more than the rounding of one calculation; False where there is no
    bound."""
    return a is not None and b is not None and b - a > EQUAL * max(abs(a), abs(b))


def _compare(limit: Limit, result: float) -> Judgement:
    """The verdict on one number. Exactly on a bound is not beyond it."""
    if _below(result, limit.stop_low):
        return _say(limit, "stop", "stop_low", result, limit.stop_low)
    if _below(limit.stop_high, result):
        return _say(limit, "stop", "stop_high", result, limit.stop_high)
    for name in ("stop_low", "watch_low"):
        bound = getattr(limit, name)
        if bound is not None and _below(result, bound + limit.guards.get(name, 0.0)):
            beyond = name if _below(result, bound) else f"near_{name}"
            return _say(limit, "watch", beyond, result, bound)
    for name in ("stop_high", "watch_high"):
        bound = getattr(limit, name)
        if bound is not None and _below(bound - limit.guards.get(name, 0.0), result):
            beyond = name if _below(bound, result) else f"near_{name}"
            return _say(limit, "watch", beyond, result, bound)
    return _say(limit, "ok", "ok", result, None)


def _say(limit: Limit, verdict: str, name: str, result: float, bound: float | None) -> Judgement:
    numbers = {"result": result} if bound is None else {"result": result, "limit": bound}
    return _outcome(limit, verdict, Said(name, numbers), result)


def _judge_answers(limit: Limit, inputs: Mapping[str, Any]) -> list[Judgement]:
    outcomes = []
    for name, verdicts in sorted(limit.answers.items()):
        value = (inputs.get(name) or {}).get("value")
        answer = {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
        if answer is None or answer == "":
            continue
        label = limit.inputs[name].label if name in limit.inputs else name
        verdict = verdicts.get(answer) if isinstance(answer, str) else None
        words = {"input": name, "label": label, "answer": str(answer)}
        known = verdict if verdict in RANK else "unjudged"
        said = Said(f"{ANSWER}{known}", {}, words)
        outcomes.append(_outcome(limit, known, said, str(answer)))
    return outcomes


def result_text(limit: Limit, result: float | str | bool | None) -> str:
    """A stored result as a screen shows it; empty where there is none."""
    if result is None or isinstance(result, str | bool):
        return "" if result is None else str(result)
    return shown_quantity(limit, result)
