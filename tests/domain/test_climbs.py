"""What the debriefs say about climbs, which climbs count, and the due words that count them. Common
practice throughout."""

import pytest

from pitcrew.domain.logbook.climbs import failed, said_climbed, was_hit
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.now.view import view_of
from tests.domain.folded import Log, define, look, moment_of

PAWL = "climb.pawl"


def played(*told: dict | None, looks: tuple[str, ...] = (), **given) -> Log:
    """Matches at 9, 10, 11 … o'clock, each with its debrief (None: no one asked), and one to
    come."""
    log = Log(define(*(looks or (look("eye", PAWL, "before a climb"),)), **given))
    for number, answers in enumerate(told, 1):
        run = log.run(str(number), f"{8 + number}:00", f"{8 + number}:00")
        if answers is not None:
            log.add("debrief", {"answers": answers}, f"{8 + number}:10", match=run)
    log.run("20", "20:00")
    return log


def due_keys(log: Log, now: str = "13:00") -> set[str]:
    state, moment = log.state(), moment_of(now)
    return {item.key for item in view_of(log.definitions, state, moment).due}


@pytest.mark.parametrize("answers, climbed, is_hit, is_failed", [
    ({}, None, False, False), ({"climbed": True}, True, False, False), ({"climbed": "no"}, False, False, False),
    ({"held": "yes"}, True, False, False), ({"held": False}, True, True, True), ({"climbed": "yes", "slipped": "yes"}, True, True, True),
    ({"climbed": True, "one_hook": True}, True, True, False), ({"climbed": True, "down": "it slid or fell"}, True, True, True),
    ({"end_stop": True}, None, True, False), ({"hard_hit": True, "tipped": False}, None, True, False),
    ({"climb": "held, down by the cord"}, True, False, False), ({"climb": "No, we played defense"}, False, False, False),
    ({"climb_failed": True}, None, True, True), ({"climb": ""}, None, False, False),
])  # fmt: skip
def test_what_a_debrief_says(answers, climbed, is_hit, is_failed):
    """The last three lines are debriefs of an older program. One that says that the climb failed
    ends a signature, as today's answers do."""
    assert (said_climbed(answers), was_hit(answers), failed(answers)) == (
        climbed,
        is_hit,
        is_failed,
    )


@pytest.mark.parametrize("answers, counts, held", [
    (None, True, False), ({"hard_hit": False}, True, False), ({"climbed": False}, False, False), ({"climbed": True}, True, False),
    ({"climbed": True, "held": True}, True, True), ({"climbed": True, "held": True, "slipped": True}, True, False),
    ({"climb": "held"}, True, False),
])  # fmt: skip
def test_a_climb_that_nobody_told_of_counts_and_did_not_hold(answers, counts, held):
    log = played(answers)
    now = moment_of("13:00")
    moment = Moment(log.definitions, log.state(), now, None)
    assert [(climb.run.id, climb.held) for climb in moment.climbs] == (
        [("fjord/1/1", held)] if counts else []
    )


def test_of_two_who_tell_the_worse_counts():
    log = played({"climbed": False})
    log.add(
        "debrief",
        {"answers": {"climbed": True, "held": True}},
        "09:20",
        match="fjord/1/1",
        person="Bo",
    )
    assert [
        climb.held
        for climb in Moment(log.definitions, log.state(), moment_of("13:00"), None).climbs
    ] == [True]
    log.add(
        "debrief",
        {"answers": {"climbed": True, "held": False}},
        "09:25",
        match="fjord/1/1",
        person="Cy",
    )
    assert [
        climb.held
        for climb in Moment(log.definitions, log.state(), moment_of("13:00"), None).climbs
    ] == [False]


def test_a_robot_that_never_climbs_has_no_climbs_unless_told():
    log = played(None, {"climbed": True}, settings={"climb_planned": False})
    assert [
        climb.run.id
        for climb in Moment(log.definitions, log.state(), moment_of("13:00"), None).climbs
    ] == ["fjord/2/1"]


@pytest.mark.parametrize("answers, seen, is_due", [
    (None, "08:30", True), ({"climbed": True, "held": True}, "08:30", True), ({"climbed": False}, "08:30", False),
    ({"climbed": False, "hard_hit": True}, "08:30", True), ({"climbed": False, "hard_hit": True}, "09:30", False),
    ({"climbed": True, "held": True}, "09:30", False), ({"climbed": False}, "6 20:00", True),
])  # fmt: skip
def test_before_a_climb_means_not_seen_since_the_last_climb_hit_or_this_morning(
    answers, seen, is_due
):
    log = played(answers)
    log.look("eye", PAWL, "whole", seen)
    assert ("eye@climb.pawl" in due_keys(log)) is is_due


def test_before_a_climb_means_not_seen_since_a_repair():
    log = played({"climbed": False})
    log.look("eye", PAWL, "whole", "09:30")
    fault = log.fault(PAWL, "degraded", "09:40")
    log.move(fault, "repaired", "09:50")
    assert "eye@climb.pawl" in due_keys(log)


@pytest.mark.parametrize("told, is_due", [
    ({"climbed": True, "held": True}, False), ({"climbed": True}, True), (None, True), ({"climbed": False}, False),
    ({"climbed": True, "held": True, "one_hook": True}, True),
])  # fmt: skip
def test_a_hold_test_outlasts_a_climb_that_is_told_to_have_held(told, is_due):
    log = played(told, looks=(look("hold-test", PAWL, "before a climb"),))
    log.look("hold-test", PAWL, "whole", "08:30")
    assert ("hold-test@climb.pawl" in due_keys(log)) is is_due


def test_after_a_climb_and_every_few_climbs():
    yes, no = {"climbed": True, "held": True}, {"climbed": False}
    looks = (
        look("tip", PAWL, "after a climb"),
        look("wear", PAWL, "every 3 climbs"),
        look("hold-test", PAWL, "on arrival"),
    )
    log = played(yes, no, yes, looks=looks)
    for check in ("tip", "wear", "hold-test"):
        log.look(check, PAWL, "whole", "08:00")
    assert due_keys(log) >= {"tip@climb.pawl"} and "wear@climb.pawl" not in due_keys(log)
    log.look("tip", PAWL, "whole", "11:30")
    log.look("hold-test", PAWL, "whole", "11:40")
    assert "tip@climb.pawl" not in due_keys(log) and "wear@climb.pawl" in due_keys(log), (
        "a hold test counts as a climb"
    )
    log.look("wear", PAWL, "whole", "11:50")
    assert "wear@climb.pawl" not in due_keys(log)


@pytest.mark.parametrize("word", ["after a climb", "every 2 climbs", "before a climb"])
def test_what_is_made_for_the_climb_waits_for_one_to_be_planned(word):
    log = played(
        {"climbed": True}, {"climbed": True}, looks=(look("eye", PAWL, word, "once a day"),)
    )
    assert "eye@climb.pawl" in due_keys(log)
    log.add("note", {"text": "no climb this match"}, "12:00", match="fjord/20/1")
    assert "eye@climb.pawl" not in due_keys(log)


def test_due_words_that_count_are_read_with_their_number():
    rules = [
        rule
        for checklist in define(look("eye", PAWL, "every 10 climbs", "every 2 matches")).checklists
        for check in checklist.checks
        if check.id == "eye"
        for rule in check.due
    ]
    assert [(rule.word, rule.every, rule.text) for rule in rules] == [
        ("every N climbs", 10, "every 10 climbs"),
        ("every N matches", 2, "every 2 matches"),
    ]
    for wrong in ("every 0 climbs", "every N climbs", "every 100 climbs", "after climb"):
        assert any(
            "eye" in mistake.place for mistake in define(look("eye", PAWL, wrong)).mistakes
        ), wrong


@pytest.mark.parametrize(
    "more", [{"held": "yes"}, {"slipped": True}, {"one_hook": True}, {"down": "by the card"}]
)
def test_a_debrief_that_contradicts_itself_tells_of_a_climb_that_did_not_hold(more):  # fmt: skip
    log = played({"climbed": "no", **more})
    moment = Moment(log.definitions, log.state(), moment_of("13:00"), None)
    assert [climb.held for climb in moment.climbs] == [False]
