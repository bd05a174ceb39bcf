"""What is told is told in the crew's own words, one part together, and without slips of grammar or
spacing."""

import re

import pytest

from pitcrew.domain.patterns.ranking import ranking
from pitcrew.domain.patterns.repeats import repeats
from pitcrew.domain.patterns.report import as_data, report
from pitcrew.domain.patterns.telling import report_lines
from pitcrew.domain.patterns.together import together
from pitcrew.domain.robot.wording import in_their_words, wordings
from tests.domain.patterns.season import ALL, Season

SLIPS = re.compile(
    r"(?<![\n ])  +|(?<![.\d])1 (matches|faults|readings|wordings|fixes|climbs|cycles)\b|\d%|"
    r" \.|\.\.(?!\.)"
)


def camera_season() -> Season:
    """One camera that loses its picture in three ways of saying it, mended each time, and a loose
    plug on the same part."""
    season = Season(12)
    for number, symptom in enumerate(
        (
            "picture lost",
            "no picture: camera dead",
            "Picture lost.",
            "screen blank",
            "picture lost",
        ),
        1,
    ):
        season.closed(season.broke(2 * number, symptom), "plug pushed in")
    season.closed(season.broke(11, "plug loose"), "tightened")
    return season


def test_headings_are_what_the_crew_said_most() -> None:
    """The thesaurus groups them under "dead"; no one called it that."""
    found = repeats(camera_season().record(), ALL)[0]
    assert (found.group.keys, found.group.words) == (("dead",), "picture lost")
    rows = {row.name: row.label for row in ranking(camera_season().record(), ALL, "symptom").rows}
    assert rows == {"dead": "picture lost", "loose": "plug loose"}


def test_one_part_is_told_together() -> None:
    """Five faults of one kind in three wordings and one of another: 6 faults, 4 wordings; four
    fixes of five did not hold."""
    season = camera_season()
    (found,) = together(season.record(), ALL)
    assert found.counts == "6 faults, 4 wordings, 4 fixes failed"
    assert found.wordings[0] == ("picture lost", 3) and len(found.faults) == 6
    lines = report_lines(report(season.record(), ALL))
    assert any("picture lost: 6 faults, 4 wordings, 4 fixes failed" in line for line in lines)
    assert not any(re.search(r"\bdead\b(?!\W*$)", line) for line in lines)


@pytest.mark.parametrize(
    ("texts", "most", "count"),
    [
        (["Belt slips", "belt  slips.", "belt jumps"], "belt slips", 2),
        (["chain loose again!", "chain off"], "chain off", 2),
        ([""], "", 1),
    ],
)
def test_wordings_are_counted_without_capitals_and_stops(
    texts: list[str], most: str, count: int
) -> None:
    found = wordings(texts)
    assert (found[0][0].casefold(), len(found)) == (most, count)


def test_a_long_story_is_cut_for_a_heading() -> None:
    assert (
        in_their_words(
            ["the lift stopped half way up and came down on its own when the driver let go"]
        )
        == "the lift stopped half way up and came down on its own when …"
    )


def texts(value: object) -> list[str]:
    """Every text in plain data."""
    if isinstance(value, dict):
        return [text for item in value.values() for text in texts(item)]
    if isinstance(value, list | tuple):
        return [text for item in value for text in texts(item)]
    return [value] if isinstance(value, str) else []


@pytest.mark.parametrize("matches", [1, 2, 12])
def test_no_sentence_slips(matches: int) -> None:
    """ "over 1 matches", "95  %" and such, in seasons of one match and of more; fixes of which some
    hold."""
    season = Season(matches)
    for number in range(1, matches + 1):
        fault = season.broke(number, "belt jumps" if number % 2 else "plug loose")
        season.closed(fault, "tightened" if number % 3 else "replaced")
    if matches == 1:
        season.broke(1, "belt jumps", after=15)
    found = report(season.record(), ALL)
    told = [*report_lines(found), *(text for text in texts(as_data(found)) if " " in text)]
    assert [text for text in told if SLIPS.search(text.strip())] == []


def test_a_share_of_fixes_is_told_with_one_space() -> None:
    """One of five fixes came back: the rest is a share with its interval, "95 %" and not "95
    %"."""
    season = Season(20)
    for number, part in (
        (1, "lift.bracket"),
        (2, "lift.chain.left"),
        (3, "climb.ratchet"),
        (4, "intake.belt"),
    ):
        season.closed(season.broke(number, "loose", part), "tightened")
    season.broke(9, "loose")
    told = [line for line in report_lines(report(season.record(), ALL)) if "last longer" in line]
    assert told and "approximate 95 %)" in told[0] and not SLIPS.search(told[0].strip())
