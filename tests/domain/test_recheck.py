"""What a signature rested on when it was given, worked out again from the logbook alone."""

from hypothesis import given, settings

from pitcrew.base.entries import Entry
from pitcrew.domain.climb.approved import definitions_at
from pitcrew.domain.climb.clearance import lacked_when_signed
from pitcrew.domain.climb.critical import changes_since, critical_facts
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.view import view_of
from tests.domain.climber import climber
from tests.domain.folded import LOOKS, SHEET, Log, define, look, numbered
from tests.domain.test_clearance import DEFINITIONS, asked, checked, ending, histories, sign


def first_load(definitions=DEFINITIONS) -> Entry:
    """What the laptop writes when it loads the files for the first time."""
    body = {"digests": {}, "changes": changes_since({}, critical_facts(definitions))}
    return Entry(
        id=numbered(99_999),
        kind="definitions",
        at="2026-03-07T06:00:00Z",
        device="laptop",
        person="laptop",
        body=body,
        seq=0,
    )


def with_load(log: Log) -> Log:
    """The same log with the first load of its definitions before all."""
    log.entries.insert(0, first_load(log.definitions))
    return log


def lacked(log: Log, signed: Entry, files=None) -> list[str]:
    """What the signature lacked, asked with other files than those of its time, if given."""
    state = State("UTC")
    state.advance(entry for entry in log.entries if entry.seq <= signed.seq)
    return [
        item.text
        for item in lacked_when_signed(files or log.definitions, state, state.facts[signed.id])
    ]


def test_the_logbook_alone_gives_back_what_was_in_force():
    state = with_load(Log(DEFINITIONS)).state()
    found = definitions_at(climber(look("other", "drive.frame", "every match")), state, 0, "tern")
    assert critical_facts(found) == critical_facts(DEFINITIONS) and found.mistakes == []


def test_todays_files_change_nothing_of_an_old_signature():
    log = with_load(checked())
    signed = sign(log, seen=len(log.entries) - 1)
    for files in (
        define(*LOOKS, look("new", "climb.pawl", "every match", must=True)),
        define(look("bar", "climb.bar", "every match")),
    ):
        assert lacked(log, signed, files) == []


def test_an_unmade_check_is_named():
    log = with_load(Log())
    signed = sign(log, seen=0)
    assert len(lacked(log, signed)) == 2 and lacked(log, signed)[0].endswith("never done.")


@settings(max_examples=200, deadline=None)
@given(histories())
def test_it_agrees_with_what_the_captains_screen_said_at_that_moment(log):
    """Whoever was shown a cleared climb right after signing lacked nothing; who lacked something
    was not."""
    log = with_load(log)
    for place, entry in enumerate(log.entries):
        if entry.kind != "clearance" or entry.body["decision"] != "cleared":
            continue
        state = State("UTC")
        state.advance(log.entries[: place + 1])
        now = state.facts[entry.id].at
        shown = view_of(DEFINITIONS, state, now).clearance
        missing = lacked(log, entry)
        if shown.state == "cleared":
            assert missing == []
        if missing:
            assert shown.state == "void"


@settings(max_examples=300, deadline=None)
@given(histories())
def test_the_first_entry_that_breaks_the_rule_is_the_one_that_is_named(log):
    with_load(log)
    signed = next(
        (
            entry
            for entry in reversed(log.entries)
            if entry.kind == "clearance" and not entry.origin
        ),
        None,
    )
    if signed is None or signed.body["decision"] == "refused":
        return
    found, first = asked(log), ending(log, signed)
    assert (found.voided_by and found.voided_by.id) == (first and first.id)
    assert first is None or found.state == "void"


def test_a_signature_for_another_robot_does_not_count_and_is_judged_by_that_ones_definitions():
    two = climber()
    two.robots["gull"] = two.robots["tern"]
    log = with_load(checked(two))
    signed = sign(log, robot="gull", seen=len(log.entries) - 1)
    assert asked(log).state == "none" and len(lacked(log, signed)) == 1
    assert asked(log, "12:00").why == "Nobody has signed for a climb."


def test_a_decision_for_another_robot_ends_none_of_ours():
    two = climber()
    two.robots["gull"] = two.robots["tern"]
    log = checked(two)
    own = sign(log)
    sign(log, robot="gull")
    assert (asked(log).state, asked(log).fact.id) == ("cleared", own.id)


def test_what_ended_it_is_told_by_the_definitions_of_its_time():
    """The mark of the part was taken away by two names since; the entry that voided the signature
    still did."""
    log = with_load(checked())
    sign(log, seen=len(log.entries) - 1)
    note = log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:50")
    gone = {
        "id": "part:tern/climb.pawl",
        "before": critical_facts(DEFINITIONS)["part:tern/climb.pawl"],
        "after": None,
    }
    load = log.add("definitions", {"digests": {}, "changes": [gone]}, "11:51")
    for person in ("Ada", "Bo"):
        log.add("approval", {"of": load.id, "decision": "approved"}, "11:52", person=person)
    without = define(
        look("bar", "climb.bar", "every match"), sheet=SHEET.replace("climb_critical = true", "", 1)
    )
    assert not without.robot.parts["climb.pawl"].climb_critical
    assert asked(log, definitions=without).voided_by.id == note.id
