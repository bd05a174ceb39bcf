"""Judging a reading by its limit: the same steps, words and numbers as `static/js/lib/verdict.js`
on the phone."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.errors import BadInput, BadQuantity
from pitcrew.base.units import parse_reading
from pitcrew.domain.checks.formulas import LARGEST, NoResult, evaluate
from pitcrew.domain.checks.limitshape import (
    InputLimit,
    Limit,
    has_bounds,
    limit_from_dict,
    shown_number,
    shown_quantity,
)

RANK = {"ok": 0, "watch": 1, "unjudged": 2, "stop": 3}
EQUAL = 1e-9
MOST_DECIMALS = 6
NOTHING_JUDGES = "Nothing here can be judged yet. See the file mistakes."


@dataclass(frozen=True)
class Judgement:
    """A verdict with its sentence; `result` is the SI number that was judged, or the answer that
    decided."""

    verdict: str
    sentence: str
    result: float | str | None = None


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
        return Judgement("unjudged", error.sentence)
    result, numbers = _judge_number(found, inputs, unjudged_because or found.unjudged_because)
    answers = _judge_answers(found, inputs) + _judge_stops(found, inputs)
    incomparable = any(outcome.verdict == "unjudged" for outcome in (*numbers, *answers))
    outcomes = [
        outcome for outcome in numbers if not incomparable or outcome.verdict == "unjudged"
    ] + answers
    if not outcomes:
        return Judgement("unjudged", NOTHING_JUDGES)
    worst = max(outcomes, key=lambda outcome: RANK[outcome.verdict])
    decided = result is None or (incomparable and worst.verdict == "stop")
    return Judgement(worst.verdict, worst.sentence, worst.result if decided else result)


def _judge_number(
    limit: Limit, inputs: Mapping[str, Any], unjudged_because: str
) -> tuple[float | None, list[Judgement]]:
    """The number's outcome (none where the check has no number to judge), and missing inputs of any
    kind."""
    try:
        values = _values(limit, inputs)
        for formula, sign, number, sentence in limit.unjudged_when:
            if _holds(evaluate(formula, values), sign, number):
                return _result_of(limit, values), [Judgement("unjudged", sentence)]
        if unjudged_because:
            return _result_of(limit, values), [Judgement("unjudged", unjudged_because)]
        if limit.result is None:
            return None, []
        result = evaluate(limit.result, values)
    except NoResult as error:
        return None, [Judgement("unjudged", error.sentence)]
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
    for formula, sign, number, sentence in limit.stop_when:
        try:
            if _holds(evaluate(formula, values), sign, number):
                found.append(Judgement("stop", sentence))
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
                raise NoResult(
                    f"{wanted.label}: no answer yet. Give it, or say why it can't be measured."
                )
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
        raise NoResult(
            f"{wanted.label}: {typed[:20]!r} was typed, but {value:g} {unit} arrived. Measure"
            " again."
        )


def _si(wanted: InputLimit, value: Any, unit: str) -> float:
    scale = wanted.units.get(unit)
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not abs(value) <= LARGEST
        or scale is None
    ):
        raise NoResult(f"{wanted.label}: a number in {wanted.unit} is wanted. Type it again.")
    si = value * scale[0] + scale[1]
    if _below(si, wanted.least) or _below(wanted.most, si):
        raise NoResult(
            f"{wanted.label}: this is outside what is possible here. Look again and type it once"
            " more."
        )
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
    """The sentence of an outcome. Result and bound get as many decimals as it takes to tell them
    apart; what is good, as many as the ends of its window have.
    """
    decimals = limit.decimals
    if bound is None:
        decimals = max([decimals, *(len(end.partition(".")[2]) for end in limit.good)])
    else:
        most = limit.decimals + MOST_DECIMALS
        while decimals < most and shown_number(limit, result, decimals) == shown_number(
            limit, bound, decimals
        ):
            decimals += 1
    sentence = limit.sentences.get(name, "{result}").replace(
        "{result}", shown_quantity(limit, result, decimals)
    )
    if bound is not None:
        sentence = sentence.replace("{limit}", shown_quantity(limit, bound, decimals))
    return Judgement(verdict, sentence, result)


def _judge_answers(limit: Limit, inputs: Mapping[str, Any]) -> list[Judgement]:
    outcomes = []
    for name, verdicts in sorted(limit.answers.items()):
        value = (inputs.get(name) or {}).get("value")
        answer = {True: "yes", False: "no"}[value] if isinstance(value, bool) else value
        if answer is None or answer == "":
            continue
        label = limit.inputs[name].label if name in limit.inputs else name
        verdict = verdicts.get(answer) if isinstance(answer, str) else None
        template = limit.sentences.get(f"answer_{verdict or 'unjudged'}", "{label}: {answer}.")
        sentence = template.replace("{label}", label).replace("{answer}", str(answer))
        outcomes.append(
            Judgement(verdict if verdict in RANK else "unjudged", sentence, str(answer))
        )
    return outcomes


def result_text(limit: Limit, result: float | str | bool | None) -> str:
    """A stored result as a screen shows it; empty where there is none."""
    if result is None or isinstance(result, str | bool):
        return "" if result is None else str(result)
    return shown_quantity(limit, result)
