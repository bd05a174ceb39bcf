"""When a limit is met, with its band; a new part starts a new line; what to carry; which checks
earn their minutes."""

import tomllib
from dataclasses import replace

import msgspec
import pytest

from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks.limits import limit_as_dict
from pitcrew.domain.checks.spares import item_key, parse_spares
from pitcrew.domain.patterns.checkyield import checkworth, uncovered
from pitcrew.domain.patterns.compare import sides
from pitcrew.domain.patterns.stock import carry, spans
from pitcrew.domain.patterns.wear import wear, wear_of
from tests.domain.patterns.season import ALL, EVERY, FIRST, Season

CHAIN = "lift.chain.left"


def read(
    season: Season,
    number: int,
    value: float | str,
    check: str = "chain-slack",
    part: str = CHAIN,
    after: float = 0.5,
) -> None:
    """A reading after that match; `after` in turnarounds since its start."""
    item = season.definitions.part_checks[f"{check}@{part}"]
    field = item.check.inputs[0]
    body = {
        "check": check,
        "part": part,
        "inputs": {field.name: {"typed": str(value), "value": value, "unit": field.unit or None}},
        "limit": limit_as_dict(item.limit) if item.limit else None,
    }
    season.put("reading", body, FIRST + EVERY * (number - 1 + after), f"fjord/{number}/1")


def test_a_straight_wear_meets_its_limit_where_it_must() -> None:
    """8 mm and 0.2 mm a match: 12 mm after 20 matches; ten are played."""
    season = Season(10)
    for number in range(1, 11):
        read(season, number, 8 + 0.2 * number)
    found = next(
        item for item in wear(season.record(), ALL) if item.part_check.key == f"chain-slack@{CHAIN}"
    )
    assert (found.reach, found.early, found.late) == (
        pytest.approx(10),
        pytest.approx(10),
        pytest.approx(10),
    )
    assert (
        "Meets 12 mm in about 10 matches" in found.sentence
        and "10 comparable readings" in found.sentence
    )


def test_the_drawn_line_is_the_piece_inside_the_frame() -> None:
    """8 mm and 0.2 mm a match from match 1 on: between 9 mm and 11 mm from match 5 to match 15."""
    season = Season(10)
    for number in range(1, 11):
        read(season, number, 8 + 0.2 * number)
    found = wear(season.record(), ALL)[0]
    ((kind, ends),) = found.paths(20, 9e-3, 11e-3)
    assert (kind, [number for end in ends for number in end]) == (
        "fit",
        pytest.approx([5, 9e-3, 15, 11e-3]),
    )
    assert found.paths(20, 1e-3, 2e-3) == []


@pytest.mark.parametrize("travels", [(8, 8.5, 9, 9.5, 10, 12.5), (8, 8.5, 9, 9.5, 12.5, 11.8)])
def test_beyond_the_limit_nothing_is_forecast(travels: tuple[float, ...]) -> None:
    season = Season(6)
    for number, travel in enumerate(travels, 1):
        read(season, number, travel)
    found = wear(season.record(), ALL)[0]
    assert (found.reach, found.early, found.late) == (None, None, None) and found.tells
    assert "12.5 mm, is beyond 12 mm: nothing is forecast any more" in found.sentence


@pytest.mark.parametrize("mended", ["read again", "repaired"])
def test_a_chain_that_was_taken_up_starts_a_new_line(mended: str) -> None:
    """12.5 mm after match 6; then it is taken up to 8 mm and wears by 0.2 mm a match again: 12 mm
    after match 26."""
    season = Season(12)
    for number, travel in enumerate((10, 10.5, 11, 11.5, 11.8, 12.5), 1):
        read(season, number, travel)
    if mended == "read again":
        read(season, 6, 8.0, after=0.7)
    else:
        season.closed(season.broke(6, "loose", CHAIN, after=20), "tightened")
    for number in range(7, 13):
        read(season, number, 8 + 0.2 * (number - 6))
    found = next(
        item for item in wear(season.record(), ALL) if item.part_check.key == f"chain-slack@{CHAIN}"
    )
    assert found.beyond is None and found.slope == pytest.approx(0.2e-3, rel=0.05)
    assert found.reach == pytest.approx(14, abs=1)


def test_one_misread_number_does_not_bend_the_line() -> None:
    """8 mm and 0.1 mm a match with a tenth of scatter, and 10.9 mm typed for 8.9 once."""
    season = Season(14)
    for number in range(1, 15):
        read(
            season,
            number,
            8 + 0.1 * number + (0.05 if number % 2 else -0.05) + (2 if number == 7 else 0),
        )
    found = wear(season.record(), ALL)[0]
    assert [point.value for point in found.points if point.odd] == [pytest.approx(10.75e-3)]
    assert (
        found.slope == pytest.approx(0.1e-3, rel=0.05) and "1 far off it left out" in found.sentence
    )


def test_a_bound_for_slips_is_no_limit_of_wear() -> None:
    """A reading that gets smaller goes towards the bound that says: count the pitches again.
    Nothing wears out there."""
    season = Season(10)
    item = season.definitions.part_checks[f"chain-slack@{CHAIN}"]
    for number in range(1, 11):
        read(season, number, 12 - 0.2 * number)
    limit = msgspec.structs.replace(item.limit, stop_low=0.008)
    falling = wear_of(season.record(), item, limit)
    slips = replace(
        item,
        check=replace(item.check, limit_rule=replace(item.check.limit_rule, sanity="stop_low")),
    )
    found = wear_of(season.record(), slips, limit)
    assert falling and (falling.bound, falling.reach) == (0.008, pytest.approx(10))
    assert (
        found
        and (found.bound, found.reach) == (0.012, None)
        and "no drift towards 12 mm" in found.sentence
    )


def test_the_bundled_bounds_for_slips_are_marked() -> None:
    """A chain shorter than new and a rope thicker than any: what their own sentences call a slip in
    measuring."""
    files = [tomllib.loads(file.read_text("utf-8")) for file in CHECKLISTS.glob("*.toml")]
    marked = {
        check["id"]: check["limit"]["sanity"]
        for file in files
        for check in file["check"]
        if "sanity" in check.get("limit", {})
    }
    assert marked.items() >= {"chain-wear": "stop_low", "rope-diameter": "stop_high"}.items()


def test_a_new_part_starts_a_new_line() -> None:
    season = Season(12)
    for number in range(1, 7):
        read(season, number, 10 + 0.2 * number)
    season.put("part_change", {"part": CHAIN, "identical": True}, FIRST + EVERY * 5.75)
    for number in range(7, 13):
        read(season, number, 8 + 0.1 * number)
    found = wear(season.record(), ALL)[0]
    assert len(found.points) == 12 and len(found.fitted) == 6
    assert found.slope == pytest.approx(0.1e-3)


def test_few_readings_make_no_line_and_say_so() -> None:
    season = Season(4)
    for number in range(1, 4):
        read(season, number, 8.0)
    found = wear(season.record(), ALL)[0]
    assert found.slope is None and "at least 5" in found.sentence


def test_no_drift_is_no_forecast() -> None:
    season = Season(12)
    for number in range(1, 13):
        read(season, number, 8 + (0.1 if number % 2 else -0.1))
    found = wear(season.record(), ALL)[0]
    assert not found.drifts and "no drift" in found.sentence and found.signal is None


def test_a_control_chart_names_the_rule_that_fired() -> None:
    season = Season(14)
    for number in range(1, 15):
        read(season, number, 8 + (0.1 if number % 2 else -0.1) + (2 if number == 14 else 0))
    signal = wear(season.record(), ALL)[0].signal
    assert signal and signal.reading.match == "fjord/14/1" and signal.rule.startswith("one reading")
    assert 7e-3 < signal.low < 7.9e-3 and 8.1e-3 < signal.high < 9e-3


def test_spares_are_counted_down_by_repairs() -> None:
    season = Season(10)
    season.closed(season.broke(2), used=["2 x M5 nuts"])
    season.closed(season.broke(5), used=["nut M5"])
    spares, mistakes = parse_spares(
        {
            "spare": [
                {"item": "M5 nut", "count": 4, "reorder": 1},
                {"item": "belt"},
                {"itm": "x", "count": 1},
            ]
        }
    )
    assert len(mistakes) == 3
    object.__setattr__(season.definitions, "spares", spares)
    stock = carry(season.record(), ALL, 6).stocks[0]
    assert (stock.left, stock.reorder, len(stock.used)) == (1, True, 2)
    assert 0.2 < stock.risk < 0.8
    assert "Get more" in stock.sentence and "3 in 10 matches" in stock.sentence


@pytest.mark.parametrize(
    ("written", "counted"),
    [
        ('"2026-03-07"', "2026-03-06T23:00:00+00:00"),
        ("2026-03-07", "2026-03-06T23:00:00+00:00"),
        ('"2026-03-07 09:30"', "2026-03-07T08:30:00+00:00"),
        ("2026-03-07T09:30:00Z", "2026-03-07T09:30:00+00:00"),
    ],
)
def test_a_spare_is_counted_at_a_day_or_time_of_the_event(written: str, counted: str) -> None:
    """Oslo is an hour ahead of UTC in March (IANA time zones)."""
    spares, mistakes = parse_spares(
        tomllib.loads(f'[[spare]]\nitem = "M5 nut"\ncount = 4\ncounted = {written}'), "Europe/Oslo"
    )
    assert (mistakes, spares[0].counted.isoformat()) == ([], counted)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            '[[spare]]\nitem = "nut"\ncount = 4\ncounted = "last week"',
            'counted: found "last week"; wanted a day or a time, such as 2026-03-01',
        ),
        (
            '[[spare]]\nitem = "nut"\ncount = 4\ncounted = 7',
            "counted: found 7; wanted a day or a time",
        ),
        (
            '[[spare]]\nitem = "M5 nut"\ncount = 4\n[[spare]]\nitem = "nuts M5"\ncount = 2',
            "spare nuts M5: found the same item twice",
        ),
    ],
)
def test_a_mistyped_spare_is_told(text: str, said: str) -> None:
    assert said in " ".join(mistake.sentence for mistake in parse_spares(tomllib.loads(text))[1])


def test_what_is_used_and_not_on_the_list_is_said() -> None:
    season = Season(4)
    season.closed(season.broke(2), used=["zip tie"])
    assert "not on the spares list" in carry(season.record(), ALL).stocks[0].sentence


def test_items_are_one_whatever_the_order_of_their_words() -> None:
    assert (
        item_key("Toothed washers M8")
        == item_key("M8 toothed washer")
        != item_key("M6 toothed washer")
    )
    assert item_key("10-32 screw") != item_key("8-32 screw")


def test_leaving_a_repeat_has_a_cost_in_matches() -> None:
    season = Season(10)
    season.closed(season.broke(1, "loose"))
    season.broke(4, "loose")
    leaving = carry(season.record(), ALL, 6).leaving[0]
    assert leaving.ahead.expected == pytest.approx(2.5 * 6 / 10)


def test_a_check_that_was_ok_before_its_part_failed_missed_it() -> None:
    season = Season(6)
    read(season, 2, "whole", "rail", "lift.bracket")
    season.broke(3)
    read(season, 4, "cracked", "rail", "lift.bracket")
    read(season, 5, "whole", "rail", "lift.bracket")
    season.broke(6, "scratched", grade="watch")
    worth = next(item for item in checkworth(season.record(), ALL) if item.check == "rail")
    assert (
        worth.readings,
        worth.found,
        worth.caught,
        [fault.grade for fault, _ in worth.missed],
    ) == (3, 1, 1, ["stop"])


def test_the_share_of_a_check_is_one_of_its_readings() -> None:
    season = Season(6)
    for number in range(1, 6):
        read(season, number, "whole", "rail", "lift.bracket")
    worth = next(item for item in checkworth(season.record(), ALL) if item.check == "rail")
    assert worth.share.sentence.startswith(
        "0 in 5 readings still allows up to 45 % a reading (exact, one-sided 95 %)"
    )  # 1 - 0.05^(1/5)


def test_spans_to_look_ahead_are_those_of_the_schedule() -> None:
    season = Season(5)
    season.play(3, "inlet")
    season.put(
        "match_run",
        {"planned": (season.end + EVERY * 90).isoformat(), "ours": "red 1"},
        season.end,
        "inlet/4/1",
    )
    assert spans(season.record()) == [
        ("to come on the schedule", 1),
        ("eliminations at most", 8),
        ("an event like the last", 3),
    ]


def test_a_fault_found_by_a_reading_was_not_missed() -> None:
    season = Season(6)
    read(season, 2, "whole", "rail", "lift.bracket")
    read(season, 3, "cracked", "rail", "lift.bracket")
    body = {
        "part": "lift.bracket",
        "symptom": "cracked",
        "grade": "stop",
        "reading": season.entries[-1].id,
    }
    season.put("fault", body, FIRST + EVERY * 2.6, "fjord/3/1")
    worth = next(item for item in checkworth(season.record(), ALL) if item.check == "rail")
    assert worth.missed == () and worth.caught == 1


def test_a_skip_that_was_followed_by_a_fault_is_told() -> None:
    season = Season(6)
    season.put(
        "skipped", {"check": "rail", "part": "lift.bracket", "why": "no time"}, FIRST + EVERY * 1.5
    )
    season.broke(3)
    worth = checkworth(season.record(), ALL)[0]
    assert len(worth.followed) == 1 and "Do not skip" in worth.advice


def test_a_part_that_fails_without_a_check_wants_one() -> None:
    season = Season(6)
    season.broke(2, part="shooter.hood")
    assert [row.part for row in uncovered(season.record(), ALL)] == ["shooter.hood"]


def test_events_side_by_side_are_held_against_the_first() -> None:
    season = Season(10)
    season.play(10, "inlet")
    season.broke(1)
    for number in range(1, 9):
        at = season.end - EVERY * (10 - number) + EVERY / 6
        season.put(
            "fault",
            {"part": "lift.bracket", "symptom": "bent", "grade": "stop"},
            at,
            f"inlet/{number}/1",
        )
    first, second = sides(season.record(), ALL)["events"]
    assert (first.often.count, second.often.count, second.ratio) == (1, 8, pytest.approx(8))
    assert (
        second.p == pytest.approx(2 * sum((1, 9)) / 2**9) and "the rates differ" in second.sentence
    )


def test_of_many_events_one_that_differs_by_chance_alone_is_not_said_to_differ() -> None:
    """Ten events against the first, one of which has 6 faults against its 0: p = 2/64 alone
    (exact), 10 times that for ten looks."""
    season = Season(10)
    for event in "abcdefghij":
        season.play(10, event)
        for number in range(1, 7 if event == "j" else 1):
            season.put(
                "fault",
                {"part": "lift.bracket", "symptom": "bent", "grade": "stop"},
                season.end,
                f"{event}/{number}/1",
            )
    last = sides(season.record(), ALL)["events"][-1]
    assert (last.p, last.adjusted) == (pytest.approx(2 / 64), pytest.approx(20 / 64))
    assert (
        "fjord had none, so there is no ratio" in last.sentence
        and "no difference can be told" in last.sentence
    )
