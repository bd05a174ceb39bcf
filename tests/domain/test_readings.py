"""Judging a reading: the rule at its edges, and what a damaged or hostile limit does. The table of
`test_verdicts.py` covers the rest."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.kinds.kind import VERDICTS
from pitcrew.domain.checks.limits import Limit, limit_as_dict
from pitcrew.domain.checks.limitshape import InputLimit, decimal_text, write_sentences
from pitcrew.domain.checks.readings import Judgement, judge, result_text, worse

A = InputLimit(
    "travel", "number", "mm", 0.001, 0.0, units={"mm": (0.001, 0.0), "in": (0.0254, 0.0)}
)

RULER = "the ruler can be off by ±1 mm"


def limit(**fields: Any) -> Limit:
    """8 to 12 mm with a guard of 1 mm unless stated otherwise."""
    plain = {
        "stop_low": 0.008,
        "stop_high": 0.012,
        "guards": {"stop_low": 0.001, "stop_high": 0.001},
    }
    made = Limit(
        unit="m",
        shown="mm",
        shown_name="mm",
        scale=0.001,
        decimals=1,
        result="a",
        **{"inputs": {"a": A}} | plain | fields,
    )
    return Limit(
        **{name: getattr(made, name) for name in made.__struct_fields__}
        | {"sentences": write_sentences(made, lambda bound: RULER)}
    )


def said(
    found: Limit | dict[str, Any] | None, value: Any, unit: str = "mm", **inputs: Any
) -> Judgement:
    return judge(found, {"a": {"typed": str(value), "value": value, "unit": unit}, **inputs})


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (7.99, "stop"),
        (8, "watch"),
        (8.99, "watch"),
        (9, "ok"),
        (10, "ok"),
        (11, "ok"),
        (11.01, "watch"),
        (12, "watch"),
        (12.01, "stop"),
    ],
)
def test_on_a_bound_is_not_beyond_it(value: float, verdict: str) -> None:
    assert said(limit(), value).verdict == verdict


def test_sentences_tell_number_reason_and_what_to_do() -> None:
    made = limit(
        because="2 to 3 % of the span", say={"stop": "Take it up.", "watch": "Look again."}
    )
    assert said(made, 13).sentence == "13 mm is above 12 mm: 2 to 3 % of the span. Take it up."
    assert (
        said(made, 12.0004).sentence
        == "12.0004 mm is above 12 mm: 2 to 3 % of the span. Take it up."
    )
    assert (
        said(made, 11.5).sentence
        == "11.5 mm is too close to 12 mm to be sure: the ruler can be off by ±1 mm. Look again."
    )
    assert said(made, 10).sentence == "10 mm is good (9 to 11 mm): 2 to 3 % of the span."
    assert said(made, 0.4, "in").sentence.startswith("10.2 mm is good")
    assert said(made, 13).result == pytest.approx(0.013)


def test_the_worst_counts() -> None:
    order = ["ok", "watch", "unjudged", "stop"]
    for first in order:
        for second in order:
            assert worse(first, second) == order[max(order.index(first), order.index(second))]


def test_a_stop_answer_outranks_a_number_that_cannot_be_judged() -> None:
    made = limit(
        answers={"case": {"whole": "ok", "cracked": "stop"}},
        inputs={"a": A, "case": InputLimit("Case", "choice")},
    )
    found = judge(made, {"case": {"typed": "cracked", "value": "cracked", "unit": None}})
    assert found.verdict == "stop" and found.sentence.startswith("Case: cracked.")
    whole = judge(made, {"case": {"typed": "whole", "value": "whole", "unit": None}})
    assert whole.verdict == "unjudged" and "travel: no answer yet" in whole.sentence


def test_nothing_to_judge_by_is_unjudged_never_ok() -> None:
    assert judge(None, {}).verdict == "unjudged"
    assert judge(Limit(), {"a": {"typed": "1", "value": 1, "unit": "mm"}}).verdict == "unjudged"
    assert judge(None, {}, "No such grade.").sentence == "No such grade."
    kept = said(limit(unjudged_because="No such plate."), 10)
    assert (kept.verdict, kept.sentence, kept.result) == (
        "unjudged",
        "No such plate.",
        pytest.approx(0.01),
    )


@pytest.mark.parametrize(
    "value", ["10", True, None, "", float("nan"), float("inf"), 1e300, 10**400, [], {}]
)
def test_what_is_no_number_is_unjudged(value: Any) -> None:
    assert said(limit(), value).verdict == "unjudged"


@pytest.mark.parametrize("damaged", [
    {"stop_low": "eight"}, {"scale": 0}, {"decimals": 400}, {"unjudged_when": [["a", ">"]]}, {"inputs": {"a": 4}}, {"sentences": {"ok": 4}},
    {"result": {"a": 1}}, {"result": ["^", "a", "a"]}, {"guards": {"stop_low": None}},
])  # fmt: skip
def test_a_damaged_limit_is_unjudged_and_never_a_crash(damaged: dict[str, Any]) -> None:
    found = said(limit_as_dict(limit()) | damaged, 10)
    assert found.verdict == "unjudged" and found.sentence


@given(st.floats(0, 0.03), st.floats(0, 0.03), st.floats(0, 0.005))
def test_verdicts_get_no_better_towards_a_bound(low: float, high: float, guard: float) -> None:
    """From inside outwards the rank only rises, and a wider guard never turns watch into ok."""
    low, high = sorted((low, high))
    rank = {"ok": 0, "watch": 1, "stop": 3}
    made = limit(stop_low=None, stop_high=high, guards={"stop_high": guard})
    wider = limit(stop_low=None, stop_high=high, guards={"stop_high": guard * 2})
    near, far = (said(made, value * 1000) for value in (low, high + guard))
    assert rank[near.verdict] <= rank[far.verdict]
    assert rank[said(made, low * 1000).verdict] <= rank[said(wider, low * 1000).verdict]


@given(
    st.one_of(st.none(), st.booleans(), st.floats(), st.text(max_size=5)),
    st.sampled_from(["mm", "in", "V", ""]),
)
def test_every_input_gets_one_of_the_four_verdicts_and_a_sentence(value: Any, unit: str) -> None:
    found = said(limit(), value, unit)
    assert found.verdict in VERDICTS and found.sentence


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (12.25, 1, "12.3"),
        (-12.25, 1, "-12.3"),
        (2.5, 0, "3"),
        (0.04, 1, "0"),
        (-0.04, 1, "0"),
        (1200.0, 0, "1200"),
        (8.2400000001, 4, "8.24"),
    ],
)
def test_numbers_round_away_from_zero_like_the_phone(
    value: float, decimals: int, text: str
) -> None:
    assert decimal_text(value, decimals) == text


def test_a_result_as_text() -> None:
    assert result_text(limit(), 0.01183) == "11.8 mm"
    assert result_text(limit(), "whole") == "whole" and result_text(limit(), None) == ""


@pytest.mark.parametrize(
    ("typed", "value", "verdict"),
    [
        ("10", 10, "ok"),
        ("10,0 mm", 10, "ok"),
        ("0.394 in", 10.0076, "ok"),
        ("", 10, "ok"),
        ("62", 10, "unjudged"),
        ("1.234,5", 10, "unjudged"),
        ("10,2", 102, "unjudged"),
        ("ten", 10, "unjudged"),
    ],
)
def test_a_number_that_is_not_the_one_typed_is_not_believed(
    typed: str, value: float, verdict: str
) -> None:
    found = judge(limit(), {"a": {"typed": typed, "value": value, "unit": "mm"}})
    assert found.verdict == verdict
    assert (
        verdict == "ok"
        or f"{typed!r} was typed, but {value} mm arrived. Measure again." in found.sentence
    )
