"""Who may write what: every role against every kind, and what a correction cannot be used for."""

import pytest

from pitcrew.base.kinds import BODIES, SIGNED_KINDS
from pitcrew.domain.logbook.people import MAY_WRITE, ROLES, may_write, why_refused
from tests.domain.folded import Log

ONLY = {
    "clearance": {"captain"},
    "match_run": {"captain", "mentor", "lead", "laptop"},
    "definitions": {"laptop"},
    "access": {"laptop"},
    "loss": {"laptop"},
}
"""The kinds that not everyone may write; all others are the work of every role."""


@pytest.mark.parametrize("kind", BODIES)
@pytest.mark.parametrize("role", [*ROLES, "laptop", "", "guest", "Captain"])
def test_the_table_of_roles_and_kinds(role, kind):
    everybody = set(ROLES) | ({"laptop"} if kind == "handoff" else set())
    assert may_write(role, kind) is (role in ONLY.get(kind, everybody))


def test_no_role_writes_an_unknown_kind_and_only_known_roles_are_in_the_table():
    assert set(MAY_WRITE) == {*ROLES, "laptop"}
    assert not any(may_write(role, "hologram") for role in MAY_WRITE)
    assert all(kinds <= set(BODIES) for kinds in MAY_WRITE.values())


@pytest.mark.parametrize(
    "role, to, refused",
    [
        ("crew", "repaired", False),
        ("crew", "open", False),
        ("crew", "proven", False),
        ("crew", "no_fault_found", False),
        ("crew", "deferred", True),
        ("captain", "deferred", False),
        ("mentor", "deferred", False),
        ("lead", "deferred", False),
    ],
)
def test_the_crew_repairs_and_others_decide_to_play_with_a_fault(role, to, refused):
    log = Log()
    move = log.move(log.fault("lift.bracket"), to)
    assert bool(why_refused(role, move)) is refused


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("decision", ["approved", "refused", "confirmed"])
def test_the_crew_confirms_what_it_saw_and_approves_nothing(role, decision):
    log = Log()
    given = log.add(
        "approval", {"of": log.look("bracket", "lift.bracket").id, "decision": decision}
    )
    assert bool(why_refused(role, given)) is (role == "crew" and decision != "confirmed")


def test_a_refusal_says_whom_to_ask():
    log = Log()
    signed = log.add("clearance", {"decision": "cleared", "seen_seq": 0})
    assert why_refused("crew", signed) == "A crew may not write a clearance. Ask the captain."
    assert why_refused("lead", log.add("hologram", {})).endswith("Ask the pit lead.")


@pytest.mark.parametrize(
    "role, person, refused",
    [
        ("crew", "Ada", False),
        ("crew", "Bo", True),
        ("captain", "Bo", True),
        ("lead", "Bo", False),
    ],
)
def test_an_author_corrects_the_own_entry_and_the_lead_any(role, person, refused):
    log = Log()
    note = log.add("note", {"text": "x"})
    assert bool(why_refused(role, log.correct(note, {"text": "y"}, person=person), note)) is refused


@pytest.mark.parametrize("kind", sorted(SIGNED_KINDS | {"match_run"}))
def test_a_correction_can_do_no_more_than_a_fresh_entry(kind):
    log = Log()
    original = log.add(kind, {})
    assert why_refused("crew", log.correct(original, {}), original)


def test_a_correction_cannot_turn_a_move_into_a_deferral():
    log = Log()
    move = log.move(log.fault("lift.bracket"), "repaired")
    change = log.correct(move, {**move.body, "to": "deferred"})
    assert why_refused("crew", change, move) and not why_refused("mentor", change, move)
    assert not why_refused(
        "crew", change
    )  # what it corrects has not arrived: the fold looks at it again
