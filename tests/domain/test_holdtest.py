"""When a hold test still counts, and each reason why it does not. Common practice of pit crews, but
where a source is there."""

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.domain.checks.readings import judge
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.climb.holdtest import HoldTest, hold_test
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.schedule import next_run
from tests.domain.climber import CLIMBS, TEST, climber, confirm, hold
from tests.domain.folded import LOOKS, Log, define, moment_of

WEIGHT = """
[[check]]
id = "weight"
part = "climb.bar"
label = "Weight as it climbs"
ask = "What does the scale show?"
minutes = 3
power = "off"
due = ["on arrival"]
measures = { weight = "mass" }
[[check.input]]
name = "weight"
kind = "number"
unit = "kg"
[check.limit]
stop_high = "200 kg"
"""
ROPE = """[[part]]
id = "climb.cord"
label = "Climb cord"
zone = "mast"
kind = "cord"
diameter = "6 mm"
knot = "bowline"
strength = "40 kN"
"""
ON_A_CORD = CLIMBS.replace("\n[hold_path]", f"\n{ROPE}[hold_path]", 1).replace(
    '[[hold_path.step]]\npart = "climb.pawl"',
    '[[hold_path.step]]\npart = "climb.cord"\n[[hold_path.step]]\npart = "climb.pawl"',
)
HELD = {"climbed": "yes", "held": "yes", "slipped": "no", "one_hook": "no"}


def proven(at: str = "09:30", definitions=None, **given) -> Log:
    """A robot with a hold test in the morning, and matches at 11:00 and 13:00."""
    log = Log(definitions or climber(*LOOKS, WEIGHT))
    log.run("3", "11:00")
    log.run("4", "13:00")
    hold(log, at, **given)
    return log


def asked(log: Log, now: str = "10:30", seen: int | None = None) -> HoldTest:
    state = log.state()
    return hold_test(
        Moment(log.definitions, state, moment_of(now), next_run(state, moment_of(now))), seen
    )


def why(log: Log, now: str = "10:30") -> str:
    return "; ".join(asked(log, now).why_not)


def test_it_counts_on_its_day_with_nothing_against_it():
    assert asked(proven()).why_not == ()


def test_never_done_and_no_such_check_are_said():
    assert why(Log(climber())) == "never done"
    assert (
        why(Log(define(*LOOKS, sheet=CLIMBS)))
        == "no checklist has a hold test for the holding device"
    )


@pytest.mark.parametrize("told, act", [
    ("not done today", lambda log: None),
    ("Climb bar was changed since", lambda log: log.add("part_change", {"part": "climb.bar", "identical": True}, "8 08:30")),
    ("Pawl was bridged or taken off since", lambda log: log.add("temporary", {"part": "climb.pawl", "what": "tape"}, "8 08:30")),
    ("Climb bar was repaired since", lambda log: log.move(log.fault("climb.bar", at="8 08:10"), "repaired", "8 08:30")),
])  # fmt: skip
def test_another_day_and_work_on_the_path(told, act):
    log = proven("8 08:00" if told != "not done today" else "09:30")
    act(log)
    assert told in why(log, "8 10:30")


@pytest.mark.parametrize("kind, body", [
    ("note", {"text": "stiff", "part": "climb.pawl"}), ("part_change", {"part": "lift.bracket", "identical": True}),
    ("skipped", {"check": "bar", "part": "climb.bar", "why": "no time"}),
])  # fmt: skip
def test_what_does_not_touch_the_path_leaves_it(kind, body):
    log = proven()
    log.add(kind, body, "10:00")
    assert asked(log).counts


def test_work_before_it_leaves_it_also_where_the_phone_told_of_it_later():
    log = proven()
    log.add("part_change", {"part": "climb.bar", "identical": True}, "09:00")
    assert asked(log).counts


def test_a_correction_of_what_is_known_of_the_path_ends_it_and_one_of_itself_wants_a_new_witness():
    log = proven()
    seen = log.look("bar", "climb.bar", at="09:00")
    log.correct(seen, None)
    assert why(log) == "what is known of Climb bar was corrected since"
    log = proven()
    reading = next(entry for entry in log.entries if entry.kind == "reading")
    log.correct(reading, {**reading.body, "note": "typed wrong"})
    assert why(log) == "Ada read it, and no second person has confirmed it"
    confirm(log, reading)
    assert asked(log).counts


def test_a_hit_ends_it():
    log = proven()
    log.add("debrief", {"answers": {**HELD, "hard_hit": "yes"}}, "11:10", match="fjord/3/1")
    assert "says it was hit hard" in why(log, "12:00")


@pytest.mark.parametrize("answers, ends", [
    ({"climbed": "no"}, False), (HELD, False), ({"climbed": "yes"}, True), ({**HELD, "one_hook": "yes"}, True),
    ({**HELD, "held": "no"}, True), ({**HELD, "slipped": "yes"}, True), (None, True),
])  # fmt: skip
def test_every_climb_since_is_told_to_have_held_until_it_was_taken_down(answers, ends):
    log = proven()
    if answers is not None:
        log.add("debrief", {"answers": answers}, "11:10", match="fjord/3/1")
    assert bool(asked(log, "12:00").why_not) is ends


def test_a_match_that_nobody_told_of_is_named():
    assert "nobody told whether it climbed and held" in why(proven(), "12:00")


def test_a_heavier_robot_ends_it_and_an_unstated_load_never_counts():
    log = proven()
    log.read("weight", "climb.bar", 63.9, "10:00")
    assert asked(log).counts, "the larger of build sheet and scale is still what hung"
    log.read("weight", "climb.bar", 85, "10:10")
    assert why(log) == "the robot is heavier than what hung then (85 kg, then 64.4 kg)"
    assert why(proven(load=None)).endswith("it does not say how much hung")
    assert "heavier" in why(proven(load=60))


@pytest.mark.parametrize("witness, fields", [
    ("", {}), ("Ada", {"device": "other"}), ("Bo", {"device": "phone"}), ("Bo", {"origin": {"log": "x", "seq": 3, "seal": "y"}}),
])  # fmt: skip
def test_it_counts_once_somebody_else_confirms_it_on_another_device(witness, fields):
    log = proven(witness="")
    if witness:
        confirm(log, log.entries[-1], witness, **fields)
    assert why(log) == "Ada read it, and no second person has confirmed it"


def test_a_pin_confirms_on_the_same_device():
    log = proven(witness="")
    reading = log.entries[-1]
    log.add(
        "approval",
        {"of": reading.id, "decision": "confirmed", "by_pin": True},
        person="Bo",
        device="phone",
    )
    assert asked(log).counts
    assert asked(log, seen=reading.seq).why_not, "but not before it was given"


@pytest.mark.parametrize("first, second, told", [
    ({"teeth": 0}, {"teeth": 1}, "stop: 1 tooth passed, 0 in the first test"),
    # both by a ruler good to 1 mm (k = 2): they differ by less than 1.41 mm, JCGM 100, 5.1.2
    ({"slip": 1}, {"slip": 2.4}, ""),
    ({"slip": 1}, {"slip": 2.5}, "stop: it sank by 2.5 mm, by 1 mm in the first test"),
    ({"slip": 3, "teeth": 1}, {"slip": 1, "teeth": 0}, ""),
])  # fmt: skip
def test_a_second_test_that_is_worse_than_the_first_is_stop(first, second, told):
    log = proven(**first)
    hold(log, "10:00", **second)
    assert told in why(log) and bool(why(log)) is bool(told)


def test_a_worse_second_test_is_not_mended_by_a_third_but_by_work_on_the_path():
    log = proven(teeth=0)
    hold(log, "09:50", teeth=1)
    hold(log, "10:00", teeth=0)
    assert "stop: 1 tooth passed" in why(log)
    log.add("part_change", {"part": "climb.pawl", "identical": True}, "10:05")
    hold(log, "10:10", teeth=1)
    assert asked(log).counts


def test_a_test_that_was_stop_is_not_mended_by_testing_again():
    log = proven(slip=12)
    hold(log, "10:00", slip=1)
    assert why(log) == "an earlier test was stop, and nothing was repaired or changed since"
    fault = log.fault("climb.pawl", at="10:05")
    log.move(fault, "repaired", "10:06")
    hold(log, "10:10", slip=1)
    assert asked(log).counts


@pytest.mark.parametrize("moved, counts", [(1, True), (3, False)])
def test_a_brakes_paint_line_is_compared_as_well(moved, counts):
    log = proven()
    again = hold(log, "10:00")
    for reading, value in (
        (next(entry for entry in log.entries if entry.kind == "reading"), 0.5),
        (again, moved),
    ):
        reading.body["inputs"]["moved"] = {"typed": str(value), "value": value, "unit": "mm"}
    assert asked(log).counts is counts


def test_a_new_rope_or_knot_is_loaded_fully_twice_first():
    log = proven("08:00", climber(*LOOKS, sheet=ON_A_CORD))
    log.add("part_change", {"part": "climb.cord", "identical": True}, "09:00")
    for at, told in (("09:10", "first time"), ("09:20", "second time"), ("09:30", "")):
        hold(log, at, slip=6 if told else 2)
        assert told in why(log) and bool(why(log)) is bool(told)
    log.add("part_change", {"part": "climb.bar", "identical": True}, "09:40")
    hold(log, "09:50")
    assert asked(log).counts, "work elsewhere makes no rope new"


def held_climb(
    log: Log, *people: str, match: str = "fjord/3/1", at: str = "11:10", **answers
) -> None:
    for person in people:
        log.add(
            "debrief",
            {"answers": HELD | answers},
            at,
            match=match,
            person=person,
            device=f"phone of {person}",
        )


def test_a_real_climb_told_by_two_renews_it():
    """Yesterday's test, and a climb today that held with the power off: a hold test under full
    load."""
    log = proven("09:30")
    log.run("12", "8 09:00")
    log.run("13", "8 11:00")
    for match in ("fjord/3/1", "fjord/4/1"):
        held_climb(log, "Ida", match=match, at="14:00")
    assert why(log, "8 08:30") == "not done today"
    held_climb(log, "Ida", match="fjord/12/1", at="8 09:20")
    assert why(log, "8 10:00") == "not done today", "one person tells of it"
    held_climb(log, "Bo", match="fjord/12/1", at="8 09:25")
    found = asked(log, "8 10:00")
    assert found.counts and found.renewed is not None and found.renewed.run.id == "fjord/12/1"
    log.add("part_change", {"part": "climb.bar", "identical": True}, "8 09:40")
    assert "Climb bar was changed since" in why(log, "8 10:00")


def test_a_climb_renews_no_test_that_did_not_pass():
    log = proven("09:30", slip=40)
    held_climb(log, "Ida", "Bo")
    assert why(log, "12:00").startswith("stop")
    assert why(Log(climber()), "12:00") == "never done"


def test_a_climb_renews_nothing_for_a_robot_that_is_heavier_since():
    log = proven("6 09:30")
    held_climb(log, "Ida", "Bo")
    assert asked(log, "12:00").counts
    log.read("weight", "climb.bar", 66, "11:30")
    assert "heavier" in why(log, "12:00")


ACTS = st.sampled_from(
    ["test", "alone", "change", "repair", "hit", "held", "told by two", "weigh", "correct", "note"]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(ACTS, st.integers(0, 59)), max_size=8), st.data())
def test_taking_a_witness_a_debrief_or_a_load_away_never_makes_it_count(acts, data):
    """What no one said counts against the climb: leaving out what speaks for it never helps."""
    log = proven("08:30")
    for act, minute in acts:
        at = f"09:{minute:02}"
        if act in ("test", "alone"):
            hold(log, at, witness="Bo" if act == "test" else "")
        elif act == "change":
            log.add("part_change", {"part": "climb.bar", "identical": True}, at)
        elif act == "repair":
            log.move(log.fault("climb.pawl", at="09:00"), "repaired", at)
        elif act == "hit":
            log.add("debrief", {"answers": {**HELD, "hard_hit": "yes"}}, at, match="fjord/3/1")
        elif act in ("held", "told by two"):
            held_climb(log, *(("Ida", "Bo") if act == "told by two" else ("Ida",)), at="11:20")
        elif act == "weigh":
            log.read("weight", "climb.bar", data.draw(st.sampled_from([60, 64.4, 70])), at)
        elif act == "correct":
            log.correct(
                data.draw(
                    st.sampled_from([entry for entry in log.entries if entry.kind == "reading"])
                ),
                None,
                at=at,
            )
        else:
            log.add("note", {"text": "stiff", "part": "climb.bar"}, at)
    for_it = [
        entry
        for entry in log.entries
        if entry.kind == "approval" or (entry.kind == "debrief" and entry.body["answers"] == HELD)
    ]
    if for_it and not asked(log, "12:00").counts:
        log.entries.remove(data.draw(st.sampled_from(for_it)))
        assert not asked(log, "12:00").counts


def late(log: Log, kind: str, body: dict, offset: float | None, **fields):
    """An entry with the time of an hour before the hold test, which arrives an hour after it."""
    received = moment_of("10:20").isoformat()
    return log.add(kind, body, "08:30", received_at=received, offset=offset, **fields)


@pytest.mark.parametrize("kind, body, told", [
    ("part_change", {"part": "climb.bar", "identical": True}, "Climb bar was changed since"),
    ("temporary", {"part": "climb.pawl", "what": "tape"}, "Pawl was bridged or taken off since"),
    ("debrief", {"answers": {"hard_hit": True}}, "the debrief says it was hit hard"),
])  # fmt: skip
def test_work_by_a_clock_that_nobody_checked_counts_from_its_receipt(kind, body, told):
    log = proven()
    late(log, kind, body, 0.0)
    assert asked(log).counts, "a phone whose clock was measured is believed"
    late(log, kind, body, None)
    assert told in why(log)


def test_a_stop_by_a_clock_that_nobody_checked_is_not_overtaken_by_an_older_pass():
    log = proven()
    seen = log.look("pawl", "climb.pawl", "cracked", at="08:30")
    log.entries[-1] = msgspec.structs.replace(
        seen, received_at=moment_of("10:20").isoformat(), offset=None
    )
    log.look("pawl", "climb.pawl", "whole", at="10:00")
    moment = Moment(log.definitions, log.state(), moment_of("10:30"), None)
    assert moment.last_reading("pawl@climb.pawl").verdict == "stop"


@pytest.mark.parametrize("first, second, verdict", [
    ({"teeth": 1}, {"teeth": 1}, "ok"), ({"teeth": 0}, {"teeth": 1}, "stop"),
    ({"slip": 1}, {"slip": 2.4}, "ok"), ({"slip": 1}, {"slip": 2.5}, "stop"),
    ({"slip": 9}, {"slip": 10.2}, "stop"), ({"slip": 3}, {"slip": 1}, "ok"),
])  # fmt: skip
def test_the_limit_of_the_second_test_says_what_the_first_allows(first, second, verdict):
    """One verdict everywhere: two readings of a ruler good to 1 mm (k = 2) differ by less than
    1.41 mm (JCGM 100, 5.1.2); the check's own 10 mm stays."""
    log = proven(**first)
    item = log.definitions.part_checks[TEST]
    now = Moment(log.definitions, log.state(), moment_of("10:00"), None)
    limit = as_asked(now, item).limit
    test = hold(log, "10:00", **second)
    found = judge(limit, test.body["inputs"])
    assert found.verdict == verdict
    if verdict == "stop" and second.get("slip", 0) < 10:
        assert "in the first test" in found.sentence
    after = Moment(log.definitions, log.state(), moment_of("11:00"), None)
    assert as_asked(after, item, test).limit == limit, "the test itself is not compared with itself"
    first_test = next(entry for entry in log.entries if entry.kind == "reading")
    assert as_asked(after, item, first_test) == item


def test_work_on_the_path_and_new_rope_begin_the_comparison_again():
    log = proven(slip=1)
    item = log.definitions.part_checks[TEST]
    log.add("part_change", {"part": "climb.pawl", "identical": True}, "09:45")
    now = Moment(log.definitions, log.state(), moment_of("10:00"), None)
    assert as_asked(now, item) == item


def test_the_loadings_that_settle_a_new_rope_are_compared_with_nothing():
    log = Log(climber(*LOOKS, WEIGHT, sheet=ON_A_CORD))
    item = log.definitions.part_checks[TEST]
    log.add("part_change", {"part": "climb.cord", "identical": True}, "08:00")
    bounds = []
    for at, slip in (("08:10", 9), ("08:20", 5), ("08:30", 2), ("08:40", 2)):
        now = Moment(log.definitions, log.state(), moment_of(at), None)
        bounds.append(as_asked(now, item).limit.stop_high)
        hold(log, at, slip=slip)
    assert bounds == pytest.approx([0.01, 0.01, 0.01, 0.002 + 0.001 * 2**0.5])
