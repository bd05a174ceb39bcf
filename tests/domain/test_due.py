"""Due checks: each due word, the last verdict, what happened since, and which battery matters."""

import pytest

from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.view import view_of
from tests.domain.folded import Log, define, look, moment_of

CHAIN = "lift.chain.left"


def due(log: Log, now: str = "12:00") -> dict[str, DueCheck]:
    state = log.state()
    moment = moment_of(now)
    return {item.key: item for item in view_of(log.definitions, state, moment).due}


def day(log: Log) -> None:
    """Three matches played at 9, 10 and 11 o'clock and one to come at 13."""
    for name, hour in (("1", "09:00"), ("2", "10:00"), ("3", "11:00")):
        log.run(name, hour, hour)
    log.run("4", "13:00")


def one(word: str, part: str = "lift.bracket", **given) -> Log:
    """A log whose only check by eye has that due word; the day is played."""
    log = Log(define(look("eye", part, word, **given)))
    day(log)
    return log


@pytest.mark.parametrize(
    "word, seen, is_due",
    [
        ("every match", None, True),
        ("every match", "10:30", True),
        ("every match", "11:30", False),
        ("every 3 matches", None, True),
        ("every 3 matches", "08:30", True),
        ("every 3 matches", "09:30", False),
        ("every 1 matches", "10:30", True),
        ("once a day", None, True),
        ("once a day", "08:00", False),
        ("once a day", "6 20:00", True),
        ("on arrival", None, True),
        ("on arrival", "6 20:00", False),
        ("on arrival", "5 20:00", True),
        ("after a fault", None, False),
        ("after repair", None, False),
        ("after part change", None, False),
        ("after a hard hit", None, False),
    ],
)
def test_due_words_by_matches_and_days(word, seen, is_due):
    log = one(word)
    if seen:
        log.look("eye", "lift.bracket", "whole", seen)
    assert ("eye@lift.bracket" in due(log)) is is_due


@pytest.mark.parametrize(
    "word, kind",
    [
        ("after a fault", "fault"),
        ("after repair", "repair"),
        ("after part change", "part_change"),
        ("after a hard hit", "debrief"),
    ],
)
@pytest.mark.parametrize("seen, is_due", [(None, True), ("11:10", True), ("11:40", False)])
def test_due_words_by_what_happened(word, kind, seen, is_due):
    log = one(word)
    if kind == "part_change":
        log.add("part_change", {"part": "lift.bracket", "identical": True}, "11:30")
    elif kind == "debrief":
        log.add("debrief", {"answers": {"tipped": True}}, "11:30")
    else:
        fault = log.fault(
            "lift.chain.left" if kind == "fault" else "lift.bracket", "degraded", "11:30"
        )
        if kind == "repair":
            log.move(fault, "repaired", "11:30")
    if seen:
        log.look("eye", "lift.bracket", "whole", seen)
    assert ("eye@lift.bracket" in due(log)) is is_due


def test_a_fault_in_another_subsystem_and_an_answer_of_no_hit_ask_for_nothing():
    log = Log(define(look("eye", "lift.bracket", "after a fault", "after a hard hit")))
    log.fault("drive.frame")
    log.add("debrief", {"answers": {"hard_hit": False, "tipped": "no"}})
    assert "eye@lift.bracket" not in due(log)


def test_a_fault_does_not_ask_again_for_the_reading_that_found_it():
    log = Log(define(look("eye", "lift.bracket", "after a fault")))
    found = log.look("eye", "lift.bracket", "cracked", "11:00")
    log.fault("lift.bracket", at="11:05", reading=found.id)
    assert "eye@lift.bracket" not in due(log)


@pytest.mark.parametrize(
    "answer, at, why",
    [
        ("scratched", "10:30", "watch last time"),
        ("scratched", "11:30", ""),
        ("cracked", "10:30", "stop last time"),
        ("cracked", "11:30", ""),
        ("cannot see", "11:30", "the last reading could not be judged"),
        ("whole", "08:30", ""),
    ],
)
def test_the_last_verdict_makes_a_check_due_next_match(answer, at, why):
    log = one("on arrival")
    log.look("eye", "lift.bracket", answer, at)
    found = due(log).get("eye@lift.bracket")
    assert (found.why if found else "") == why


def test_a_stop_is_measured_again_after_the_repair_whatever_the_due_words():
    log = one("on arrival")
    log.look("eye", "lift.bracket", "cracked", "11:10")
    fault = log.fault("lift.bracket", at="11:15")
    assert "eye@lift.bracket" not in due(log)
    log.move(fault, "repaired", "11:30")
    assert due(log)["eye@lift.bracket"].why == "the part was repaired or changed"
    log.look("eye", "lift.bracket", "whole", "11:40")
    assert "eye@lift.bracket" not in due(log)


@pytest.mark.parametrize(
    "seen, note, is_due",
    [
        (None, None, True),
        ("10:30", None, True),
        ("11:30", None, False),
        (None, "no climb this match", False),
        (None, "No climb this match ", False),
        (None, "no climb", True),
    ],
)
def test_a_check_before_a_climb_is_due_while_a_climb_is_planned(seen, note, is_due):
    log = one("before a climb", "climb.pawl")
    if seen:
        log.look("eye", "climb.pawl", "whole", seen)
    if note:
        log.add("note", {"text": note}, match="fjord/4/1")
    assert ("eye@climb.pawl" in due(log)) is is_due


def test_a_note_for_another_match_or_taken_back_leaves_the_climb_planned():
    log = one("before a climb", "climb.pawl")
    log.add("note", {"text": "no climb this match"}, match="fjord/3/1")
    assert "eye@climb.pawl" in due(log)
    log.add("note", {"text": "no climb this match"}, "11:30", match="fjord/4/1")
    log.add("note", {"text": "climb this match"}, "11:35", match="fjord/4/1")
    assert "eye@climb.pawl" in due(log)


def test_a_climb_plan_counts_like_the_note_of_an_older_logbook_and_the_later_word_wins():
    log = one("before a climb", "climb.pawl")
    log.add("climb_plan", {"climbs": False}, "11:30", match="fjord/3/1")
    log.add("climb_plan", {"climbs": False}, "11:30", match="fjord/4/1", robot="gull")
    assert "eye@climb.pawl" in due(log)
    log.add("climb_plan", {"climbs": False}, "11:30", match="fjord/4/1")
    assert "eye@climb.pawl" not in due(log)
    log.add("note", {"text": "climb this match"}, "11:35", match="fjord/4/1")
    assert "eye@climb.pawl" in due(log)
    log.add("climb_plan", {"climbs": False}, "11:40", match="fjord/4/1")
    assert "eye@climb.pawl" not in due(log)


def test_a_team_that_never_climbs_has_no_checks_before_a_climb():
    log = Log(
        define(look("eye", "climb.pawl", "before a climb"), settings={"climb_planned": False})
    )
    assert "eye@climb.pawl" not in due(log)


def test_readings_of_another_robot_do_not_count():
    log = one("every match")
    log.look("eye", "lift.bracket", "whole", "11:30", robot="other")
    assert "eye@lift.bracket" in due(log)
    log.look("eye", "lift.bracket", "whole", "11:30", robot=None)
    assert "eye@lift.bracket" not in due(log)


def test_only_the_battery_that_plays_next_has_must_checks_and_the_others_what_is_due_for_all():
    log = Log()
    day(log)
    log.all_batteries_good("08:00")
    found = due(log)
    rests = [key for key in found if key.startswith("battery-rest")]
    assert rests == ["battery-rest@battery.1"] and found[rests[0]].must
    log.add("battery_move", {"battery": "10", "to": "robot"}, "11:30")
    assert [key for key in due(log) if key.startswith("battery-rest")] == [
        "battery-rest@battery.10"
    ]


def test_the_load_test_on_arrival_is_due_for_every_battery_but_a_must_for_one():
    found = due(Log())
    loads = {key: item.must for key, item in found.items() if key.startswith("battery-load")}
    assert loads == {
        "battery-load@battery.1": True,
        "battery-load@battery.2": False,
        "battery-load@battery.10": False,
    }
    log = Log()
    log.add("battery_move", {"battery": "10", "to": "retired"})
    assert "battery-load@battery.10" not in due(log)


def test_what_is_worst_to_leave_out_comes_first():
    looks = (
        *(look(name, "lift.bracket", "every match") for name in ("old", "never", "bad")),
        look("must", "lift.bracket", "every match", must=True),
        look("climb", "climb.pawl", "every match"),
    )
    log = Log(define(*looks, batteries=()))
    log.look("old", "lift.bracket", "whole", "08:00")
    log.look("bad", "lift.bracket", "scratched", "08:30")
    log.look("must", "lift.bracket", "whole", "08:30")
    day(log)
    log.read("chain-slack", CHAIN, 5, "11:30")
    assert [key.split("@")[0] for key in due(log)] == ["climb", "must", "never", "bad", "old"]


def test_done_checks_are_those_since_our_last_match_that_are_due_no_more():
    log = Log(
        define(
            look("eye", "lift.bracket", "every match"), look("other", "lift.bracket", "every match")
        )
    )
    day(log)
    log.look("other", "lift.bracket", "whole", "10:30")
    done = log.look("eye", "lift.bracket", "whole", "11:30")
    state = log.state()
    found = view_of(log.definitions, state, moment_of("12:00")).done
    assert [fact.id for fact in found] == [done.id]
