"""A signature is judged by the rules of its own time when the log is verified, and by today's
before anyone climbs."""

import pytest

from pitcrew.domain.climb.clearance import lacked_when_signed, past_clearances
from pitcrew.domain.climb.critical import PROGRAM, changes_since, critical_facts
from pitcrew.domain.climb.proposals import definitions_wanted
from pitcrew.domain.climb.rules import FIRST_RULES, RULES, rules_of
from pitcrew.domain.climb.waiting import fold_definitions, pending_for_climb
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import State
from tests.domain.climber import CLIMBS, climber
from tests.domain.folded import LOOKS, Log, look, moment_of
from tests.domain.test_clearance import DEFINITIONS, asked, checked, sign
from tests.domain.test_recheck import first_load, lacked, with_load

HEAVIER = climber(sheet=CLIMBS.replace('chassis = "52 kg"', 'chassis = "72 kg"'))


def load(
    log: Log,
    definitions=DEFINITIONS,
    rules: int = FIRST_RULES,
    before=DEFINITIONS,
    at: str = "11:35",
):
    """A later load of files, by a program of those rules, as the laptop notes it."""
    facts, known = critical_facts(definitions), critical_facts(before)
    if rules == FIRST_RULES:
        facts.pop(PROGRAM)
    if before is DEFINITIONS:
        known.pop(PROGRAM)
    return log.add(
        "definitions", {"digests": {}, "changes": changes_since(known, facts), "rules": rules}, at
    )


def old_log() -> Log:
    """A log of the first release: its load and its signatures state no rules, its facts hold none
    of the program's."""
    log = with_load(checked())
    first = log.entries[0]
    first.body["changes"] = [change for change in first.body["changes"] if change["id"] != PROGRAM]
    return log


def signed_over_a_pending_change(log: Log, rules: int = FIRST_RULES):
    load(log, HEAVIER, rules)
    return sign(
        log, "11:40", seen=log.entries[-1].seq, **({"rules": rules} if rules > FIRST_RULES else {})
    )


def test_the_first_release_let_a_captain_sign_over_a_change_that_waited():
    log = old_log()
    signed = signed_over_a_pending_change(log)
    assert lacked(log, signed) == [], "it was honest by the rules of its time"
    past = past_clearances(Moment(log.definitions, log.state(), moment_of("12:00"), None))
    assert past[0].state == "void" and "A change waits for two names" in past[0].why


def test_a_signature_cannot_choose_older_rules_than_its_log():
    log = with_load(checked())
    log.entries[0].body["rules"] = RULES
    signed = signed_over_a_pending_change(log)
    assert rules_of(log.state(), log.state().facts[signed.id]) == RULES
    assert "A change waits for two names" in lacked(log, signed)[0]


def test_a_log_of_a_later_program_is_judged_by_the_latest_rules_that_are_known():
    log = with_load(checked())
    log.entries[0].body["rules"] = RULES + 5
    signed = sign(log, seen=log.entries[-1].seq)
    state = log.state()
    assert (
        rules_of(state, state.facts[signed.id]) == RULES
        and lacked_when_signed(log.definitions, state, state.facts[signed.id]) == []
    )


def test_what_another_log_states_is_not_this_ones():
    log = old_log()
    log.add(
        "definitions",
        {"digests": {}, "changes": [], "rules": RULES},
        origin={"log": "other", "seq": 4, "seal": "x"},
    )
    signed = signed_over_a_pending_change(log)
    assert lacked(log, signed) == []


@pytest.mark.parametrize("act", ["never seen", "cracked", "fault", "temporary"])
def test_what_the_first_rules_held_against_a_signature_still_is(act):
    log = with_load(Log() if act == "never seen" else checked())
    log.entries[0].body["changes"] = [
        change for change in log.entries[0].body["changes"] if change["id"] != PROGRAM
    ]
    if act == "cracked":
        log.look("pawl", "climb.pawl", "cracked", "11:35")
    elif act == "fault":
        log.fault("climb.bar", "degraded", "11:35")
    elif act == "temporary":
        log.add("temporary", {"part": "climb.bar", "what": "pin replaced by a bolt"}, "11:35")
    assert lacked(log, sign(log, seen=log.entries[-1].seq)) != []


def test_a_change_that_waits_blocks_signing_and_is_named_with_before_and_after():
    log = with_load(checked())
    log.entries[0].body["rules"] = RULES
    load(log, HEAVIER, RULES, climber())
    missing = [item.text for item in asked(log).missing]
    assert len(missing) == 1 and "chassis 52 kg → 72 kg" in missing[0]
    sign(log, seen=log.entries[-1].seq)
    assert asked(log).state == "void" and asked(log).why.startswith(
        "Signed while something was missing. A change waits"
    )


@pytest.mark.parametrize(
    "name, robot, blocks",
    [
        ("part:tern/climb.bar", "tern", True),
        ("part:gull/climb.bar", "tern", False),
        ("settings", "tern", True),
        (PROGRAM, "tern", True),
        ("check:tern/bar@climb.bar", "tern", True),
        ("check:tern/label@lift.bracket", "tern", False),
    ],
)
def test_only_what_the_climb_of_this_robot_hangs_on_blocks_it(name, robot, blocks):
    log = with_load(Log())
    known = critical_facts(DEFINITIONS).get(name, {"due": [["every match", 1]], "kind": "plate"})
    for after in (known, {**known, "kind": "other"}):
        log.add(
            "definitions",
            {
                "digests": {},
                "changes": [{"id": name, "before": None, "after": after}],
                "rules": RULES,
            },
        )
    assert [item.id for item in pending_for_climb(log.state(), robot)] == ([name] if blocks else [])


def updated(definitions=DEFINITIONS) -> Log:
    """An old log that a newer program has opened: the files are the same, the rules are not."""
    log = old_log()
    sign(log, seen=log.entries[-1].seq)
    assert asked(log).state == "cleared"
    load(log, definitions, RULES)
    return log


def wanted(log: Log):
    return definitions_wanted(Moment(log.definitions, log.state(), moment_of("12:00"), None))


def test_a_program_update_is_one_approval_named_so_and_voids_the_signature():
    log = updated()
    found = asked(log)
    assert found.state == "void" and "definitions changed" in found.why
    (update,) = wanted(log)
    assert (
        update.text.startswith("A program update changes what the climb hangs on")
        and "rules 1 → 2" in update.text
    )
    for person in ("Ada", "Bo"):
        assert wanted(log) != []
        log.add("approval", {"of": update.of, "decision": "approved"}, "11:50", person=person)
    assert wanted(log) == []
    assert asked(log).missing == [] and asked(log).state == "void", (
        "it is signed again, by today's rules"
    )


def test_a_first_load_waits_for_nobody():
    state = State("UTC")
    state.advance([first_load()])
    held, waiting = fold_definitions(state)
    assert waiting == {} and held[PROGRAM] == {"rules": RULES}


def test_what_the_laptop_has_not_loaded_is_a_mistake_of_the_files():
    from pitcrew.domain.climb.approved import in_force

    log = with_load(checked())
    assert in_force(DEFINITIONS, log.state()).mistakes == []
    found = in_force(climber(*LOOKS, look("new", "climb.pawl", "before a climb")), log.state())
    assert [(item.place, item.climb) for item in found.mistakes] == [("new@climb.pawl", True)]
