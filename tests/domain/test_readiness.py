"""Readiness: each clause of the rule alone turns a ready robot into a hold, and nothing else
does."""

import pytest

from pitcrew.domain.now.readiness import Readiness
from pitcrew.domain.now.view import view_of
from tests.domain.climber import CLIMBS, climber, hold
from tests.domain.folded import LOOKS, SHEET, Log, define, look, moment_of

CHAIN = "lift.chain.left"
NOW = "12:00"


def asked(log: Log, now: str = NOW, definitions=None) -> Readiness:
    state = log.state()
    return view_of(definitions or log.definitions, state, moment_of(now)).readiness


def told(found: Readiness) -> list[tuple[str, str]]:
    return [(reason.kind, reason.ref) for reason in found.reasons]


def ready_log(**settings) -> Log:
    """A robot that is ready: all checked, a battery in it, the climb cleared for match 4."""
    log = Log(climber(settings=settings))
    log.run("3", "11:00", "11:00")
    log.run("4", "13:00")
    log.run("5", "15:00")
    log.all_batteries_good("11:20")
    log.add("battery_move", {"battery": "2", "to": "robot"}, "11:25")
    log.read("chain-slack", CHAIN, 5, "11:30")
    log.look("bar", "climb.bar", at="11:30")
    log.look("pawl", "climb.pawl", at="11:30")
    log.look("frame", "drive.frame", at="11:30")
    log.look("bracket", "lift.bracket", at="11:30")
    hold(log)
    sign(log)
    return log


def sign(log: Log, at: str = "11:45") -> None:
    log.add(
        "clearance",
        {"decision": "cleared", "seen_seq": len(log.entries)},
        at,
        person="Cap",
        match="fjord/4/1",
    )


def test_a_robot_with_nothing_against_it_is_ready():
    assert asked(ready_log()) == Readiness("ready")


def test_an_empty_pit_folder_holds():
    log = Log()
    assert asked(log).word == "hold"
    assert {kind for kind, _ in told(asked(log))} == {"mistake", "climb", "zone", "battery"}


def test_an_open_stop_holds_and_one_that_is_repaired_does_not():
    log = ready_log()
    fault = log.fault("lift.bracket", at="11:50")
    assert told(asked(log)) == [("fault", fault.id)]
    log.move(fault, "repaired", "11:52")
    assert asked(log).word == "ready"


@pytest.mark.parametrize("grade", ["degraded", "watch"])
def test_an_open_fault_of_a_lower_grade_does_not_hold(grade):
    log = ready_log()
    log.fault("lift.bracket", grade, "11:50")
    assert asked(log).word == "ready"


@pytest.mark.parametrize(
    "until, word, kind",
    [("fjord/4/1", "ready with deferrals", "deferral"), ("fjord/3/1", "hold", "fault")],
)
def test_a_deferral_counts_until_its_match_and_is_then_an_open_fault(until, word, kind):
    log = ready_log()
    fault = log.fault("lift.bracket", at="11:50")
    log.move(fault, "deferred", until=until, person="Cleo", restriction="half speed")
    found = asked(log)
    assert found.word == word and told(found) == [(kind, fault.id)]


def test_a_stop_reading_holds_until_a_fault_answers_for_it():
    log = ready_log()
    reading = log.look("bracket", "lift.bracket", "cracked", "11:50")
    assert told(asked(log)) == [("check", "bracket@lift.bracket")]
    fault = log.fault("lift.bracket", at="11:51", reading=reading.id)
    assert told(asked(log)) == [("fault", fault.id)]
    log.move(fault, "deferred", until="fjord/4/1")
    assert asked(log).word == "ready with deferrals"


def test_an_old_lesser_fault_on_the_part_does_not_hide_a_new_stop_reading():
    log = ready_log()
    log.fault("lift.bracket", "watch", "11:40")
    log.look("bracket", "lift.bracket", "cracked", "11:50")
    assert told(asked(log)) == [("check", "bracket@lift.bracket")]


@pytest.mark.parametrize("grade", ["degraded", "watch"])
@pytest.mark.parametrize("linked", [True, False])
def test_noting_a_stop_reading_as_something_less_is_no_answer_to_it(grade, linked):
    log = ready_log()
    reading = log.look("bracket", "lift.bracket", "cracked", "11:50")
    fault = log.fault("lift.bracket", grade, "11:51", reading=reading.id if linked else None)
    assert told(asked(log)) == [("check", "bracket@lift.bracket")]
    log.move(fault, "deferred", until="fjord/4/1")
    assert asked(log).word == ("ready with deferrals" if linked else "hold")
    log.move(fault, "repaired", "11:55")
    assert asked(log).word == "ready"


@pytest.mark.parametrize("grade", ["degraded", "watch"])
def test_an_expired_deferral_of_a_stop_reading_noted_as_less_holds(grade):
    log = ready_log()
    reading = log.look("bracket", "lift.bracket", "cracked", "11:50")
    log.move(
        log.fault("lift.bracket", grade, "11:51", reading=reading.id), "deferred", until="fjord/3/1"
    )
    assert told(asked(log)) == [("check", "bracket@lift.bracket")]


def test_a_later_repair_of_a_fault_that_somebody_saw_answers_for_a_stop_reading():
    log = ready_log()
    fault = log.fault("lift.bracket", "watch", "11:40")
    log.look("bracket", "lift.bracket", "cracked", "11:50")
    assert asked(log).word == "hold"
    log.move(fault, "repaired", "11:55")
    assert asked(log).word == "ready"


def test_a_stop_measured_again_after_the_repair_holds_again():
    log = ready_log()
    reading = log.look("bracket", "lift.bracket", "cracked", "11:50")
    fault = log.fault("lift.bracket", at="11:51", reading=reading.id)
    log.move(fault, "repaired", "11:52")
    log.look("bracket", "lift.bracket", "cracked", "11:55")
    assert told(asked(log)) == [("check", "bracket@lift.bracket")]


@pytest.mark.parametrize("answer, word", [("cannot see", "hold"), ("scratched", "ready")])
def test_an_unjudged_must_check_holds_and_a_watch_does_not(answer, word):
    log = Log(
        define(
            look("eye", "lift.bracket", "every match", must=True), settings={"climb_planned": False}
        )
    )
    log.run("4", "13:00")
    log.all_batteries_good("11:20")
    log.read("chain-slack", CHAIN, 5, "11:30")
    assert told(asked(log)) == [("check", "eye@lift.bracket")]
    log.look("eye", "lift.bracket", answer, "11:40")
    assert asked(log).word == word


def test_a_check_that_is_no_must_does_not_hold():
    log = ready_log(climb_planned=False)
    assert "frame@drive.frame" in log.state().readings
    log.add("debrief", {"answers": {"hard_hit": True}}, "11:50")
    assert asked(log).word == "ready"


def test_many_must_checks_of_a_zone_are_one_reason():
    log = Log(define(settings={"climb_planned": False}, batteries=("1",)))
    log.all_batteries_good("11:20")
    assert told(asked(log)) == [("zone", "mast")]
    assert asked(log).reasons[0].text == "2 checks are due: Mast."


def test_what_did_not_load_holds():
    log = ready_log()
    broken = climber(*LOOKS, '\n[[check]]\nid = "lost"\n')
    found = asked(log, definitions=broken)
    assert found.word == "hold" and ("mistake", "") in told(found)
    wrong_setting = climber(settings={"battery_rest": "soon"})
    assert wrong_setting.mistakes and asked(log, definitions=wrong_setting).word == "ready"
    no_sheet = define(sheet=SHEET.replace("[robot]", "[robt]"))
    assert asked(log, definitions=no_sheet).word == "hold"


@pytest.mark.parametrize("blocks, word", [(True, "hold"), (False, "ready")])
def test_a_blocking_temporary_state_holds_until_undone(blocks, word):
    log = ready_log()
    pulled = log.add(
        "temporary", {"part": "drive.frame", "what": "fuse 8 pulled", "blocks": blocks}, "11:50"
    )
    assert asked(log).word == word and told(asked(log)) == (
        [("temporary", pulled.id)] if blocks else []
    )
    log.add("temporary_undone", {"temporary": pulled.id}, "11:55")
    assert asked(log).word == "ready"


def test_without_an_offered_battery_it_holds():
    log = ready_log()
    log.add("battery_move", {"battery": "2", "to": "bench"}, "11:50")
    assert asked(log).word == "ready"
    for name in ("1", "2", "10"):
        log.add("battery_move", {"battery": name, "to": "retired"}, "11:51")
    assert told(asked(log)) == [("battery", "")]


def test_a_bad_battery_in_the_robot_holds_though_others_are_good():
    log = ready_log()
    log.read("battery-load", "battery.2", 25, "11:50")
    found = told(asked(log))
    assert found == [("battery", "2")]


def test_a_planned_climb_must_be_cleared_unless_it_is_left_out_for_this_match():
    log = ready_log()
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:50")
    assert [kind for kind, _ in told(asked(log))] == ["climb"]
    log.add("note", {"text": "no climb this match"}, "11:55", match="fjord/4/1")
    assert asked(log).word == "ready with deferrals"
    assert [reason.text for reason in asked(log).reasons] == ["No climb this match."]


@pytest.mark.parametrize("sheet, told", [
    (CLIMBS.partition("[hold_path]")[0], "A climb is planned without a hold path."),
    (CLIMBS.replace('holds = "pin"', ""), "A climb is planned without a device that holds without power."),
    (CLIMBS.replace('holds = "pin"', 'holds = "none"'), "A climb is planned without a device that holds without power."),
    (CLIMBS, "A climb is planned without a hold test that counts: never done."),
])  # fmt: skip
def test_a_planned_climb_wants_something_to_rest_on(sheet, told):
    log = Log(climber(sheet=sheet))
    log.run("4", "13:00")
    assert told in [reason.text for reason in asked(log).reasons] and asked(log).word == "hold"
    log.add("note", {"text": "no climb this match"}, "11:55", match="fjord/4/1")
    assert told not in [reason.text for reason in asked(log).reasons]


def test_a_team_that_does_not_climb_needs_no_clearance():
    log = ready_log(climb_planned=False)
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:50")
    assert asked(log).word == "ready"


def test_reasons_come_in_the_order_of_their_danger():
    log = ready_log()
    log.add("temporary", {"part": "drive.frame", "what": "fuse 8 pulled"}, "11:50")
    log.read("chain-slack", CHAIN, 13, "11:50")
    log.fault("climb.pawl", at="11:51")
    log.read("battery-rest", "battery.2", 12, "11:52")
    assert [kind for kind, _ in told(asked(log))] == [
        "climb",
        "fault",
        "check",
        "temporary",
        "battery",
    ]


def test_after_the_next_match_the_checks_are_due_again():
    log = ready_log()
    log.add("match_run", {"actual": moment_of("13:02").isoformat()}, "13:02", match="fjord/4/1")
    found = asked(log, "13:10")
    assert found.word == "hold" and [kind for kind, _ in told(found)] == [
        "climb",
        "climb",
        "zone",
        "check",
    ]
