"""What the hold path itself holds against a climb: no path, no device, one that sinks, too little,
not stated, not looked at."""

from dataclasses import replace

import pytest

from pitcrew.domain.climb.hold import hold_path_of
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.pathlacks import path_lacks, why_not_inspected
from pitcrew.domain.holding.links import LastReading, Measured
from pitcrew.domain.logbook.moment import Moment
from tests.domain.climber import CLIMBS, PATH, climber
from tests.domain.folded import LOOKS, SHEET, Log, define, moment_of

BARE = CLIMBS.replace(
    'part = "climb.bar"\nstrength = "20 kN"\nmaterial = "metal"\n', 'part = "climb.bar"\n'
)
"""No one can compute what breaks the bar: it is inspected."""
GOOD, CRACK = "no dent, crack or moved mark", "a dent, a crack or a moved mark"
"""What a proof load may show."""


def lacks(log: Log, now: str = "10:00") -> list[str]:
    return [
        item.text
        for item in path_lacks(
            Moment(log.definitions, log.state(), moment_of(now), None), None, moment_of(now)
        )
    ]


def test_a_path_with_all_that_it_needs_lacks_nothing():
    assert lacks(Log(climber())) == []


def test_a_planned_climb_without_a_hold_path_says_what_to_do():
    (told,) = lacks(Log(define(*LOOKS, sheet=SHEET)))
    assert "no [hold_path] table" in told and "climb_planned = false" in told


def test_a_missing_hold_path_is_told_once():
    log = Log(define(*LOOKS, sheet=SHEET))
    (mistake,) = (item for item in log.definitions.mistakes if item.place == "hold_path")
    moment = Moment(log.definitions, log.state(), moment_of("10:00"), None)
    told = [item.text for item in missing_for_climb(moment) if "hold_path" in item.text]
    assert mistake.climb and len(told) == 1, told


@pytest.mark.parametrize("old, new, told", [
    ('holds = "pin"\n', "", "Hold path, not stated: what holds without power."),
    ('holds = "pin"\n', 'holds = "motor-brake"\n', "sinks: keep clear"), ('holds = "pin"\n', 'holds = "none"\n', "keep clear"),
    ('swing = "0 deg"\n', "", "not stated: swing angle"),
    ('deflection = "10 mm"\n', "", "give from bar to drum at the top."),
    ('strength = "20 kN"', 'strength = "2 kN"', "Climb bar: factor 3.17, needs 4."),
])  # fmt: skip
def test_each_thing_that_counts_against_it_is_told_by_name(old, new, told):
    assert old in CLIMBS
    found = lacks(Log(climber(sheet=CLIMBS.replace(old, new, 1))))
    assert any(told in text for text in found), found


def inspected(log: Log, now: str = "10:00") -> str:
    moment = Moment(log.definitions, log.state(), moment_of(now), None)
    (link,) = hold_path_of(moment).uncomputed
    assert (
        f"{link.name}, not computed: {why_not_inspected(moment, link)}." in lacks(log, now)
    ) is bool(why_not_inspected(moment, link))
    return why_not_inspected(moment, link)


def proof(log: Log, answer: str, at: str) -> None:
    """A proof load of the bar at home: 1.5 times the robot and more, for a minute."""
    reading = log.read("path-proof", "climb.bar", 100, at)
    reading.body["inputs"] |= {
        "time": {"typed": "60", "value": 60, "unit": "s"},
        "seen": {"typed": answer, "value": answer, "unit": None},
    }


def barred() -> Log:
    """A robot whose bar has no numbers, with matches at 11:00 and 13:00. The look at it comes from
    the path."""
    log = Log(climber(sheet=BARE))
    log.run("3", "11:00")
    log.run("4", "13:00")
    return log


def test_a_link_without_numbers_wants_somebody_to_look_at_it():
    log = barred()
    assert inspected(log) == "nobody has looked at it"
    log.look("path-look", "climb.bar", at="09:30")
    assert inspected(log) == ""


@pytest.mark.parametrize("answer, told", [("something", "stop"), ("cannot see", "unjudged")])
def test_only_a_look_that_is_ok_counts(answer, told):
    log = barred()
    log.look("path-look", "climb.bar", answer, "09:30")
    assert inspected(log).startswith(told)


@pytest.mark.parametrize("act, told", [
    (lambda log: None, "not done since"),
    (lambda log: log.add("debrief", {"answers": {"climbed": "no"}}, "11:10", match="fjord/3/1"), ""),
    (lambda log: log.add("debrief", {"answers": {"climbed": "no", "hard_hit": "yes"}}, "11:10", match="fjord/3/1"), "hit"),
    (lambda log: log.add("debrief", {"answers": {"climbed": "yes", "held": "yes"}}, "11:10", match="fjord/3/1"), "not done since"),
    (lambda log: log.add("part_change", {"part": "climb.bar", "identical": True}, "10:30"), "changed"),
])  # fmt: skip
def test_a_look_counts_until_the_next_climb_hit_or_repair(act, told):
    log = barred()
    log.look("path-look", "climb.bar", at="09:30")
    act(log)
    if "changed" in told:
        log.add("debrief", {"answers": {"climbed": "no"}}, "11:10", match="fjord/3/1")
    assert told in inspected(log, "12:00") and bool(inspected(log, "12:00")) is bool(told)


def test_and_no_longer_than_its_day():
    log = barred()
    log.look("path-look", "climb.bar", at="6 09:30")
    assert inspected(log, "7 08:00") == "not done today"


def test_a_proof_load_counts_until_it_is_changed_or_hit():
    log = barred()
    proof(log, GOOD, "1 09:30")
    assert inspected(log, "12:00") == "", "over days and climbs"
    log.look("path-look", "climb.bar", "something", "12:10")
    assert inspected(log, "12:20").startswith("stop"), "what somebody sees counts more"
    for act in (
        lambda log: log.add("part_change", {"part": "climb.bar", "identical": True}, "10:00"),
        lambda log: log.move(log.fault("climb.bar", at="09:40"), "repaired", "10:00"),
        lambda log: log.add("debrief", {"answers": {"tipped": "yes"}}, "11:10", match="fjord/3/1"),
    ):
        log = barred()
        proof(log, GOOD, "09:30")
        act(log)
        assert inspected(log, "12:00") == "nobody has looked at it"


@pytest.mark.parametrize("hung, weighs, told", [
    (100, None, ""), (96.6, None, ""),  # 52 + 6.6 + 5.8 = 64.4 kg as stated; 1.5 times is 96.6 kg
    (100, 66, ""), (100, 85, "(100 kg of 127.5 kg)"),
])  # fmt: skip
def test_a_proof_load_covers_no_robot_that_is_too_heavy_for_it(hung, weighs, told, monkeypatch):
    """1.5 times the robot as it climbs: the larger of the sheet's weight and the last weighing."""
    log = barred()
    proof(log, GOOD, "1 09:30")
    log.entries[-1].body["inputs"]["load"] |= {"typed": f"{hung}", "value": hung}
    if weighs:
        taken = Measured({("", "mass"): LastReading(weighs, moment_of("08:00"))})
        monkeypatch.setattr("pitcrew.domain.climb.hold.measured_by", lambda *_: taken)
    assert told in inspected(log, "12:00") and bool(inspected(log, "12:00")) is bool(told)
    log.look("path-look", "climb.bar", at="11:40")
    assert inspected(log, "11:50") == "", "a look counts for a heavier robot as well"


def test_a_proof_load_that_cracked_it_is_not_mended_by_looking():
    log = barred()
    proof(log, CRACK, "09:30")
    log.look("path-look", "climb.bar", at="09:40")
    assert inspected(log).startswith("stop")
    log.add("part_change", {"part": "climb.bar", "identical": True}, "09:50")
    log.look("path-look", "climb.bar", at="09:55")
    assert inspected(log) == ""


def test_only_a_proof_load_without_a_mark_counts():
    log = barred()
    proof(log, "cannot see", "09:30")
    assert inspected(log) == "nobody has looked at it"


def test_what_no_check_looks_at_is_named():
    log = barred()
    log.look("path-look", "climb.bar", at="09:30")
    checks = {
        key: item
        for key, item in log.definitions.part_checks.items()
        if item.check.id != "path-look"
    }
    log.definitions = replace(log.definitions, part_checks=checks)
    assert inspected(log) == "no check looks at it" and "hold_path" in PATH
