"""Faults and the table of their moves."""

import pytest

from pitcrew.domain.logbook.faults import ALLOWED, WORDS, is_deferred_now, is_open_now
from tests.domain.folded import Log

CHAIN = "lift.chain.left"
WAYS = {
    "open": [],
    "deferred": ["deferred"],
    "repaired": ["repaired"],
    "proven": ["repaired", "proven"],
    "no_fault_found": ["no_fault_found"],
}


def brought_to(state: str) -> tuple[Log, object]:
    """A log with one fault in that state, and a passing reading after its repair."""
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    for minute, word in enumerate(WAYS[state]):
        log.move(fault, word, f"09:1{minute}")
    log.read("chain-slack", CHAIN, 5, "09:30")
    assert log.state().faults[fault.id].state == state
    return log, fault


@pytest.mark.parametrize("before", ALLOWED)
@pytest.mark.parametrize("to", WORDS)
def test_every_move_is_held_against_the_table_and_a_wrong_one_is_kept_as_a_conflict(before, to):
    log, fault = brought_to(before)
    move = log.move(fault, to, "09:40")
    found = log.state().faults[fault.id]
    if to in ALLOWED[before]:
        assert found.state == to and not found.conflicts
    else:
        assert found.state == before
        assert [name for name, _ in found.conflicts] == [move.id] and found.moves[-1].id == move.id
        assert [item.entry_id for item in log.state().conflicts] == [move.id]


def test_the_table_is_the_trades_loop():
    """open → deferred → repaired → proven, or no fault found; each closed one can come open again
    (design of the pit's words)."""
    assert {before: sorted(after) for before, after in ALLOWED.items()} == {
        "open": ["deferred", "no_fault_found", "repaired"],
        "deferred": ["deferred", "no_fault_found", "open", "repaired"],
        "repaired": ["open", "proven"],
        "proven": ["open"],
        "no_fault_found": ["open"],
    }


@pytest.mark.parametrize(
    "travel, at, wanted",
    [
        (5, "09:30", "proven"),
        (10, "09:30", "proven"),
        (13, "09:30", "repaired"),
        (5, "09:20", "repaired"),
        (5, "09:10", "repaired"),
    ],
)
def test_only_a_passing_reading_taken_after_the_repair_proves_it(travel, at, wanted):
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    log.move(fault, "repaired", "09:20")
    reading = log.read("chain-slack", CHAIN, travel, at)
    log.move(fault, "proven", "09:40", reading=reading.id)
    assert log.state().faults[fault.id].state == wanted


def test_a_reading_that_arrives_after_the_move_still_proves_it():
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    log.move(fault, "repaired", "09:20")
    log.move(fault, "proven", "09:40")
    assert log.state().faults[fault.id].state == "repaired"
    reading = log.read("chain-slack", CHAIN, 5, "09:30")
    assert log.state().faults[fault.id].state == "proven" and not log.state().conflicts
    log.correct(reading, None)
    assert log.state().faults[fault.id].state == "repaired"


def test_a_reading_on_another_part_or_by_another_check_proves_nothing():
    log = Log()
    found = log.look("bracket", "lift.bracket", "cracked", "08:50")
    fault = log.fault("lift.bracket", at="09:00", reading=found.id)
    log.move(fault, "repaired", "09:20")
    log.read("chain-slack", CHAIN, 5, "09:30")
    log.look("rail", "lift.bracket", "whole", "09:31")
    log.move(fault, "proven", "09:40")
    assert log.state().faults[fault.id].state == "repaired"
    log.look("bracket", "lift.bracket", "whole", "09:32")
    assert log.state().faults[fault.id].state == "proven"


def test_a_fault_that_comes_open_again_needs_a_new_repair_and_a_new_proof():
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    log.move(fault, "repaired", "09:10")
    log.read("chain-slack", CHAIN, 5, "09:15")
    log.move(fault, "proven", "09:20")
    log.move(fault, "open", "10:00")
    log.move(fault, "repaired", "10:10")
    log.move(fault, "proven", "10:20")
    assert log.state().faults[fault.id].state == "repaired"
    log.read("chain-slack", CHAIN, 5, "10:15")
    assert log.state().faults[fault.id].state == "proven"


def test_a_late_reading_mends_a_proof_before_a_second_repair():
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    log.move(fault, "repaired", "09:10")
    log.move(fault, "proven", "09:20")
    log.move(fault, "open", "10:00")
    log.move(fault, "repaired", "10:10")
    assert len(log.state().faults[fault.id].conflicts) == 1
    log.read("chain-slack", CHAIN, 5, "09:15")
    assert log.state().faults[fault.id].conflicts == ()


def test_moves_are_ordered_by_arrival_not_by_their_clocks():
    log = Log()
    fault = log.fault(CHAIN, at="09:00")
    log.move(fault, "no_fault_found", "10:00")
    wrong = log.move(fault, "repaired", "09:00")
    found = log.state().faults[fault.id]
    assert found.state == "no_fault_found" and [name for name, _ in found.conflicts] == [wrong.id]


def test_a_move_that_comes_before_its_fault_counts_once_the_fault_arrives():
    log = Log()
    fault = log.fault(CHAIN)
    log.move(fault, "repaired")
    assert log.shuffled([1, 0]).faults[fault.id].state == "repaired"
    log.entries = log.entries[1:]
    assert [item.sentence for item in log.state().conflicts] == [
        "It names a fault that is not in the logbook."
    ]


def test_a_deferral_names_who_why_until_and_the_restriction_and_ends_with_its_run():
    log = Log()
    runs = [
        log.run(name, planned)
        for name, planned in (("9", "10:00"), ("10", "11:00"), ("11", "12:00"))
    ]
    fault = log.fault(CHAIN)
    log.move(
        fault, "deferred", person="Cleo", why="no spare", until=runs[1], restriction="half speed"
    )
    state = log.state()
    found = state.faults[fault.id]
    deferral = found.deferral
    assert (deferral.who, deferral.why, deferral.until, deferral.restriction) == (
        "Cleo",
        "no spare",
        runs[1],
        "half speed",
    )
    by_run = [
        (is_open_now(found, state, state.runs[run]), is_deferred_now(found, state, state.runs[run]))
        for run in runs
    ]
    assert by_run == [(False, True), (False, True), (True, False)]


@pytest.mark.parametrize(
    "until, match, alive",
    [(None, None, False), ("fjord/77/1", None, False), (None, "fjord/9/1", True)],
)
def test_a_deferral_without_a_known_run_is_no_deferral(until, match, alive):
    log = Log()
    run = log.run("9", "10:00")
    fault = log.fault(CHAIN)
    log.move(fault, "deferred", until=until, match=match)
    state = log.state()
    assert is_deferred_now(state.faults[fault.id], state, state.runs[run]) is alive


def test_a_deferral_ends_with_the_last_run_of_the_schedule_and_lives_while_there_is_no_schedule():
    log = Log()
    fault = log.fault(CHAIN)
    log.move(fault, "deferred", until="fjord/9/1")
    state = log.state()
    assert is_deferred_now(state.faults[fault.id], state, None)
    log.run("9", "10:00", "10:01")
    state = log.state()
    assert is_open_now(state.faults[fault.id], state, None)
