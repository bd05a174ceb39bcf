"""The stricter of two limits: what it calls ok both call ok, and what one stops or cannot judge it
never lets pass."""

from hypothesis import given
from hypothesis import strategies as st

from pitcrew.domain.checks.limitshape import InputLimit, Limit, limit_as_dict
from pitcrew.domain.checks.readings import RANK, judge
from pitcrew.domain.climb.stricter import stricter_check, stricter_limit

WHAT = {
    "gap": InputLimit("Gap", "number", "mm", 0.001, units={"mm": (0.001, 0.0)}),
    "look": InputLimit("Look", "choice", required=False),
}
BOUNDS = st.lists(st.integers(0, 20), min_size=4, max_size=4).map(sorted)
VERDICTS = st.sampled_from(["ok", "watch", "stop", "unjudged"])


@st.composite
def limits(draw) -> Limit:
    """A limit on a gap with any of its four bounds, with guard bands, and on a look with three
    answers."""
    names = ("stop_low", "watch_low", "watch_high", "stop_high")
    bounds = {
        name: value / 1000
        for name, value in zip(names, draw(BOUNDS), strict=True)
        if draw(st.booleans())
    }
    answers = {
        answer: draw(VERDICTS)
        for answer in draw(st.sets(st.sampled_from(["whole", "worn", "gone"]), min_size=1))
    }
    guards = {name: draw(st.integers(0, 3)) / 1000 for name in bounds}
    unjudged = (
        [("gap", ">", draw(st.integers(0, 20)) / 1000, "Too wide to compare.")]
        if draw(st.booleans())
        else []
    )
    return Limit(
        unit="m",
        shown="mm",
        shown_name="mm",
        scale=0.001,
        result="gap",
        inputs=WHAT,
        guards=guards,
        answers={"look": answers},
        unjudged_when=unjudged,
        **bounds,
    )


@given(limits(), limits(), st.integers(0, 40), st.sampled_from(["whole", "worn", "gone"]))
def test_it_is_never_milder_than_either(one: Limit, other: Limit, halves: int, answer: str) -> None:
    inputs = {
        "gap": {"typed": f"{halves / 2:g}", "value": halves / 2, "unit": "mm"},
        "look": {"value": answer},
    }
    alone = [
        judge(limit, inputs).verdict for limit in (one, other) if answer in limit.answers["look"]
    ]
    found = judge(stricter_limit(one, other), inputs).verdict
    blocked = {"stop", "unjudged"} & set(alone)
    assert (
        found in ("stop", "unjudged")
        if blocked
        else all(RANK[found] >= RANK[word] for word in alone)
    )


def test_where_they_judge_different_numbers_the_old_one_stands() -> None:
    old = Limit(result="gap", inputs=WHAT, stop_high=0.01)
    assert stricter_limit(old, Limit(result=["/", "gap", 2], inputs=WHAT, stop_high=0.001)) is old


def test_a_check_asks_what_either_asks() -> None:
    def fact(due: str, must: bool, high: float | None) -> dict:
        limit = limit_as_dict(Limit(result="gap", inputs=WHAT, stop_high=high)) if high else None
        return {
            "due": [[due, 1]],
            "must": must,
            "two_names": False,
            "limit": limit,
            "whole": {"label": "Gap", "due": [], "must": must},
        }

    found = stricter_check(fact("before a climb", False, 0.01), fact("every match", True, 0.002))
    assert (
        found["due"] == [["before a climb", 1], ["every match", 1]]
        and found["must"]
        and found["limit"]["stop_high"] == 0.002
    )
    assert found["whole"]["must"] and [rule["word"] for rule in found["whole"]["due"]] == [
        "before a climb",
        "every match",
    ]
    assert (
        stricter_check(fact("every match", True, 0.01), fact("every match", True, None))["limit"][
            "stop_high"
        ]
        == 0.01
    )
