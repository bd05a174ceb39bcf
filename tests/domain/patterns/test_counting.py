"""What is counted: matches, replays, faults without a match, grades, climbs and cycles, ranks and
the many looks."""

from pitcrew.domain.patterns.exposure import exposure_of, unit_of
from pitcrew.domain.patterns.ranking import ranking
from pitcrew.domain.patterns.record import Scope
from tests.domain.patterns.season import ALL, EVERY, FIRST, Season


def test_nothing_in_twelve_matches_is_said_with_its_bound() -> None:
    found = ranking(Season(12).record(), ALL)
    assert found.rows == ()
    assert (
        found.clean.sentence
        == "0 in 12 matches still allows up to 22 % a match (exact, one-sided 95 %); the two-sided"
        " interval ends at 26 %."
    )


def test_a_replay_is_one_more_match() -> None:
    season = Season(3)
    at = season.end + EVERY
    season.put(
        "match_run",
        {"planned": at.isoformat(), "actual": at.isoformat(), "ours": "red 1"},
        at,
        "fjord/3/2",
    )
    assert exposure_of(season.record(), ALL).amount == 4


def test_a_fault_of_no_match_stands_apart_and_leaves_the_share_alone() -> None:
    season = Season(10)
    season.broke(2)
    season.broke(4, match=False)
    row = ranking(season.record(), ALL).rows[0]
    assert (len(row.faults), len(row.outside), row.often.count, row.often.exposure) == (2, 1, 1, 10)


def test_degraded_counts_as_well_as_dead() -> None:
    season = Season(10)
    for number, grade in ((1, "stop"), (2, "degraded"), (3, "degraded"), (4, "watch")):
        season.broke(number, grade=grade)
    row = ranking(season.record(), ALL).rows[0]
    assert row.grades == {"stop": 1, "degraded": 2, "watch": 1}
    assert row.often.count == 4


def test_two_faults_in_one_match_hit_one_match() -> None:
    season = Season(10)
    season.broke(3)
    season.broke(3, after=6)
    assert ranking(season.record(), ALL).rows[0].often.count == 1


def test_climbs_are_counted_from_debriefs_and_else_from_clearances() -> None:
    season = Season(4)
    for number, answer in ((1, "held"), (2, "no, out of time"), (3, "")):
        season.put(
            "debrief", {"answers": {"climb": answer}}, FIRST + EVERY * number, f"fjord/{number}/1"
        )
    season.put("clearance", {"decision": "cleared", "seen_seq": 1}, FIRST, "fjord/3/1")
    found = exposure_of(season.record(), ALL, "climb")
    assert found.entries == ("fjord/1/1", "fjord/3/1")


def test_a_battery_ages_by_cycles() -> None:
    season = Season(6)
    for number in (1, 3, 5):
        season.put("battery_move", {"battery": "1", "to": "robot"}, FIRST + EVERY * number)
    season.put("battery_move", {"battery": "2", "to": "robot"}, FIRST)
    season.broke(2, part="battery.1")
    record = season.record()
    row = ranking(record, ALL).rows[0]
    assert unit_of(record, "battery.1") == "cycle"
    assert (row.often.count, row.often.exposure, row.often.unit) == (1, 3, "cycle")


def test_filters_take_event_season_robot_and_subsystem() -> None:
    season = Season(5)
    season.play(4, "inlet", FIRST.replace(year=2027), "gull")
    season.broke(2)
    season.broke(3, part="drive.frame")
    at = FIRST.replace(year=2027)
    season.put(
        "fault",
        {"part": "lift.bracket", "symptom": "bent", "grade": "stop"},
        at,
        "inlet/1/1",
        "gull",
    )
    record = season.record()
    assert (
        record.events == ("fjord", "inlet")
        and record.seasons == ("2026", "2027")
        and record.robots == ("tern", "gull")
    )
    for scope, matches, faults in (
        (Scope(event="fjord"), 5, 2),
        (Scope(season="2027"), 4, 1),
        (Scope(robot="gull"), 4, 1),
        (Scope(part="lift"), 9, 2),
        (Scope(event="fjord", part="drive.frame"), 5, 1),
        (Scope(event="nowhere"), 0, 0),
    ):
        assert (exposure_of(record, scope).amount, len(record.faults_in(scope))) == (
            matches,
            faults,
        ), scope


def test_one_part_stands_out_where_the_others_do_not() -> None:
    season = Season(12)
    for number in range(1, 9):
        season.broke(number)
    season.broke(3, part="drive.frame")
    found = ranking(season.record(), ALL)
    assert [row.stands_out for row in found.rows] == [True, False]
    assert (
        f"{found.looks} parts were compared" in found.sentence
        and "false discovery rate" in found.sentence
    )


def test_one_fault_each_lets_none_stand_out() -> None:
    season = Season(12)
    for number, part in enumerate(season.definitions.robot.parts, 1):
        season.broke(number, part=part)
    assert not any(row.stands_out for row in ranking(season.record(), ALL).rows)
