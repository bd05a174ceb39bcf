"""Batteries: place, offer and its reasons, two robots with one battery, names that may be the
same."""

import pytest

from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.batteries.ranking import offered_of
from pitcrew.domain.now.view import view_of
from tests.domain.folded import Log, define, moment_of


def seen(log: Log, now: str = "12:00") -> dict[str, Battery]:
    return {
        battery.name: battery
        for battery in view_of(log.definitions, log.state(), moment_of(now)).fleet
    }


def good_log() -> Log:
    log = Log()
    log.run("3", "11:00", "11:00")
    log.run("4", "13:00")
    log.all_batteries_good()
    return log


def go(log: Log, name: str, to: str, at: str, where: str = "", **fields):
    return log.add("battery_move", {"battery": name, "to": to, "where": where}, at, **fields)


def offered(log: Log) -> str | None:
    found = offered_of(view_of(log.definitions, log.state(), moment_of("12:00")).fleet)
    return found.name if found else None


def test_batteries_are_listed_by_number_with_place_and_since():
    log = good_log()
    go(log, "2", "channel", "09:00", "4")
    go(log, "2", "rest", "09:40")
    found = seen(log)
    assert list(found) == ["1", "2", "10"]
    assert (found["2"].place, found["2"].since, found["1"].place, found["1"].since) == (
        "rest",
        moment_of("09:40"),
        "",
        None,
    )
    assert all(battery.offered and not battery.why for battery in found.values())


def test_last_readings_are_found_by_what_they_measure():
    log = good_log()
    log.read("battery-load", "battery.1", 14.0, "09:00")
    battery = seen(log)["1"]
    assert battery.resistance.result == pytest.approx(
        0.014
    ) and battery.rest_voltage.result == pytest.approx(12.9)
    assert battery.state == "ok" and len(battery.readings) == 2


def test_the_battery_with_the_least_resistance_is_offered_and_the_one_in_the_robot_before_all():
    log = good_log()
    log.read("battery-load", "battery.10", 11.0, "09:00")
    assert offered(log) == "10"
    go(log, "10", "channel", "11:10")
    assert offered(log) == "1"
    go(log, "2", "robot", "11:20")
    assert offered(log) == "2"


@pytest.mark.parametrize(
    "spoil, why",
    [
        (lambda log: go(log, "1", "retired", "09:00"), "It is retired."),
        (
            lambda log: log.read("battery-load", "battery.1", 25.0, "09:00"),
            "stop: 25 mΩ is above 20 mΩ.",
        ),
        (lambda log: log.read("battery-rest", "battery.1", 12.0, "09:00"), "stop: 12"),
        (lambda log: log.read("battery-rest", "battery.1", "12", "09:00"), "unjudged: "),
        (lambda log: go(log, "1", "robot", "10:50"), "It has played in the robot."),
        (
            lambda log: log.add(
                "battery_test", {"battery": "1", "result": {"resistance": 0.021}}, "09:00"
            ),
            "Its last load test is above",
        ),
        (
            lambda log: go(log, "01", "rest", "09:00"),
            "'1' and '01' are two names: are they the same battery?",
        ),
    ],
)
def test_a_battery_is_not_offered_for_a_reason_that_is_said(spoil, why):
    log = good_log()
    assert seen(log)["1"].offered
    spoil(log)
    battery = seen(log)["1"]
    assert not battery.offered and battery.why.startswith(why)


def test_good_voltage_without_a_load_test_is_not_offered():
    log = Log(define(batteries=("1",)))
    log.read("battery-rest", "battery.1", 13.0, "09:00")
    assert seen(log)["1"].why == "No load test is on record; voltage alone says little."
    log.add("battery_test", {"battery": "1", "result": {"resistance": 0.012}}, "09:10")
    assert offered(log) == "1"


def test_a_load_test_from_before_this_event_does_not_count():
    log = Log(define(batteries=("1",)))
    log.run("4", "13:00")
    log.all_batteries_good("1 09:00")
    assert seen(log)["1"].why == "No load test since this event began; voltage alone says little."


@pytest.mark.parametrize("name", ["07", " 7", "battery.7 "])
def test_names_that_may_be_one_battery_are_asked_about(name):
    log = Log(define(batteries=("7",)))
    log.all_batteries_good()
    go(log, name, "rest", "09:00")
    found = seen(log)
    if name.strip().removeprefix("battery.") == "7":
        assert list(found) == ["7"] and found["7"].place == "rest" and found["7"].offered
    else:
        assert not any(battery.offered for battery in found.values())
        assert all("same battery?" in battery.conflicts[0] for battery in found.values())


@pytest.mark.parametrize(
    ("kind", "body", "settled"),
    [
        ("note", {"text": "07 and 7 are two batteries."}, True),
        ("note", {"text": "07 and 7 are two batteries, I think"}, False),
        ("battery_identity", {"first": "7", "second": "07", "same": False}, True),
        ("battery_identity", {"first": "7", "second": "07", "same": True}, False),
    ],
)
def test_two_names_are_told_apart_by_an_answer_or_by_the_note_of_an_older_logbook(
    kind, body, settled
):
    log = good_log()
    go(log, "7", "rest", "10:10")
    go(log, "07", "rest", "10:10")
    log.add(kind, body)
    assert (seen(log)["7"].alike == ()) is settled


def test_one_battery_in_two_robots_is_a_conflict_until_settled_and_both_entries_stay():
    """Logged in robot A at 10:02, and by a phone without network in robot B at 10:10."""
    log = good_log()
    go(log, "1", "robot", "11:12", "Tern")
    go(log, "1", "robot", "11:20", "Gull")
    battery = seen(log)["1"]
    assert not battery.offered and "two robots, tern and then gull" in battery.why
    assert len(log.state().battery_moves["1"]) == 2
    go(log, "1", "rest", "11:30")
    assert seen(log)["1"].offered


def test_a_battery_may_go_from_one_robot_to_the_other_by_way_of_the_shelf():
    log = good_log()
    go(log, "1", "robot", "11:12", "Gull")
    go(log, "1", "rest", "11:20")
    go(log, "1", "robot", "11:30", "Tern")
    assert seen(log)["1"].conflicts == () and offered(log) == "1"


def test_the_same_robot_twice_by_its_name_and_by_its_label_is_no_conflict():
    log = good_log()
    go(log, "1", "robot", "11:12", "Tern")
    go(log, "1", "robot", "11:20")
    assert seen(log)["1"].conflicts == () and seen(log)["1"].ready_in_robot


def test_a_battery_must_have_come_out_when_another_goes_in():
    log = good_log()
    go(log, "1", "robot", "10:50")
    go(log, "2", "robot", "11:20")
    found = seen(log)
    assert (found["1"].place, found["1"].where) == ("", "taken out of tern when 2 went in")
    assert found["2"].ready_in_robot and offered(log) == "2"


def test_a_battery_in_the_other_robot_is_not_offered():
    log = good_log()
    go(log, "1", "robot", "11:30", "Gull")
    assert seen(log)["1"].why == "It is in the robot gull."


def test_a_battery_that_no_build_sheet_lists_is_shown_but_not_offered():
    log = good_log()
    go(log, "gamma", "rest", "09:00")
    assert not seen(log)["gamma"].offered and seen(log)["gamma"].part.id == "battery.gamma"


def test_without_any_battery_none_is_offered():
    log = Log(define(batteries=()))
    assert seen(log) == {} and offered(log) is None
