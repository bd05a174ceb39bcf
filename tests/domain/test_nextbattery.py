"""Which battery to carry: charge plausibility, suspect channels, rest, resistance, forecast, and
what is kept back."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from pitcrew.domain.batteries.condition import is_elimination
from pitcrew.domain.batteries.fleet import Battery, measured_ohms
from pitcrew.domain.batteries.lives import to_usual_pair
from pitcrew.domain.batteries.nextbattery import (
    Candidate,
    Planned,
    as_rows,
    candidates,
    plan,
    row_lines,
)
from pitcrew.domain.batteries.records import records, suspect_channels
from pitcrew.domain.batteries.wiring import resistance_rose
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.schedule import next_run
from pitcrew.domain.now.view import view_of
from tests.domain.folded import BATTERY, SHEET, Log, define, moment_of


def go(log: Log, name: str, to: str, at: str, where: str = "", **fields) -> None:
    log.add("battery_move", {"battery": name, "to": to, "where": where}, at, **fields)


def robot_log(log: Log, battery: str, match: str | None = None, **numbers) -> None:
    body = {
        "battery": battery,
        "file": "0" * 64,
        "name": "m.csv",
        "rows": 100,
        "bad_rows": 0,
        "duration": 135.0,
        "lowest_voltage": 8.7,
    }
    log.add(
        "robot_log",
        body | {"charge": 1.8, "sustained_current": 150.0, "resistance": 0.017} | numbers,
        "11:50",
        match=match,
    )


def good_log(**settings) -> Log:
    log = Log(define(settings=settings))
    log.run("3", "11:00", "11:00")
    log.run("4", "13:00")
    log.all_batteries_good()
    return log


def look(log: Log, now: str = "12:00") -> Moment:
    state = log.state()
    return Moment(log.definitions, state, moment_of(now), next_run(state, moment_of(now)))


def ranked(log: Log, now: str = "12:00") -> dict[str, Candidate]:
    seen = view_of(log.definitions, log.state(), moment_of(now))
    return {item.battery.name: item for item in candidates(seen.moment, seen.fleet)}


def planned(log: Log) -> list[Planned]:
    seen = view_of(log.definitions, log.state(), moment_of("12:00"))
    return plan(seen.moment, seen.fleet)


def one(log: Log, name: str, now: str = "12:00") -> Battery:
    return next(
        item
        for item in view_of(log.definitions, log.state(), moment_of(now)).fleet
        if item.name == name
    )


def played(log: Log, name: str) -> None:
    """In the robot for match 3, out after it."""
    go(log, name, "robot", "10:40")
    go(log, name, "rest", "11:08")


def test_a_log_tells_of_a_match_that_nobody_put_the_battery_in_for():
    log = good_log()
    go(log, "1", "channel", "09:00", "2")
    go(log, "1", "rest", "10:30")
    robot_log(log, "1", "fjord/3/1", charge=1.8)
    found = ranked(log)["1"]
    assert (found.battery.record.matches, found.battery.record.lacks, found.battery.condition) == (
        ("fjord/3/1",),
        1.8,
        "used",
    )
    assert "1 match played" in found.why and not found.take
    assert (
        found.why_not
        == "Its last match took 1.8 A·h (its log says), and it was not charged since: 1.8 A·h are"
        " lacking."
    )
    go(log, "1", "channel", "11:20", "2")
    assert one(log, "1").record.lacks == 0 and one(log, "1").record.cycles == 1


def test_a_log_takes_no_charge_where_the_moves_say_otherwise():
    log = good_log()
    go(log, "1", "channel", "10:00", "2")
    robot_log(log, "1", "fjord/3/1", charge=1.8)
    robot_log(log, "2", "fjord/99/1", charge=1.8)
    assert [(one(log, name).record.matches, one(log, name).record.lacks) for name in "12"] == [
        (("fjord/3/1",), 0),
        (("fjord/99/1",), 0),
    ]


def test_green_after_nine_minutes_is_not_charged():
    log = good_log()
    played(log, "1")
    robot_log(log, "1", "fjord/3/1", charge=1.8)
    go(log, "1", "channel", "11:20", "2")
    go(log, "1", "rest", "11:29")
    found = ranked(log)["1"]
    assert found.battery.record.lacks == pytest.approx(1.8 - 6 * 9 / 60) and not found.take
    assert (
        "took 1.8 A·h (its log says); 9 min on channel 2 at 6 A put back at most 0.9 A·h: it is not"
        " charged" in found.why_not
    )
    assert as_rows([found])[0]["charged"] is False


def test_half_an_hour_on_the_charger_is_enough():
    log = good_log()
    played(log, "1")
    go(log, "1", "channel", "11:10", "2")
    go(log, "1", "rest", "11:40")
    record = records(look(log))["1"]
    assert (record.lacks, record.cycles, record.matches) == (0, 1, ("fjord/3/1",))
    assert one(log, "1").condition == "ready"


def test_a_match_without_a_log_takes_what_logs_or_the_setting_say():
    log = good_log()
    played(log, "1")
    assert records(look(log))["1"].lacks == pytest.approx(1.84)
    robot_log(log, "2", charge=2.4)
    assert records(look(log))["1"].lacks == pytest.approx(2.4)


def test_a_second_battery_low_from_the_same_channel_makes_it_suspect():
    log = good_log()
    for name, begin, end, low in (("1", "08:30", "09:00", 12.0), ("2", "09:10", "10:00", 12.1)):
        go(log, name, "channel", begin, "4")
        go(log, name, "rest", end)
        log.read("battery-rest", f"battery.{name}", low, f"{end[:2]}:30")
        if name == "1":
            assert suspect_channels(look(log), records(look(log))) == {}
    assert suspect_channels(look(log), records(look(log))) == {"4": ("1", "2")}
    assert one(log, "1").channel_suspect == ("1", "2") and one(log, "1").condition == "suspect"
    go(log, "10", "channel", "10:35", "4")
    go(log, "10", "rest", "11:20")
    assert (
        ranked(log)["10"].why_not
        == "Channel 4 is suspect: 1 and 2 came back low from it. Measure it at rest."
    )
    assert not one(log, "10").offered
    log.read("battery-rest", "battery.10", 12.9, "11:40")
    assert suspect_channels(look(log), records(look(log))) == {}


@pytest.mark.parametrize("now, word", [("11:10", "cooling"), ("11:30", "used")])
def test_after_a_match_it_cools_and_is_used(now: str, word: str):
    log = good_log()
    played(log, "1")
    assert one(log, "1", now).condition == word


@pytest.mark.parametrize(
    "now, word", [("11:30", "charging"), ("11:45", "resting"), ("12:00", "ready")]
)
def test_off_the_charger_it_rests_and_is_ready(now: str, word: str):
    log = good_log()
    go(log, "1", "channel", "10:00", "2")
    if word != "charging":
        go(log, "1", "rest", "11:40")
    assert one(log, "1", now).condition == word


def test_the_forecast_is_ohms_law_at_the_current_of_the_last_logs():
    """12.9 V - 150 A x 17 mohm = 10.35 V from its own log; a tester's 12 mohm and the wiring's 5
    from the others'."""
    log = good_log()
    robot_log(log, "1", "fjord/3/1", sustained_current=150.0, resistance=0.017)
    own, other = one(log, "1").forecast, one(log, "2").forecast
    assert (
        own
        and own.lowest == pytest.approx(12.9 - 150 * 0.017)
        and own.margin == pytest.approx(own.lowest - 6.8)
    )
    assert other and other.resistance == pytest.approx(0.012 + 0.005)
    assert one(good_log(), "1").forecast is None


def test_more_margin_comes_first_and_says_so():
    log = good_log()
    robot_log(log, "1", resistance=0.025)
    robot_log(log, "2", resistance=0.015)
    robot_log(log, "10", resistance=0.030)
    found = ranked(log)
    assert list(found) == ["2", "1", "10"] and found["2"].take
    assert (
        found["1"].why_not == "Battery 2 has 1.5 V more margin."
        and "forecast lowest" in found["2"].why
    )


def test_every_row_says_why_it_stands_behind_the_one_before():
    """A capacity test emptied two, and one of them is still on the charger."""
    log = good_log()
    for name in ("2", "10"):
        go(log, name, "channel", "09:00", name)
        log.add("battery_test", {"battery": name, "result": {"capacity": 12.0}}, "08:30")
    go(log, "10", "rest", "11:20")
    found = ranked(log)
    assert list(found) == ["1", "10", "2"] and found["10"].behind == ""
    assert found["2"].behind.startswith("Behind Battery 10: it is on channel 2")
    assert found["2"].behind in as_rows(list(found.values()))[2]["reasons"]


def test_a_forecast_without_a_known_charge_holds_if_it_is_charged():
    log = good_log()
    robot_log(log, "2", resistance=0.017)
    log.add("battery_test", {"battery": "2", "result": {"capacity": 12.0}}, "08:30")
    go(log, "1", "channel", "09:00", "2")
    log.add("battery_test", {"battery": "1", "result": {"capacity": 12.0}}, "08:30")
    go(log, "1", "rest", "11:30")
    found = ranked(log)
    rows = {row["battery"]: row for row in as_rows(list(found.values()))}
    assert ", if it is charged" in found["1"].why and rows["1"]["forecast_if_charged"]
    assert "if it is charged" not in found["2"].why and not rows["2"]["forecast_if_charged"]


def test_a_charge_that_is_not_known_widens_the_forecast():
    """By Ohm's law and the logs' own fall of voltage with charge: 0.1 V per A*h, so 18 A*h that may
    all be lacking are 1.8 V at the low end; at the high end the battery may be full."""
    log = good_log()
    robot_log(log, "1", resistance=0.017, charge_slope=0.1)
    log.add("battery_test", {"battery": "1", "result": {"capacity": 12.0}}, "08:30")
    known = one(log, "1").forecast
    go(log, "1", "channel", "09:00", "2")
    go(log, "1", "rest", "11:30")
    battery = one(log, "1")
    wide = battery.forecast
    assert known and wide and battery.charge is None
    may_lack = battery.record.estimate.lacks_at_most - battery.record.lacks
    assert may_lack > 5
    assert wide.lowest - wide.low == pytest.approx(wide.high - wide.lowest + 0.1 * may_lack)
    assert "whatever its charge" in ranked(log)["1"].why


def test_the_plan_says_where_the_charge_of_its_battery_is_not_known():
    log = Log(define())
    log.run("3", "11:00", "11:00")
    log.run("4", "13:00")
    for name in ("1", "2", "10"):
        log.read("battery-load", f"battery.{name}", 12.0, "09:00")
    (item,) = planned(log)
    assert item.battery and item.battery.charge is None
    assert item.why == "if its charge holds: it is not known"


def test_fairness_decides_between_equals():
    log = good_log()
    played(log, "1")
    go(log, "1", "channel", "11:10")
    go(log, "1", "rest", "11:41")
    found = ranked(log)
    assert next(iter(found)) == "2" and found["1"].why_not == "Battery 2 played less."


def test_of_two_alike_the_younger_one_is_taken():
    sheet = SHEET + "".join(
        f"{BATTERY.format(name=name)}bought = {year}\n" for name, year in (("1", 2023), ("2", 2026))
    )
    log = Log(define(sheet=sheet, batteries=()))
    log.run("3", "11:00", "11:00")
    log.run("4", "13:00")
    log.all_batteries_good()
    found = ranked(log)
    assert list(found) == ["2", "1"] and "bought in 2026" in found["2"].why
    assert found["1"].why_not == "Battery 2 is younger, bought in 2026."


def test_the_best_is_kept_back_for_the_eliminations():
    log = good_log(keep_best=True)
    log.read("battery-load", "battery.10", 10.5, "09:00")
    found = ranked(log)
    assert (
        next(iter(found)) != "10"
        and found["10"].why_not == "It is the best one, kept back for the eliminations."
    )
    assert next(iter(ranked(good_log()))) == "1"
    log.run("F1", "12:30")
    assert next(iter(ranked(log))) == "10"


def test_names_of_eliminations():
    log = Log()
    for name in ("12", "P3", "F1", "Final 2", "semi1", "SF10", "Fun 3"):
        log.run(name, "13:00")
    runs = {run.match: run for run in log.state().runs.values()}
    beginnings = log.definitions.settings["eliminations"]
    assert {name for name, run in runs.items() if is_elimination(run, beginnings)} == {
        "F1",
        "Final 2",
        "semi1",
        "SF10",
    }


def test_not_offered_ones_say_why_and_retired_ones_come_last():
    log = good_log()
    log.read("battery-load", "battery.1", 25.0, "09:00")
    go(log, "2", "retired", "09:00")
    found = ranked(log)
    assert list(found) == ["10", "1", "2"]
    assert "stop" in found["1"].why_not and found["2"].why_not == "It is retired."
    assert [item.take for item in found.values()] == [True, False, False]


def test_a_reading_on_a_retired_battery_and_two_devices_at_once_are_conflicts():
    log = good_log()
    go(log, "2", "retired", "09:00")
    log.read("battery-rest", "battery.2", 12.9, "09:30")
    assert "measured after it was retired" in one(log, "2").why
    go(log, "1", "channel", "10:00", "3", device="a")
    go(log, "1", "robot", "10:01", device="b")
    assert "within two minutes" in one(log, "1").why and not one(log, "1").offered
    go(log, "1", "rest", "10:20")
    assert one(log, "1").offered


@pytest.mark.parametrize("ohms, word", [(14.0, "match"), (22.0, "practice only"), (27.0, "retire")])
def test_health_by_the_teams_limits(ohms: float, word: str):
    log = good_log()
    log.read("battery-load", "battery.1", ohms, "09:00")
    found = one(log, "1").health
    assert found and found.word == word and "your team's" in found.evidence


@pytest.mark.parametrize(
    "capacity, word", [(12.0, "match"), (11.0, "practice only"), (8.0, "retire")]
)
def test_health_by_the_capacity_test(capacity: float, word: str):
    """At least 11.5 A*h for matches (makers' documentation); under half of the label it is worn out
    (common practice)."""
    log = good_log()
    log.add("battery_test", {"battery": "1", "result": {"capacity_25": capacity}}, "09:00")
    go(log, "1", "channel", "09:10", "2")
    go(log, "1", "rest", "11:30")
    battery = one(log, "1")
    assert battery.health and battery.health.word == word and battery.offered == (word == "match")
    assert battery.why == (
        "" if word == "match" else f"{word.capitalize()}: {battery.health.evidence}"
    )
    assert ("1" in {item.battery.name for item in planned(log) if item.battery}) == (
        word == "match"
    )


def test_the_plan_uses_each_battery_and_charges_between():
    log = good_log()
    for number, at in enumerate(("13:20", "13:40", "14:00", "16:00"), 5):
        log.run(str(number), at)
    found = planned(log)
    assert [item.battery.name if item.battery else None for item in found] == [
        "1",
        "2",
        "10",
        "1",
        "2",
    ]
    log.run("9", "14:05")
    found = planned(log)
    names = {item.run.match: item.battery.name if item.battery else None for item in found}
    assert names["9"] == "2"


def test_the_plan_waits_until_what_lacks_is_charged_and_has_rested():
    """1.84 A·h at 6 A take 18.4 min, and the rest after the charger 15: free at 12:33:24."""
    log = good_log()
    played(log, "1")
    for name in ("2", "10"):
        go(log, name, "retired", "11:30")
    log.run("5", "12:33")
    log.run("6", "12:34")
    found = {item.run.match: item.battery and item.battery.name for item in planned(log)}
    assert (found["5"], found["6"]) == (None, "1")


def test_a_rise_of_battery_and_wiring_is_found_beyond_its_spread():
    log = good_log()
    for ohms in (0.0170, 0.0172, 0.0168, 0.0171, 0.0205, 0.0210):
        robot_log(log, "1", resistance=ohms)
    facts = log.state().robot_logs["1"]
    rose = resistance_rose(facts, {"1": 0.012})
    assert rose is not None and rose.since.body.resistance == 0.0205
    assert (rose.before, rose.after) == pytest.approx((0.01705, 0.02075))
    assert resistance_rose(facts[:4], {}) is None


def test_a_poorer_battery_is_no_loose_lug():
    log = good_log()
    for battery, ohms in (("1", 0.0170), ("1", 0.0172), ("1", 0.0168), ("2", 0.0220)):
        robot_log(log, battery, resistance=ohms)
    facts = [fact for name in ("1", "2") for fact in log.state().robot_logs[name]]
    assert resistance_rose(facts, {"1": 0.012, "2": 0.017}) is None
    assert resistance_rose(facts, {"1": 0.012, "2": 0.012}) is not None


def test_two_pairs_of_loads_are_compared_by_their_limits():
    """14 mΩ where no match is played above 18 stand as near to the limit as 15.6 where it is 20
    (the ratio of the limits, common practice); the reading itself stays as it was measured."""
    log = good_log()
    log.read("battery-load", "battery.1", 14.0, "09:00")
    log.read("battery-load", "battery.2", 14.8, "09:00")
    other = SimpleNamespace(limit={"stop_high": 0.018})
    ratio = to_usual_pair(look(log), other)
    assert ratio == pytest.approx(20 / 18)
    seen = view_of(log.definitions, log.state(), moment_of("12:00"))
    alike = [item for item in seen.fleet if item.name in ("1", "2")]
    assert [item.battery.name for item in candidates(seen.moment, alike)] == ["1", "2"]
    mixed = [replace(item, to_usual=ratio if item.name == "1" else 1.0) for item in alike]
    found = candidates(seen.moment, mixed)
    assert [item.battery.name for item in found] == ["2", "1"]
    assert "14.8 mΩ to its 15.6 mΩ" in found[1].why_not and "usual pair" in found[1].why_not
    assert mixed[0].ohms == pytest.approx(0.014)
    assert measured_ohms(mixed)["1"] == pytest.approx(0.01556, rel=1e-3)


def test_the_list_ends_with_how_good_forecasts_were():
    log = good_log()
    robot_log(log, "1", resistance=0.017)
    lines = row_lines(as_rows(list(ranked(log).values())))
    assert lines[-1] == "No forecast of this robot could be checked yet."
    assert len(row_lines(as_rows(list(ranked(good_log()).values())))) == len(lines) - 1
