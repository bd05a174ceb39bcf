"""Ropes: pull tests of real ends, the bending table, kept parts, and discard rules."""

from itertools import pairwise
from statistics import mean

import pytest

from pitcrew.base.errors import BadInput, OutOfRange, UnknownName
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.discard import RULES, make, rule_for
from pitcrew.engineering.ropes import KNOTS, TERMINATIONS, part_kept
from pitcrew.engineering.sheaves import BENDING, bend_efficiency
from tests.every import every

# pull tests of 1/8 in 7x19 rope with three-crimp copper sleeves, pounds
# (delberthall.com/loadlab/GAC1.html)
BATCH_K = [2237, 2157, 2207, 2119, 2205]
BATCH_C = [1951, 1990, 1900, 1917, 1946]
POUND = 4.4482216152605


def test_a_rating_is_not_a_pull_test() -> None:
    """The printed means; one of two batches with correct ends is under the table's rating, by up to
    5 %."""
    from scipy.stats import ttest_ind

    rated = (
        find("rope-strength")
        .compute_typed({"diameter": "0.125 in", "construction": "7x19", "material": "carbon"})
        .value
        / POUND
    )
    assert mean(BATCH_K) == pytest.approx(2185.0, abs=0.5) and mean(BATCH_C) == pytest.approx(
        1940.8, abs=0.5
    )  # printed 1940, cut off
    assert min(BATCH_K) > rated > max(BATCH_C) and min(BATCH_C) / rated == pytest.approx(0.95)
    welch = ttest_ind(BATCH_K, BATCH_C, equal_var=False)
    assert welch.statistic == pytest.approx(9.396, abs=5e-4) and welch.pvalue == pytest.approx(
        2.3e-5, abs=5e-7
    )
    assert 100 * (mean(BATCH_K) / mean(BATCH_C) - 1) == pytest.approx(12.58, abs=0.005)


def test_the_sleeve_of_the_table_is_on_the_safe_side_of_them() -> None:
    assert TERMINATIONS["sleeve"] * 2000 <= min(BATCH_C)


def test_bending_meets_every_point_and_is_linear_between() -> None:
    for ratio, left in BENDING:
        assert bend_efficiency(ratio) == left
    for (low, left), (high, right) in pairwise(BENDING):
        assert bend_efficiency((low + high) / 2) == pytest.approx((left + right) / 2)
    assert bend_efficiency(400) == 95


def test_beyond_the_table_the_sentence_says_so() -> None:
    assert "ends at 40" in find("rope-bend").compute({"diameter": 0.001, "sheave": 0.05}).because
    assert (
        "ends at 40" not in find("rope-bend").compute({"diameter": 0.001, "sheave": 0.04}).because
    )


@every(
    "typed kept",
    [
        ("0.95", 0.95),
        ("95 %", 0.95),
        ("95%", 0.95),
        (0.95, 0.95),
        ("sleeve", 0.95),
        ("Swaged", 1.0),
        ("0,95", 0.95),
        (1, 1.0),
    ],
)
def test_kept_parts_are_numbers_percentages_or_names(typed: object, kept: float) -> None:
    assert part_kept("termination", typed, TERMINATIONS) == pytest.approx(kept)


@every(
    "typed kind",
    [
        ("95", BadInput),
        ("0", OutOfRange),
        ("120 %", OutOfRange),
        ("-5 %", OutOfRange),
        ("glued", UnknownName),
        ("0.9 N", UnknownName),
        ("nan", UnknownName),
    ],
)
def test_kept_parts_that_are_none_are_refused(typed: object, kind: type[Exception]) -> None:
    with pytest.raises(kind):
        part_kept("termination", typed, TERMINATIONS)


def test_knots_keep_the_least_of_their_range() -> None:
    # Cordage Institute as printed: bowline 67-75, square 43-47, fisherman's 50-58, sheet bend 48-58
    # %
    ranges = {
        "bowline": (67, 75),
        "square": (43, 47),
        "fisherman": (50, 58),
        "sheet bend": (48, 58),
    }
    for knot, (least, _) in ranges.items():
        assert KNOTS[knot] * 100 == pytest.approx(least)


def test_working_load_multiplies_what_is_kept() -> None:
    outcome = find("rope-load").compute(
        {
            "strength": 8896.0,
            "termination": "0.95",
            "bend": "0.91",
            "knot": "bowline",
            "factor": 5.0,
        }
    )
    assert outcome.value == pytest.approx(8896 * 0.95 * 0.91 * 0.67 / 5)
    assert outcome.extras["reduced"] == pytest.approx(5 * outcome.value)


@every(
    "typed outer wires",
    [
        ("7x19", 6, 133),
        ("7×7", 6, 49),
        ("6x19 Seale", 6, 114),
        ("6x19 IWRC", 6, 114),
        ("8x19", 8, 152),
        ("3x7", 3, 21),
        ("1x19", 1, 19),
    ],
)
def test_constructions_are_read_as_people_write_them(typed: str, outer: int, wires: int) -> None:
    assert (make(typed).outer_strands, make(typed).wires) == (outer, wires)


@every("typed", ["7", "x19", "braid", "0x19", "7x1", ""])
def test_a_construction_that_is_none_is_refused(typed: str) -> None:
    with pytest.raises(UnknownName):
        make(typed)


def test_the_default_rule_is_that_for_climb_lines_and_is_named() -> None:
    outcome = find("broken-wires").compute({"in_6d": 0, "in_30d": 0, "at_end": 0})
    assert (
        outcome.value == 1
        and outcome.extras["rule"] == "climb"
        and "climb lines" in outcome.because
    )


def test_a_missing_count_is_asked_for_and_never_taken_as_none() -> None:
    with pytest.raises(BadInput, match="at_end"):
        find("broken-wires").compute({"rule": "climb", "in_6d": 0, "in_30d": 0})


def test_one_count_at_its_limit_discards_whatever_is_missing() -> None:
    assert find("broken-wires").compute({"rule": "climb", "at_end": 1}).value == 0


@every("rule", RULES)
def test_each_rule_keeps_a_sound_rope_and_discards_a_bad_one(rule: str) -> None:
    sound = dict.fromkeys(("in_lay", "in_strand", "in_6d", "in_30d", "at_end"), 0)
    figure = find("broken-wires")
    assert figure.compute(sound | {"rule": rule, "construction": "7x19"}).value == 1
    for place, limit in rule_for(rule, "7x19")[1].limits().items():
        outcome = figure.compute(sound | {"rule": rule, "construction": "7x19", place: limit})
        assert outcome.value == 0 and str(limit) in outcome.because


def test_a_rule_that_is_silent_on_ends_says_so() -> None:
    outcome = find("broken-wires").compute(
        {"rule": "mine", "construction": "7x19", "in_lay": 0, "in_strand": 0, "at_end": 2}
    )
    assert outcome.value == 1 and "2 at an end" in outcome.because


def test_a_rope_with_too_many_wires_is_outside_the_table() -> None:
    with pytest.raises(OutOfRange, match="300"):
        find("broken-wires").compute(
            {"rule": "iso-4309", "construction": "6x61", "in_6d": 0, "in_30d": 0, "at_end": 0}
        )
