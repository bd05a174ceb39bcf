"""What pages and sheets ask: what was done, what is near its limit, how each zone stands."""

import pytest

from pitcrew.domain.logbook.moment import Look
from pitcrew.domain.now.history import (
    ZoneState,
    done_since,
    last_handoff_seq,
    latest_readings,
    near_limits,
    open_temporaries,
    readings_since,
)
from pitcrew.domain.now.view import view_of
from tests.domain.folded import Log, define, look, moment_of

CHAIN = "lift.chain.left"


def zones(log: Log, now: str = "12:00") -> dict[str, ZoneState]:
    state = log.state()
    return view_of(log.definitions, state, moment_of(now)).zones


def test_what_was_done_since_the_last_handoff_is_told_as_corrected():
    log = Log()
    log.fault("lift.bracket")
    log.add("handoff", {"audience": "crew", "head": "1:x"})
    log.read("chain-slack", CHAIN, 5)
    log.fault("drive.frame")  # faults are in a section of their own
    left_out = log.add("skipped", {"check": "chain-slack", "part": CHAIN, "why": "no gauge"})
    gone = log.add("note", {"text": "wrong"})
    log.correct(gone, None)
    log.run("4", "13:00")
    state = log.state()
    seq = last_handoff_seq(state)
    assert seq == 2 and [fact.id for fact in done_since(state, seq)] == [left_out.id]
    assert [fact.key for fact in readings_since(state, seq)] == [f"chain-slack@{CHAIN}"]
    assert last_handoff_seq(state, "captain") == 0


def test_the_latest_reading_of_each_check_is_of_the_robot_that_plays():
    log = Log()
    mine = log.read("chain-slack", CHAIN, 5, "10:00")
    log.read("chain-slack", CHAIN, 13, "10:30", robot="gull")
    log.read("chain-slack", CHAIN, 6, "09:00")
    assert {
        key: fact.id for key, fact in latest_readings(Look(log.definitions, log.state())).items()
    } == {f"chain-slack@{CHAIN}": mine.id}


@pytest.mark.parametrize(
    "volts, ohms, wanted",
    [
        (13.0, 12.0, []),
        (12.6, 12.0, ["battery-rest"]),
        (13.0, 16.0, ["battery-load"]),
        (12.3, 19.9, ["battery-load", "battery-rest"]),
        (12.0, 25.0, []),
    ],
)
def test_readings_near_their_limit_are_told_and_those_beyond_it_are_no_longer_near(
    volts, ohms, wanted
):
    log = Log(define(batteries=("1",)))
    log.read("battery-rest", "battery.1", volts)
    log.read("battery-load", "battery.1", ohms)
    assert (
        sorted(near.part_check.check.id for near in near_limits(Look(log.definitions, log.state())))
        == wanted
    )


def test_between_two_limits_a_fifth_of_the_band_is_near_and_the_closest_comes_first():
    band = (
        look("x", "lift.bracket", "every match").split("[[check.input]]")[0]
        + '[[check.input]]\nname = "gap"\nkind = "number"\nunit = "mm"\n[check.limit]\nstop_low ='
        ' "10 mm"\nstop_high = "20 mm"\n'
    )
    other = band.replace('"x"', '"y"')
    log = Log(define(band, other, batteries=()))
    for value, near in ((15.0, False), (12.1, False), (11.9, True), (18.1, True)):
        log.read("x", "lift.bracket", value)
        assert bool(near_limits(Look(log.definitions, log.state()))) is near
    log.read("y", "lift.bracket", 10.5)
    found = near_limits(Look(log.definitions, log.state()))
    told = [
        (item.part_check.check.id, round(item.limit, 3), round(item.share, 2)) for item in found
    ]
    assert told == [("y", 0.01, 0.05), ("x", 0.02, 0.19)]


def test_open_temporary_states_are_those_of_the_robot_that_plays_oldest_first():
    log = Log()
    later = log.add("temporary", {"part": "drive.frame", "what": "tape"}, "10:00")
    first = log.add("temporary", {"part": "drive.frame", "what": "fuse 8"}, "09:00")
    log.add("temporary", {"part": "drive.frame", "what": "tape"}, "10:00", robot="gull")
    log.add(
        "temporary_undone",
        {"temporary": log.add("temporary", {"part": "drive.frame", "what": "pin"}).id},
    )
    assert [item.id for item in open_temporaries(Look(log.definitions, log.state()))] == [
        first.id,
        later.id,
    ]


def test_zones_tell_their_worst_word_and_what_is_due_and_done():
    log = Log(
        define(
            look("eye", "lift.bracket", "every match"),
            look("frame", "drive.frame", "on arrival"),
            batteries=(),
        )
    )
    assert zones(log) == {"mast": ZoneState("due", 2, 0, 2), "base": ZoneState("due", 1, 0, 1)}
    log.look("eye", "lift.bracket", "whole", "11:30")
    log.look("frame", "drive.frame", "scratched", "11:30")
    assert zones(log) == {"mast": ZoneState("due", 1, 1, 2), "base": ZoneState("watch", 0, 1, 1)}
    log.read("chain-slack", CHAIN, 13, "11:40")
    assert zones(log)["mast"] == ZoneState("stop", 0, 2, 2)
    log.read("chain-slack", CHAIN, 5, "11:50")
    assert zones(log)["mast"].word == "ok"


@pytest.mark.parametrize(
    "grade, moves, word",
    [
        ("stop", [], "stop"),
        ("degraded", [], "watch"),
        ("stop", ["deferred"], "watch"),
        ("stop", ["repaired"], "watch"),
        ("stop", ["no_fault_found"], "ok"),
    ],
)
def test_faults_colour_their_zone(grade, moves, word):
    log = Log(define(look("eye", "lift.bracket", "on arrival"), batteries=()))
    log.run("4", "13:00")
    log.look("eye", "lift.bracket", at="11:00")
    log.read("chain-slack", CHAIN, 5, "11:00")
    fault = log.fault("lift.bracket", grade, "11:10")
    for move in moves:
        log.move(fault, move, "11:20", until="fjord/4/1")
    assert zones(log)["mast"].word == word


def test_spare_batteries_do_not_colour_the_robot():
    log = Log(define(look("frame", "drive.frame", "on arrival"), batteries=("1", "2")))
    log.look("frame", "drive.frame")
    log.all_batteries_good("10:00")
    log.read("battery-load", "battery.2", 25.0, "11:00")
    assert zones(log)["base"].word == "ok"
