"""The second name: who gives it, for what, and that a signature without it does not clear."""

import pytest

from pitcrew.domain.climb.clearance import arrived_since, second_names_wanted
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.schedule import next_run
from pitcrew.domain.now.view import PitView
from tests.domain.climber import hold
from tests.domain.folded import Log, moment_of
from tests.domain.test_clearance import DEFINITIONS, checked, sign


def moment(log: Log, now: str = "12:00") -> Moment:
    state = log.state()
    return Moment(log.definitions, state, moment_of(now), next_run(state, moment_of(now)))


def state_of(log: Log, now: str = "12:00") -> str:
    found = moment(log, now)
    return PitView(Moment(found.definitions, found.state, found.now, found.run)).clearance.state


def approve(log: Log, of: str, person: str, decision: str = "approved", at: str = "11:50") -> None:
    log.add("approval", {"of": of, "decision": decision}, at, person=person)


def failed() -> Log:
    """The robot fell off its climb in the last match, and everything was checked again since."""
    log = Log(DEFINITIONS)
    log.run("3", "11:00")
    log.run("4", "13:00")
    log.add("debrief", {"answers": {"climb_failed": True}}, "11:10", match="fjord/3/1")
    log.look("bar", "climb.bar", at="11:30")
    log.look("pawl", "climb.pawl", at="11:30")
    hold(log)
    return log


def test_after_a_failure_the_captain_alone_does_not_clear():
    log = failed()
    signed = sign(log)
    assert state_of(log) == "none" and [item.of for item in second_names_wanted(moment(log))] == [
        signed.id
    ]
    approve(log, signed.id, "Cap")
    assert state_of(log) == "none"
    approve(log, signed.id, "Mentor", "refused")
    assert state_of(log) == "none"
    approve(log, signed.id, "Mentor")
    assert state_of(log) == "cleared" and second_names_wanted(moment(log)) == []


def test_a_second_name_taken_back_counts_no_more():
    log = failed()
    signed = sign(log)
    approve(log, signed.id, "Mentor")
    approve(log, signed.id, "Mentor", "refused", "11:55")
    assert state_of(log) == "none"


def test_a_failure_once_answered_is_answered_for_the_next_signature_but_not_a_new_one():
    log = failed()
    approve(log, sign(log).id, "Mentor")
    sign(log, "11:55")
    assert state_of(log) == "cleared"
    log.add("debrief", {"answers": {"climb_failed": "yes"}}, "11:56")
    sign(log, "11:57")
    assert state_of(log) == "void", "nothing was checked since"
    for look in ("bar", "pawl"):
        log.look(look, f"climb.{look}", at="11:57")
    hold(log, "11:57")
    sign(log, "11:58")
    assert state_of(log) == "none"


def test_an_unnamed_signature_answers_nothing():
    log = failed()
    sign(log)
    sign(log, "11:55")
    assert state_of(log) == "none"


def test_a_stop_on_a_climb_critical_part_is_a_climb_failure_even_when_it_was_repaired():
    log = Log(DEFINITIONS)
    log.run("4", "13:00")
    fault = log.fault("climb.pawl", "stop", "11:00")
    log.move(fault, "repaired", "11:10")
    log.look("pawl", "climb.pawl", at="11:30")
    log.look("bar", "climb.bar", at="11:30")
    hold(log)
    log.move(fault, "proven", "11:31")
    signed = sign(log)
    assert state_of(log) == "none"
    approve(log, signed.id, "Lead")
    assert state_of(log) == "cleared"


@pytest.mark.parametrize("part", ["lift.bracket", "drive.frame"])
def test_a_stop_elsewhere_is_none(part):
    log = checked()
    log.fault(part, "stop", "11:35")
    sign(log)
    assert state_of(log) == "cleared"


@pytest.mark.parametrize("grade", ["stop", "degraded"])
def test_deferring_a_climb_critical_fault_wants_another_person(grade):
    log = checked()
    move = log.move(
        log.fault("climb.bar", grade, "11:10"),
        "deferred",
        "11:15",
        until="fjord/6/1",
        person="Cleo",
    )
    assert [item.decided_by for item in second_names_wanted(moment(log))] == ["Cleo"]
    approve(log, move.id, "Cleo", at="11:20")
    assert second_names_wanted(moment(log)) != []
    approve(log, move.id, "Bo", at="11:21")
    assert second_names_wanted(moment(log)) == []


def test_what_arrived_since_a_screen_was_shown():
    log = checked()
    seen = len(log.entries)
    log.add("note", {"text": "loose", "part": "lift.bracket"}, "11:50")
    assert arrived_since(moment(log), seen) == []
    late = log.look("pawl", "climb.pawl", at="11:20")
    load = log.add(
        "definitions",
        {"digests": {}, "changes": [{"id": "part:climb.pawl", "before": {}, "after": None}]},
    )
    approve(log, load.id, "Bo")
    assert [entry.id for entry in arrived_since(moment(log), seen)] == [
        late.id,
        load.id,
        log.entries[-1].id,
    ]


def test_approving_changed_definitions_after_the_signature_voids_it():
    log = checked()
    load = log.add(
        "definitions",
        {"digests": {}, "changes": [{"id": "part:climb.pawl", "before": {}, "after": None}]},
        "11:40",
    )
    sign(log)
    assert state_of(log) == "cleared"
    approve(log, load.id, "Bo")
    assert state_of(log) == "void"


def reset(log: Log, person: str, at: str = "11:55") -> None:
    log.add("access", {"what": "pin_reset", "person": person, "by": "Ada"}, at, person="laptop")


def test_a_pin_reset_takes_back_what_its_owner_approved_until_it_is_given_again():
    log = checked()
    fault = log.fault("climb.bar", "degraded", "11:10")
    move = log.move(fault, "deferred", "11:15", until="fjord/6/1", person="Cleo")
    approve(log, move.id, "Bo", at="11:21")
    reset(log, "Zoe")
    assert second_names_wanted(moment(log)) == [], "somebody else's PIN"
    reset(log, "Bo")
    assert [item.of for item in second_names_wanted(moment(log))] == [move.id]
    assert any("deferred by Cleo alone" in item.text for item in missing_for_climb(moment(log)))
    approve(log, move.id, "Bo", at="11:58")
    assert second_names_wanted(moment(log)) == []


def test_a_signature_that_rests_on_a_name_with_a_reset_pin_ends():
    log = failed()
    approve(log, sign(log).id, "Mentor")
    assert state_of(log) == "cleared"
    reset(log, "Mentor")
    assert state_of(log) == "void"
