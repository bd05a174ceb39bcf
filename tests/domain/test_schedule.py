"""Order of play, the next run, the live delay, and what an imported list changes."""

from datetime import timedelta

import pytest

from pitcrew.domain.logbook.runs import natural, starts_of
from pitcrew.domain.logbook.schedule import (
    ScheduleRow,
    next_run,
    outlook,
    played_runs,
    runs_in_order,
    schedule_entries,
)
from tests.domain.folded import Log, define, moment_of

MINUTES_BEFORE_PRINT = (
    21  # open schedule data of 10 events: the earliest real start was 21 min before the printed one
)


def names(runs) -> list[str]:
    return [run.match for run in runs]


def test_names_are_ordered_by_number_never_as_text():
    texts = ["10", "9", "sf 10", "SF 9", "Tiebreaker 1", "sf9m2", "sf9m10"]
    assert sorted(texts, key=natural) == [
        "9",
        "10",
        "SF 9",
        "sf9m2",
        "sf9m10",
        "sf 10",
        "Tiebreaker 1",
    ]


def test_order_of_play_is_by_time_then_name_and_undated_runs_come_last():
    log = Log()
    for name, planned in (
        ("10", "10:00"),
        ("9", "10:00"),
        ("12", None),
        ("8", "11:00"),
        ("11", None),
    ):
        log.run(name, planned)
    assert names(runs_in_order(log.state())) == ["9", "10", "8", "11", "12"]


def test_a_given_place_decides_between_equal_times():
    log = Log()
    log.run("9", "10:00", order=2)
    log.run("10", "10:00", order=1)
    assert names(runs_in_order(log.state())) == ["10", "9"]


def test_a_late_start_moves_the_runs_after_it_and_the_order_stays():
    """Delayed list: match 12 printed 10:20, the field 37 min behind, our next is match 15."""
    log = Log()
    log.run("12", "10:20", "10:57", ours="")
    log.run("13", "10:30", ours="")
    run = log.run("15", "10:50")
    state = log.state()
    assert names(runs_in_order(state)) == ["12", "13", "15"]
    found = outlook(state, moment_of("10:58"), state.runs[run])
    assert (found.expected, found.delay) == (moment_of("11:27"), timedelta(minutes=37))
    assert found.earliest == moment_of("10:50") and found.runs_before == 1


def test_a_late_start_does_not_move_a_run_printed_before_it():
    log = Log()
    log.run("11", "10:10", ours="")
    log.run("12", "10:20", "10:57", ours="")
    state = log.state()
    assert names(runs_in_order(state)) == ["11", "12"]
    assert outlook(state, moment_of("10:00"), state.runs["fjord/11/1"]).expected == moment_of(
        "10:10"
    )


@pytest.mark.parametrize("started, expected", [("09:50", "10:40"), ("09:20", "10:29")])
def test_a_field_that_runs_early_never_counts_more_than_the_earliest_start_known(started, expected):
    log = Log()
    log.run("12", "10:00", started, ours="")
    run = log.run("15", "10:50")
    state = log.state()
    found = outlook(state, moment_of("10:00"), state.runs[run])
    assert found.expected == moment_of(expected)
    assert found.earliest == moment_of("10:50") - timedelta(minutes=MINUTES_BEFORE_PRINT)


def test_matches_put_off_overnight_are_ordered_by_their_real_start_and_say_nothing_about_the_next_day():
    """31 to 60 printed for the first afternoon and played from 09:10 of the next day."""
    log = Log()
    log.run("30", "15:00", "15:05")
    log.run("31", "15:10", "8 09:10")
    log.run("32", "15:20")
    log.run("61", "8 13:00")
    state = log.state()
    assert names(runs_in_order(state)) == ["30", "31", "32", "61"]
    assert outlook(state, moment_of("8 09:12"), state.runs["fjord/32/1"]).expected == moment_of(
        "8 09:20"
    )
    assert outlook(state, moment_of("8 09:12"), state.runs["fjord/61/1"]).expected == moment_of(
        "8 13:00"
    )


def test_a_replay_is_a_second_run_of_the_same_match():
    log = Log()
    for number, start in (("21/1", "15:02"), ("21/2", "15:15"), ("21/3", "15:29")):
        log.run(number, "15:00", start)
    state = log.state()
    assert [(run.match, run.number) for run in runs_in_order(state)] == [
        ("21", 1),
        ("21", 2),
        ("21", 3),
    ]
    assert len(played_runs(state, moment_of("16:00"))) == 3


def test_the_next_run_is_our_first_that_has_not_started():
    log = Log()
    log.run("9", "10:00", "10:02")
    log.run("10", "10:10", ours="")
    log.run("11", "10:20", cancelled=True)
    log.run("12", "10:30")
    state = log.state()
    assert next_run(state, moment_of("10:05")).match == "12"
    assert next_run(state, moment_of("10:05"), ours_only=False).match == "10"


@pytest.mark.parametrize("now, wanted", [("10:39", "9"), ("10:41", "10")])
def test_a_start_that_nobody_recorded_counts_as_played_after_forty_minutes(now, wanted):
    """90 % of the counted starts came at most 37 min after print."""
    log = Log()
    log.run("9", "10:00")
    log.run("10", "11:00")
    assert next_run(log.state(), moment_of(now)).match == wanted


@pytest.mark.parametrize(
    "kind, body", [("returned", {}), ("debrief", {"answers": {"hard_hit": True}})]
)
def test_a_run_is_over_once_the_robot_is_back_or_the_drivers_have_told(kind, body):
    log = Log()
    run = log.run("9", "10:00")
    log.run("10", "11:00")
    log.add(kind, body, "10:08", match=run)
    assert next_run(log.state(), moment_of("10:09")).match == "10"


def test_a_run_before_one_that_has_started_is_over():
    log = Log()
    log.run("9", "10:00")
    log.run("10", "10:20", "10:22")
    log.run("11", "10:50")
    state = log.state()
    assert next_run(state, moment_of("10:23")).match == "11"
    assert [run.match for run, _ in played_runs(state, moment_of("10:23"))] == ["9", "10"]


def test_an_empty_schedule_has_no_next_run():
    assert next_run(Log().state(), moment_of("10:00")) is None


def rows() -> list[ScheduleRow]:
    return [
        ScheduleRow(
            "fjord/9/1", "9", moment_of("10:00"), {"red 1": ["17"], "blue 1": ["8"]}, "red 1"
        ),
        ScheduleRow("fjord/SF 1/1", "SF 1", None, {"red 1": ["4"]}, ""),
    ]


def stored(log: Log, changes) -> None:
    for run, body in changes:
        log.add("match_run", body, match=run)


def test_the_same_list_twice_changes_nothing():
    log = Log(define())
    first = schedule_entries(rows(), log.state())
    assert [run for run, _ in first] == ["fjord/9/1", "fjord/SF 1/1"]
    stored(log, first)
    assert schedule_entries(rows(), log.state()) == []
    assert log.state().runs["fjord/9/1"].ours == "red 1"


def test_only_what_a_list_changes_is_stored_and_what_it_does_not_tell_stays():
    log = Log()
    stored(log, schedule_entries(rows(), log.state()))
    log.add(
        "match_run",
        {"actual": moment_of("10:07").isoformat(), "cancelled": True},
        match="fjord/9/1",
    )
    moved = [
        ScheduleRow("fjord/9/1", "9", moment_of("10:30")),
        ScheduleRow("fjord/sf 1/1", "SF 1", None),
    ]
    changes = schedule_entries(moved, log.state())
    assert changes == [("fjord/9/1", {"planned": "2026-03-07T10:30:00.000Z"})]
    stored(log, changes)
    run = log.state().runs["fjord/9/1"]
    assert run.cancelled and run.actual == moment_of("10:07") and run.ours == "red 1"


def test_an_empty_list_is_fine():
    assert schedule_entries([], Log().state()) == []


def test_a_run_that_came_back_never_starts_after_its_return():
    log = Log()
    early = log.run("9", "10:00")
    typed_wrong = log.run("10", "10:20", "11:20")
    log.run("11", "11:00")
    log.add("returned", {}, "09:50", match=early)
    log.add("returned", {}, "10:31", match=typed_wrong)
    state = log.state()
    starts = starts_of(state)
    assert (starts[early], starts[typed_wrong]) == (moment_of("09:50"), moment_of("10:31"))
    assert [(run.match, start) for run, start in played_runs(state, moment_of("10:32"))] == [
        ("9", moment_of("09:50")),
        ("10", moment_of("10:31")),
    ]
