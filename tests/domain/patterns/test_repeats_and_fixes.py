"""What came back, in whatever words; merges that people decide; whether fixes held, with those that
still do."""

import pytest

from pitcrew.domain.patterns.fixes import comparisons, fixes, holdings
from pitcrew.domain.patterns.repeats import repeats, suggestions
from pitcrew.domain.robot.wording import fix_kind, symptom_key
from tests.domain.patterns.season import ALL, EVERY, FIRST, Season


@pytest.mark.parametrize(
    "text",
    ["Lug loose again", "the LUG wobbles: wobbly", "cable backing out", "nut untightened, 3 mm"],
)
def test_students_word_one_failure_differently(text: str) -> None:
    assert symptom_key(text) == "loose"


@pytest.mark.parametrize(
    ("why", "kind"),
    [
        ("Nut retightened to 9 Nm", "tightened"),
        ("New plate fitted, then tightened", "replaced"),
        ("thread-locker on it", "thread-locked"),
        ("Redesigned: thicker plate", "redesigned"),
        ("looked at it", "other"),
        ("", "other"),
    ],
)
def test_the_kind_of_fix_is_read_from_its_words(why: str, kind: str) -> None:
    assert fix_kind(why) == kind


def test_the_same_after_a_fix_is_a_repeat_and_before_one_is_not() -> None:
    season = Season(8)
    first = season.broke(1, "lug loose")
    second = season.broke(2, "lug wobbly")
    assert repeats(season.record(), ALL) == []
    season.closed(first)
    again = season.broke(5, "turned loose")
    found = repeats(season.record(), ALL)
    assert [fault.id for fault in found[0].returns] == [second.id, again.id]


def test_no_fault_found_twice_is_raised() -> None:
    season = Season(8)
    for number in (1, 3):
        season.closed(season.broke(number, "steering stuck"), "turns free", "no_fault_found")
    found = repeats(season.record(), ALL)[0]
    assert found.raised and "not found yet" in found.sentence


def test_a_merge_is_suggested_accepted_refused_and_taken_back() -> None:
    season = Season(8)
    one = season.broke(1, "rail squeals at the stop")
    season.closed(one)
    other = season.broke(4, "rail crooked near the top")
    asked = suggestions(season.record(), ALL)
    assert [item.words for item in asked] == [("rail",)]
    assert repeats(season.record(), ALL) == []
    season.put("merge", {"first": one.id, "second": other.id, "same": True}, season.end)
    assert len(repeats(season.record(), ALL)[0].group.faults) == 2
    assert suggestions(season.record(), ALL) == []
    season.put("merge", {"first": one.id, "second": other.id, "same": False}, season.end)
    assert repeats(season.record(), ALL) == [] and suggestions(season.record(), ALL) == []


def test_a_fix_lasts_until_the_same_fault_and_one_that_holds_is_censored() -> None:
    season = Season(12)
    season.closed(season.broke(2, "loose"), "tightened")
    season.closed(season.broke(6, "loose"), "tightened")
    found = fixes(season.record(), ALL)
    assert [(fix.kind, fix.matches, fix.failed) for fix in found] == [
        ("tightened", 4, True),
        ("tightened", 6, False),
    ]
    held = holdings(season.record(), ALL)[0]
    assert (held.series, held.holding, held.few) == ((0.5,), [(6, 0.5)], True)
    assert "Few: a hint only" in held.sentence


def test_a_new_part_ends_what_an_older_fix_can_show() -> None:
    season = Season(12)
    season.closed(season.broke(2, "loose"), "tightened")
    season.put("part_change", {"part": "lift.bracket", "identical": False}, FIRST + EVERY * 5.5)
    season.broke(9, "loose")
    assert [(fix.kind, fix.matches, fix.failed) for fix in fixes(season.record(), ALL)] == [
        ("tightened", 4, False)
    ]


def test_another_kind_of_part_in_the_same_turnaround_is_a_redesign() -> None:
    season = Season(6)
    fault = season.broke(2, "bent")
    season.closed(fault, "done")
    season.put("part_change", {"part": "lift.bracket", "identical": False}, FIRST + EVERY * 1.5)
    assert fixes(season.record(), ALL)[0].kind == "redesigned"


def test_kinds_of_fix_are_compared_with_the_number_of_comparisons_allowed_for() -> None:
    """Nine tightenings that last one match against nine replacements of which none fails: scipy's
    log-rank decides."""
    season = Season(40)
    for number in range(1, 10):
        season.closed(season.broke(number, "loose", part="drive.frame"), "tightened")
    for number in range(1, 10):
        season.closed(season.broke(number, f"word{'abcdefghi'[number - 1]} strange"), "replaced")
    found = comparisons(season.record(), ALL)
    assert [item.differ for item in found] == [True]
    assert "for all the comparisons made" in found[0].sentence
