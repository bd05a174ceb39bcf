"""A team's own factor below the lifting rule: two names and a reason, under 3.5 one of them a
mentor's, never under 2."""

import pytest

from pitcrew.domain.climb.approved import in_force
from pitcrew.domain.climb.critical import changes_since, critical_facts
from pitcrew.domain.climb.hold import hold_path_of
from pitcrew.domain.climb.lowered import below_rule
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.proposals import definitions_wanted
from pitcrew.domain.climb.report import clearance_report
from pitcrew.domain.climb.rules import RULES
from pitcrew.domain.logbook.moment import Moment
from tests.domain.climber import CLIMBS, climber
from tests.domain.folded import Log, moment_of

CORD = CLIMBS.replace(
    'strength = "20 kN"\nmaterial = "metal"', 'strength = "2.9 kN"\nmaterial = "textile"', 1
)
"""The first link is webbing that holds 4.6 times what hangs on it: the rule wants 7 (2006/42/EC,
annex I, 4.1.2.5, from memory)."""


def with_factor(factor: str, reason: str = "sewn at home, pulled to 3 kN") -> str:
    return CORD.replace(
        "[hold_path]\n", f'[hold_path]\nlower_factor = {factor}\nlower_factor_reason = "{reason}"\n'
    )


def loaded(*sheets: str) -> Log:
    """A log into which the laptop has loaded these build sheets, one after the other."""
    log, known = Log(climber(sheet=sheets[-1])), {}
    for sheet in sheets:
        facts = critical_facts(climber(sheet=sheet))
        log.add(
            "definitions",
            {"digests": {}, "changes": changes_since(known, facts), "rules": RULES},
            "09:00",
        )
        known |= {name: None for name in known} | facts
    return log


def moment(log: Log) -> Moment:
    state = log.state()
    return Moment(in_force(log.definitions, state), state, moment_of("10:00"), None)


def approve(log: Log, *people: tuple[str, str]) -> None:
    load = next(entry for entry in reversed(log.entries) if entry.kind == "definitions")
    for person, role in people:
        log.add(
            "approval",
            {"of": load.id, "decision": "approved", "role": role},
            "09:30",
            person=person,
        )


def needs(log: Log) -> float:
    return next(
        link.required for link in hold_path_of(moment(log)).links if link.name == "Climb bar"
    )


@pytest.mark.parametrize(
    "sheets",
    [(with_factor("4"),), (CORD, with_factor("4")), (with_factor("3.9"), with_factor("4"))],
)
def test_it_counts_for_nothing_before_two_people_stand_by_it_not_even_in_a_new_file(sheets):
    log = loaded(*sheets)
    assert needs(log) == 7 and below_rule(hold_path_of(moment(log))) == ""
    approve(log, ("Ada", "lead"))
    assert needs(log) == 7 and any(
        "own lower factor" in item.text for item in missing_for_climb(moment(log))
    )
    approve(log, ("Bo", "captain"))
    assert needs(log) == 4
    assert not any("own lower factor" in item.text for item in missing_for_climb(moment(log)))
    said = "below the lifting rule (4 of 7): nobody within a robot's length until it is supported"
    assert below_rule(hold_path_of(moment(log))) == said


@pytest.mark.parametrize("factor, people, counts", [
    ("3.5", (("Ada", "lead"), ("Bo", "captain")), True), ("3.4", (("Ada", "lead"), ("Bo", "captain")), False),
    ("3.4", (("Ada", "lead"), ("Bo", "captain"), ("Vera", "mentor")), True), ("3.4", (("Vera", "mentor"), ("Bo", "captain")), True),
    ("3.4", (("Vera", "mentor"),), False), ("3.4", (("Vera", "mentor"), ("Vera", "lead")), False),
])  # fmt: skip
def test_far_below_the_rule_one_of_the_two_is_a_mentor(factor, people, counts):
    log = loaded(with_factor(factor))
    assert ("One of the two is a mentor" in definitions_wanted(moment(log))[0].text) is (
        float(factor) < 3.5
    )
    approve(log, *people)
    assert (needs(log) == float(factor)) is counts


@pytest.mark.parametrize(
    "then", [with_factor("3.6"), with_factor("5"), with_factor("4", "another reason"), CORD]
)
def test_once_it_is_changed_the_rule_counts_again(then):
    log = loaded(with_factor("4"))
    approve(log, ("Ada", "lead"), ("Bo", "captain"))
    again = loaded(with_factor("4"), then)
    log.definitions = again.definitions
    log.add("definitions", again.entries[-1].body, "09:40")
    assert needs(log) == 7


def test_a_file_changed_behind_the_laptops_back_lowers_nothing():
    log = loaded(with_factor("4"))
    approve(log, ("Ada", "lead"), ("Bo", "captain"))
    log.definitions = climber(sheet=with_factor("3"))
    assert needs(log) == 4 and any(
        "has not loaded yet" in mistake.found for mistake in moment(log).definitions.mistakes
    )


@pytest.mark.parametrize("factor", ["1.9", "1", "0"])
def test_never_under_two(factor):
    definitions = climber(sheet=with_factor(factor))
    assert definitions.robot.hold_path.lower_factor is None
    assert any(
        "lower_factor" in mistake.place and mistake.climb for mistake in definitions.mistakes
    )


def test_it_never_lowers_the_factors_of_what_moves():
    log = loaded(with_factor("2"))
    approve(log, ("Vera", "mentor"), ("Bo", "captain"))
    rows = [link for link in hold_path_of(moment(log)).links if link.kind != "hold"]
    assert rows and all(link.required and link.required >= 2 for link in rows)


def test_the_page_says_what_it_changes():
    log = loaded(CORD, with_factor("4"))
    assert definitions_wanted(moment(log))[0].lines == (
        (
            "The team's own lower factor, robot tern: lower factor nothing → 4, lower factor reason"
            " nothing → sewn at home, pulled to 3 kN"
        ),
        "Climb bar: factor 4.59, needs 7 → 4",
    )


def test_a_pin_reset_takes_back_an_approved_definition_and_shows_it_again():
    log = loaded(CORD, with_factor("4"))
    approve(log, ("Bo", "captain"), ("Cleo", "mentor"))
    assert needs(log) == 4
    log.add("access", {"what": "pin_reset", "person": "Cleo", "by": "Ada"}, "09:40")
    assert needs(log) > 4 and [item.given for item in definitions_wanted(moment(log))] == [("Bo",)]
    assert any("waits for two names" in item.text for item in missing_for_climb(moment(log)))


def test_a_check_that_no_one_may_do_is_gone_without_anyone_letting_it_go() -> None:
    """Earlier lists hung the robot on a luggage scale; its check left the climb by itself."""
    before = {f"check:otter/{check}@climb.rope": {} for check in ("rope-pull", "look")}
    found = changes_since(before, {"robot:otter": {}})
    assert [change["id"] for change in found if change["after"] is None] == [
        "check:otter/look@climb.rope"
    ]


def test_the_command_names_the_check_that_looks_at_what_is_not_computed() -> None:
    seen = moment(loaded(CLIMBS.replace('strength = "20 kN"\n', "", 1)))
    looked = {link.name: link.inspection_key for link in hold_path_of(seen).links}
    assert {bool(key) for key in looked.values()} == {True, False}
    links = clearance_report(seen)["links"]
    assert {link["name"]: link["inspection_key"] for link in links} == {
        name: key or None for name, key in looked.items()
    }
