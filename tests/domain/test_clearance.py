"""Climb clearance: what blocks signing, the one rule by which it ends, and that nothing ends
cleared with a condition unmet."""

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.domain.climb.clearance import ClimbClearance, past_clearances
from pitcrew.domain.logbook.climbs import was_hit
from pitcrew.domain.logbook.moment import Moment, moment_now
from pitcrew.domain.now.view import PitView, view_of
from tests.domain.climber import TEST, climber, hold
from tests.domain.folded import LOOKS, Log, look, moment_of

DEFINITIONS = climber()
MATCH = "fjord/4/1"


def asked(log: Log, now: str = "12:00", definitions=None) -> ClimbClearance:
    state = log.state()
    return view_of(definitions or log.definitions, state, moment_of(now)).clearance


def checked(definitions=DEFINITIONS, at: str = "11:30") -> Log:
    """A robot whose climb has all that a signature needs."""
    log = Log(definitions)
    for name, start in (("3", "11:00"), ("4", "13:00"), ("5", "15:00"), ("6", "17:00")):
        log.run(name, start)
    log.look("bar", "climb.bar", at=at)
    log.look("pawl", "climb.pawl", at=at)
    hold(log, at)
    return log


def sign(log: Log, at: str = "11:45", seen: int | None = None, **fields):
    body = {"decision": "cleared", "seen_seq": len(log.entries) if seen is None else seen}
    return log.add("clearance", body, at, person="Cap", **{"match": MATCH, **fields})


def test_unsigned_is_none_with_all_that_is_missing():
    log = Log(DEFINITIONS)
    found = asked(log)
    assert found.state == "none" and {item.key for item in found.missing} == {
        TEST,
        "pawl@climb.pawl",
        "bar@climb.bar",
    }


def test_signed_with_nothing_missing_is_cleared():
    log = checked()
    assert asked(log).missing == []
    signed = sign(log)
    found = asked(log)
    assert (found.state, found.fact.id, found.missing) == ("cleared", signed.id, [])


def test_refused_says_why():
    log = checked()
    log.add(
        "clearance", {"decision": "refused", "seen_seq": 0, "why": "pawl sounds odd"}, person="Cap"
    )
    assert (asked(log).state, asked(log).why) == ("refused", "pawl sounds odd")


@pytest.mark.parametrize(
    "kind, body",
    [
        ("note", {"text": "stiff", "part": "climb.pawl"}),
        ("fault", {"part": "climb.bar", "symptom": "bent", "grade": "watch"}),
        ("temporary", {"part": "climb.bar", "what": "pin replaced by a bolt", "blocks": False}),
        ("part_change", {"part": "climb.pawl", "identical": True}),
        ("skipped", {"check": "pawl", "part": "climb.pawl", "why": "no time"}),
        ("hologram", {}),
        (
            "definitions",
            {"digests": {}, "changes": [{"id": "part:climb.pawl", "before": {}, "after": None}]},
        ),
    ],
)
def test_every_later_entry_on_a_climb_critical_part_voids_it_and_is_named(kind, body):
    log = checked()
    sign(log)
    later = log.add(kind, body, "11:50")
    log.add("note", {"text": "again", "part": "climb.pawl"}, "11:55")
    found = asked(log)
    assert (found.state, found.voided_by.id) == ("void", later.id) and found.why


@pytest.mark.parametrize(
    "kind, body",
    [
        ("note", {"text": "all well"}),
        ("note", {"text": "loose", "part": "lift.bracket"}),
        ("fault", {"part": "lift.bracket", "symptom": "bent", "grade": "stop"}),
        ("match_run", {"planned": "2026-03-07T13:05:00Z"}),
        ("definitions", {"digests": {"pitcrew.toml": "x"}, "changes": []}),
        ("handoff", {"audience": "crew", "head": "1:abc"}),
    ],
)
def test_what_does_not_concern_the_climb_leaves_it_cleared(kind, body):
    log = checked()
    sign(log)
    log.add(kind, body, "11:50", match=MATCH)
    assert asked(log).state == "cleared"


@pytest.mark.parametrize(
    "answer, at, state",
    [
        ("whole", "11:50", "cleared"),
        ("scratched", "11:50", "void"),
        ("cracked", "11:50", "void"),
        ("cannot see", "11:50", "void"),
        ("whole", "11:45", "void"),
        ("whole", "11:20", "void"),
    ],
)
def test_of_later_readings_only_one_taken_after_the_signature_and_judged_ok_is_harmless(
    answer, at, state
):
    log = checked()
    sign(log)
    log.look("pawl", "climb.pawl", answer, at)
    assert asked(log).state == state


def test_a_reading_from_a_phone_whose_clock_is_fast_counts_by_its_corrected_time():
    log = checked()
    sign(log)
    log.look("pawl", "climb.pawl", "whole", "12:20", offset=-3600.0)
    assert asked(log, "12:30").state == "void"


def test_moves_approvals_and_corrections_touch_the_part_that_they_are_about():
    for add in (
        lambda log, fault, note: log.move(fault, "repaired"),
        lambda log, fault, note: log.correct(note, None),
        lambda log, fault, note: log.add("approval", {"of": note.id, "decision": "approved"}),
        lambda log, fault, note: log.move(msgspec.structs.replace(fault, id="unknown"), "repaired"),
    ):
        log = checked()
        fault = log.fault("climb.pawl", "watch", "11:40")
        note = log.add("note", {"text": "stiff", "part": "climb.bar"}, "11:40")
        sign(log)
        assert asked(log).state == "cleared"
        later = add(log, fault, note)
        assert (asked(log).state, asked(log).voided_by.id) == ("void", later.id)


def test_it_is_bound_to_what_the_signer_saw():
    log = checked()
    unseen = log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:40")
    sign(log, seen=unseen.seq - 1)
    assert (asked(log).state, asked(log).voided_by.id) == ("void", unseen.id)
    sign(log, seen=10_000)
    assert asked(log).state == "cleared"
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:50")
    assert asked(log).state == "void"


def blockers():
    """What must block signing, each by what is added to a robot that has all else."""
    return {
        "stop": lambda log: log.look("pawl", "climb.pawl", "cracked", "11:35"),
        "unjudged": lambda log: log.look("pawl", "climb.pawl", "cannot see", "11:35"),
        "changed": lambda log: log.add(
            "part_change", {"part": "climb.bar", "identical": True}, "11:35"
        ),
        "changed at the same time": lambda log: log.add(
            "part_change", {"part": "climb.bar", "identical": True}, "11:30"
        ),
        "open fault": lambda log: log.fault("climb.bar", "degraded", "11:35"),
        "repaired, not proven": lambda log: log.move(
            log.fault("climb.bar", at="11:10"), "repaired", "11:15"
        ),
        "deferred by one": lambda log: log.move(
            log.fault("climb.bar", at="11:10"), "deferred", until="fjord/6/1", person="Cleo"
        ),
        "temporary": lambda log: log.add(
            "temporary", {"part": "climb.bar", "what": "pin replaced by a bolt"}, "11:35"
        ),
        "reading withdrawn": lambda log: log.correct(
            next(entry for entry in log.entries if entry.kind == "reading"), None
        ),
    }


def test_a_repair_that_was_read_ok_wants_its_proof_recorded():
    """A passing look since the repair is there; what is missing is that someone says so."""
    log = checked()
    log.move(log.fault("climb.bar", at="11:00"), "repaired", "11:15")
    found = [item.text for item in asked(log).missing if item.kind == "fault"]
    assert len(found) == 1 and found[0].endswith(
        "was repaired, and Ada read it as ok since. Record that reading as the proof."
    )


@pytest.mark.parametrize("name", blockers())
def test_a_signature_over_something_missing_is_void(name):
    log = checked()
    blockers()[name](log)
    missing = asked(log).missing
    assert missing and {item.key for item in missing} <= {
        TEST,
        "pawl@climb.pawl",
        "bar@climb.bar",
        "",
    }
    sign(log)
    found = asked(log)
    assert (found.state, found.why, found.missing) == (
        "void",
        f"Signed while something was missing. {missing[0].text}",
        missing,
    )


def test_readings_before_the_last_match_do_not_serve_for_checks_before_a_climb():
    log = checked(at="10:50")
    assert {item.key for item in asked(log).missing} == {TEST, "pawl@climb.pawl"}
    sign(log)
    assert asked(log).state == "void"


def test_a_reading_after_the_signature_does_not_mend_what_was_missing_at_signing():
    log = checked()
    log.add("part_change", {"part": "climb.pawl", "identical": True}, "11:35")
    sign(log)
    log.look("pawl", "climb.pawl", "whole", "11:50")
    hold(log, "11:52")
    assert asked(log).state == "void" and asked(log).missing == []


def test_a_reading_after_the_signature_does_not_prove_a_repair_for_it():
    log = checked()
    fault = log.fault("climb.pawl", at="11:31")
    log.move(fault, "repaired", "11:40")
    log.move(fault, "proven", "11:41")
    log.look("bar", "climb.bar", at="11:42")
    sign(log)
    log.look("pawl", "climb.pawl", "whole", "11:50")
    hold(log, "11:52")
    assert log.state().faults[fault.id].state == "proven" and asked(log).missing == []
    assert asked(log).state == "void"


def test_a_deferral_on_a_climb_critical_part_wants_a_second_name():
    log = checked()
    move = log.move(
        log.fault("climb.bar", at="11:10"), "deferred", until="fjord/6/1", person="Cleo"
    )
    log.add("approval", {"of": move.id, "decision": "approved"}, person="Cleo")
    assert len(asked(log).missing) == 1
    log.add("approval", {"of": move.id, "decision": "approved"}, person="Mia")
    assert asked(log).missing == []


def test_a_mistake_in_a_climb_critical_file_blocks_it():
    log = checked()
    sign(log)
    found = asked(log, definitions=climber(*LOOKS, look("new", "climb.pawl", "before a climbing")))
    assert found.state == "void" and found.missing[0].kind == "mistake"


@pytest.mark.parametrize(
    "now, state", [("13:00", "cleared"), ("13:41", "void"), ("8 08:00", "void")]
)
def test_it_lasts_one_match_run_and_never_into_the_next_day(now, state):
    log = checked()
    sign(log)
    assert asked(log, now).state == state


def test_it_ends_when_its_match_starts_and_a_replay_needs_a_new_one():
    log = checked()
    sign(log)
    log.add("match_run", {"actual": moment_of("13:02").isoformat()}, match=MATCH)
    log.add(
        "match_run", {"planned": moment_of("13:20").isoformat(), "ours": "red 1"}, match="fjord/4/2"
    )
    assert asked(log, "13:03").state == "void"


def test_a_signature_that_names_no_match_ends_with_the_next_one_played():
    log = checked()
    sign(log, match=None)
    assert asked(log).state == "cleared" and asked(log, "13:41").state == "void"


def test_a_check_before_a_climb_on_a_lesser_part_holds_the_clearance_too():
    log = checked(climber(*LOOKS, look("cable", "lift.bracket", "before a climb")))
    log.look("cable", "lift.bracket", at="11:30")
    sign(log)
    log.look("cable", "lift.bracket", "scratched", "11:50")
    assert asked(log).state == "cleared"
    log.look("cable", "lift.bracket", "cracked", "11:55")
    found = asked(log)
    assert found.state == "void" and found.why.startswith("What was signed holds no more.")
    assert [item.key for item in found.missing] == ["cable@lift.bracket"]


def test_the_team_may_let_it_last_for_more_runs():
    log = checked(climber(settings={"clearance_runs": 2}))
    sign(log)
    assert asked(log, "14:00").state == "cleared"
    assert asked(log, "16:00").state == "void"


def test_asked_for_a_later_run_than_it_was_signed_for_it_has_ended():
    log = checked()
    sign(log)
    state = log.state()
    assert (
        PitView(
            Moment(log.definitions, state, moment_of("12:00"), state.runs["fjord/5/1"])
        ).clearance.state
        == "void"
    )


def test_an_adopted_clearance_is_history():
    log = checked()
    adopted = sign(log, origin={"log": "other", "seq": 4, "seal": "x"})
    assert asked(log).state == "none" and "history" in asked(log).why
    own = sign(log)
    log.entries.append(log.entries.pop(-2))
    assert asked(log).fact.id == own.id and adopted.id != own.id


def test_entries_on_another_robot_of_the_team_do_not_concern_it():
    two = climber()
    two.robots["gull"] = two.robots["tern"]
    log = checked(two)
    sign(log)
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, robot="gull")
    assert asked(log).state == "cleared"
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, robot="unknown")
    assert asked(log).state == "void"


def test_every_past_decision_says_how_it_ended():
    log = checked()
    sign(log)
    log.add("note", {"text": "stiff", "part": "climb.pawl"}, "11:50")
    sign(log, "11:55")
    state = log.state()
    found = past_clearances(moment_now(log.definitions, state, moment_of("12:00")))
    assert [item.state for item in found] == ["cleared", "void"] and all(
        item.why for item in found[1:]
    )


ACTS = (
    "whole",
    "scratched",
    "cracked",
    "cannot see",
    "change",
    "fault",
    "repair",
    "prove",
    "temporary",
    "undo",
    "sign",
    "refuse",
    "correct",
    "defer",
    "second",
    "definitions",
    "failure",
    "hold",
    "alone",
    "cut",
    "relay",
)


@st.composite
def histories(draw):
    """A random history on two climb-critical parts, all within one turnaround, with late and early
    clocks; half of them a good signature and at most two acts behind it, so that many stand or are
    ended by one act alone."""
    log = checked() if draw(st.booleans()) else Log(DEFINITIONS)
    acts = st.lists(st.sampled_from(ACTS), min_size=1, max_size=14)
    if draw(st.booleans()):
        sign(log := checked())
        acts = st.lists(st.sampled_from(ACTS), min_size=1, max_size=2)
    lost: list = []
    for act in draw(acts):
        part = draw(st.sampled_from(["pawl", "bar"]))
        at = f"11:{draw(st.integers(31, 59))}"
        target = f"climb.{part}"
        earlier = [
            entry
            for entry in log.entries
            if entry.kind not in ("clearance", "correction", "match_run")
        ]
        faults = [entry for entry in log.entries if entry.kind == "fault"]
        starts = [entry for entry in log.entries if entry.kind == "temporary"]
        if act in ("whole", "scratched", "cracked", "cannot see"):
            log.look(part, target, act, at)
        elif act == "change":
            log.add("part_change", {"part": target, "identical": True}, at)
        elif act == "fault":
            log.fault(target, draw(st.sampled_from(["stop", "degraded", "watch"])), at)
        elif act in ("repair", "prove") and faults:
            log.move(
                draw(st.sampled_from(faults)), {"repair": "repaired", "prove": "proven"}[act], at
            )
        elif act == "temporary":
            log.add("temporary", {"part": target, "what": "pin"}, at)
        elif act == "undo" and starts:
            log.add("temporary_undone", {"temporary": draw(st.sampled_from(starts)).id}, at)
        elif act == "correct" and earlier:
            log.correct(draw(st.sampled_from(earlier)), None, at=at)
        elif act == "sign":
            sign(log, at, draw(st.sampled_from([None, 10_000])))
        elif act == "defer" and faults:
            log.move(
                draw(st.sampled_from(faults)), "deferred", at, until="fjord/6/1", person="Cleo"
            )
        elif act == "second":
            waiting = [
                entry
                for entry in log.entries
                if entry.kind in ("clearance", "fault_move", "definitions")
            ]
            if waiting:
                body = {
                    "of": draw(st.sampled_from(waiting)).id,
                    "decision": draw(st.sampled_from(["approved", "refused"])),
                }
                log.add("approval", body, at, person=draw(st.sampled_from(["Cap", "Cleo", "Bo"])))
        elif act == "definitions":
            log.add(
                "definitions",
                {"digests": {}, "changes": [{"id": f"part:{target}", "before": {}, "after": None}]},
                at,
            )
        elif act in ("hold", "alone"):
            hold(log, at, witness="Bo" if act == "hold" else "")
        elif act == "cut":
            lost += log.cut(draw(st.integers(1, 4)))
        elif act == "relay" and lost:
            log.relay(lost.pop(draw(st.integers(0, len(lost) - 1))))
        elif act == "failure":
            log.add("debrief", {"answers": {"climb_failed": True}}, at)
        elif act == "refuse":
            log.add("clearance", {"decision": "refused", "seen_seq": 0}, at)
    if draw(st.sampled_from([False, False, True])):
        restored(draw, log)
    return log


def restored(draw, log: Log) -> None:
    """Go on from an older copy: phones bring back some of what was lost, and the captain may sign
    again."""
    for entry in log.cut(draw(st.integers(1, 6))):
        if draw(st.booleans()):
            log.relay(entry)
    if draw(st.booleans()):
        sign(log, "11:59")


def confirmed(log: Log, of: str) -> bool:
    """Whether the raw entries hold what a second person saw, given in this log."""
    mine = [entry for entry in log.entries if entry.kind == "approval" and entry.origin is None]
    return any(entry.body == {"of": of, "decision": "confirmed"} for entry in mine)


def work_at(log: Log, state, entry):
    """When work was done; long ago where a correction took the entry out."""
    return state.facts[entry.id].at if entry.id in state.facts else moment_of("1 00:00")


def approved_by_another(log: Log, of: str, first: str) -> bool:
    """Whether the raw entries hold an approval by someone else."""
    given = [
        entry
        for entry in log.entries
        if entry.kind == "approval" and entry.body["of"] == of and entry.origin is None
    ]
    return any(entry.body["decision"] == "approved" and entry.person != first for entry in given)


@settings(max_examples=400, deadline=None)
@given(histories())
def test_no_history_ends_cleared_while_a_condition_is_unmet(log):
    """Asked of the raw entries, not of the clearance's own list of what is missing."""
    if asked(log).state != "cleared":
        return
    state = log.state()
    for key in ("pawl@climb.pawl", "bar@climb.bar"):
        last = state.readings[key][-1]
        assert last.verdict in ("ok", "watch")
        changes = state.part_changes.get(last.part, [])
        assert not changes or changes[-1].at < last.at
    test = state.readings[TEST][-1]
    assert test.verdict == "ok" and confirmed(log, test.id)
    assert not any(
        work_at(log, state, entry) >= test.at
        for entry in log.entries
        if entry.kind in ("part_change", "temporary")
    )
    for fault in state.faults.values():
        assert (
            fault.grade == "watch"
            or fault.closed
            or approved_by_another(log, fault.deferral.move, fault.deferral.who)
        )
    assert not any(item.open for item in state.temporaries.values())
    signed = [fact for fact in state.clearances if fact.entry.origin is None][-1]
    assert signed.body.decision == "cleared"
    signatures = {fact.id: fact for fact in state.clearances}
    failed = [
        entry.seq
        for entry in log.entries[: signed.seq]
        if entry.kind == "debrief" and entry.id in state.facts
    ]
    assert not failed or any(
        fact.seq > failed[-1] and approved_by_another(log, fact.id, fact.person)
        for fact in signatures.values()
    )
    assert ending(log, signed.entry) is None


@pytest.mark.parametrize(
    "answers, state",
    [
        ({"climbed": "yes", "held": "no"}, "void"),
        ({"hard_hit": True}, "void"),
        ({"climbed": "yes", "held": "yes", "down": "by the card"}, "cleared"),
        ({"odd": True}, "cleared"),
    ],
)
def test_a_debrief_that_comes_late_ends_a_signature_where_it_tells_of_a_hit(answers, state):
    """The drive team reports the last match only after the captain has signed for the next."""
    log = checked()
    sign(log)
    told = log.add("debrief", {"answers": answers}, "11:50", match="fjord/3/1")
    found = asked(log)
    assert found.state == state and (state == "cleared" or found.voided_by.id == told.id)


def ending(log: Log, signed):
    """The first raw entry behind a signature that ends it by the one rule.

    All is about a climb-critical part but debriefs, matches, second names of signatures, and
    corrections of these; a correction of what the laptop noted of its files, or of its second
    names, does not count and names no part.
    """
    facts, by_id = log.state().facts, {entry.id: entry for entry in log.entries}

    def elsewhere(entry) -> bool:
        about = by_id.get(entry.body.get("of"))
        if entry.kind == "correction":
            of_files = about.kind == "definitions" or (
                about.kind == "approval" and by_id[about.body["of"]].kind == "definitions"
            )
            return of_files or elsewhere(about)
        return (
            about.kind == "clearance"
            if entry.kind == "approval"
            else entry.kind in ("debrief", "match_run")
        )

    def harmless(entry) -> bool:
        if entry.kind == "reading" and entry.id in facts:
            return facts[entry.id].verdict == "ok" and facts[entry.id].at > facts[signed.id].at
        if entry.kind == "debrief" and entry.id in facts:
            return not was_hit(facts[entry.id].body.answers)
        if entry.kind == "approval" and entry.body["decision"] == "confirmed":
            return True
        return elsewhere(entry)

    return next(
        (entry for entry in log.entries if entry.seq > signed.seq and not harmless(entry)), None
    )


@settings(max_examples=100, deadline=None)
@given(histories(), st.data())
def test_a_late_fact_never_makes_a_void_clearance_cleared(log, data):
    """Whatever arrives after a signature that does not hold, the signature does not come to hold by
    it."""
    before = asked(log).state
    entry = log.look(
        "pawl",
        "climb.pawl",
        data.draw(st.sampled_from(["whole", "cracked"])),
        f"11:{data.draw(st.integers(31, 59))}",
    )
    assert entry.seq == len(log.entries)
    if before != "cleared":
        assert asked(log).state != "cleared"


def back_early(log: Log) -> None:
    """Match 4, printed for 13:00, was played at 12:35 and the robot was back at 12:45; no one
    pressed a button at its start."""
    log.add("returned", {}, "12:45", match=MATCH)


def test_a_match_that_ran_earlier_than_printed_does_not_end_the_signature_for_the_next_one():
    """The trap: signed at 12:55 after honest checks, and at once void because match 4 would start
    at its printed 13:00."""
    log = checked()
    back_early(log)
    keys = {item.key for item in asked(log, "12:50").missing}
    assert keys == {TEST, "pawl@climb.pawl"}, "what was seen before the match does not count"
    hold(log, "12:51")
    log.look("pawl", "climb.pawl", at="12:52")
    assert asked(log, "12:54").missing == []
    sign(log, "12:55", match="fjord/5/1")
    for now in ("12:56", "13:01", "14:30"):
        assert (asked(log, now).state, asked(log, now).why) == ("cleared", ""), now


def test_a_debrief_alone_says_as_well_that_the_match_is_over():
    log = checked(at="12:50")
    log.add("debrief", {"answers": {"odd": False}}, "12:46", match=MATCH)
    sign(log, "12:55", match="fjord/5/1")
    assert asked(log, "13:05").state == "cleared"


def test_a_screen_that_claims_to_have_shown_the_future_hides_no_hit():
    """`seen_seq` is what a form sent back: never more than the signature's own number counts."""
    log = checked()
    log.add("clearance", {"decision": "cleared", "seen_seq": 10_000}, "11:40")
    assert asked(log).state == "cleared"
    hit = log.add("debrief", {"answers": {"slipped": "yes"}}, "11:50", match="fjord/3/1")
    assert asked(log).state == "void" and asked(log).voided_by.id == hit.id
