"""The turnaround: when to leave, what fits, and the order of a walk."""

import pytest

from pitcrew.domain.now.turnaround import Turnaround, minutes_needed, plan
from pitcrew.domain.now.view import view_of
from tests.domain.folded import Log, define, look, moment_of


def many(count: int, minutes: float = 2, **given) -> tuple[str, ...]:
    return tuple(
        look(f"eye{number}", "lift.bracket", "every match", minutes=minutes, **given)
        for number in range(count)
    )


def log_with(*looks: str, settings: dict | None = None) -> Log:
    log = Log(define(*looks, settings=settings, batteries=()))
    log.read("chain-slack", "lift.chain.left", 5, "11:30")
    return log


def seen(log: Log, now: str = "12:00") -> Turnaround:
    return view_of(log.definitions, log.state(), moment_of(now)).turnaround


def ids(items) -> list[str]:
    return [item.key.split("@")[0] for item in items]


def test_leaving_is_the_expected_start_less_walk_and_queue():
    """Defaults: 18 min from leaving to the start (walk and queue 15 to 20, common practice)."""
    log = log_with(*many(2))
    log.run("4", "13:00")
    found = seen(log)
    assert (found.expected, found.leave_at, found.seconds_left) == (
        moment_of("13:00"),
        moment_of("12:42"),
        42 * 60,
    )
    assert found.back_at is None and found.run.match == "4"


def test_a_live_delay_moves_the_time_to_leave():
    log = log_with(*many(2))
    log.run("3", "11:00", "11:37", ours="")
    log.run("4", "13:00")
    assert seen(log).leave_at == moment_of("13:19")


def test_the_robot_is_back_when_logged_or_else_after_match_and_way():
    """Defaults: a match of 3 min and 4 min of walking back (common practice)."""
    log = log_with(*many(2))
    run = log.run("3", "11:00", "11:05")
    log.run("4", "13:00")
    assert seen(log, "11:06").back_at == moment_of("11:12")
    log.add("returned", {}, "11:20", match=run)
    assert seen(log).back_at == moment_of("11:20")


def test_time_for_checks_begins_when_the_robot_is_back():
    log = log_with(*many(4, minutes=5), settings={"crew": 1})
    log.run("3", "11:35", "11:40")
    log.run("4", "12:15")
    found = seen(log, "11:41")
    assert found.back_at == moment_of("11:47") and found.leave_at == moment_of("12:02")
    assert len(found.fits) == 3 and len(found.will_not_fit) == 2


def test_what_does_not_fit_is_listed_by_name_and_the_most_dangerous_comes_first():
    """Short turn-round: 14 checks of 25 min altogether and less time than that."""
    log = log_with(
        *many(13), look("climb", "climb.pawl", "every match", minutes=1), settings={"crew": 1}
    )
    log.run("4", "12:30")
    found = seen(log)
    assert len(found.order) == 14 and ids(found.order)[0] == "climb"
    assert ids(found.fits) + ids(found.will_not_fit) == ids(found.order)
    assert minutes_needed(found.fits, 1) <= found.seconds_left / 60 < minutes_needed(found.order, 1)
    assert len(found.fits) == 6


def test_late_nothing_fits():
    log = log_with(*many(2))
    log.run("4", "12:10")
    found = seen(log)
    assert found.seconds_left < 0 and found.fits == [] and len(found.will_not_fit) == 2


def test_without_a_schedule_there_is_no_clock_and_all_is_listed():
    found = seen(log_with(*many(2)))
    assert (found.run, found.leave_at, found.seconds_left, len(found.fits), found.will_not_fit) == (
        None,
        None,
        None,
        2,
        [],
    )


@pytest.mark.parametrize("crew, minutes", [(1, 12), (2, 6), (3, 4), (6, 2), (9, 2)])
def test_people_work_at_once(crew, minutes):
    log = log_with(*many(6))
    assert minutes_needed(seen(log).order, crew) == minutes


def test_a_check_for_two_waits_for_two():
    two = look("two", "lift.bracket", "every match", minutes=3).replace(
        "power =", "hands = 2\npower ="
    )
    log = log_with(*many(1), two)
    order = seen(log).order
    assert minutes_needed(order, 2) == 5 and minutes_needed(order, 3) == 3
    fits, will_not_fit = plan(order, 60, 1)
    assert ids(fits) == ["eye0"] and ids(will_not_fit) == ["two"]


def test_power_states_follow_each_other_and_enabled_checks_are_done_alone():
    log = log_with(
        *many(2),
        look("lit", "lift.bracket", "every match", minutes=2, power="on"),
        *(
            look(f"run{number}", "lift.bracket", "every match", minutes=2, power="enabled")
            for number in (1, 2)
        ),
    )
    assert minutes_needed(seen(log).order, 5) == 2 + 2 + 4


def test_a_small_check_may_fill_the_time_that_a_long_one_leaves():
    log = log_with(look("long", "lift.bracket", "every match", minutes=30, must=True), *many(1))
    log.run("4", "12:28")
    found = seen(log)
    assert ids(found.fits) == ["eye0"] and ids(found.will_not_fit) == ["long"]
