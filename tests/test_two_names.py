"""Changed climb-critical definitions wait: the old ones stay in force, through a restart too, until
two people approve."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pitcrew.domain.climb.approved import in_force
from pitcrew.domain.climb.proposals import definitions_wanted
from pitcrew.domain.logbook.moment import Moment
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, glance, open_pit

CAPTAIN, LEAD, MENTOR = (
    Author("a", "Mira", "captain"),
    Author("b", "Ada", "lead"),
    Author("c", "Vera", "mentor"),
)
DROP, ROPE = "ratchet-drop@climb.ratchet", "rope-wires@climb.rope"
WIRES = (
    'due = ["once a day", "every 10 climbs", "after a fault", "after a hard hit", "after part'
    ' change"]\nmust = true'
)
"""How the list has the broken wires due."""


@pytest.fixture
def pit(tmp_path: Path) -> Iterator[Pit]:
    folder = tmp_path / "pit"
    make_folder(folder, 'event = "fjord"\n', bundled_sheets(), bundled_lists())
    opened = open_pit(folder, fsync=False)
    yield opened
    opened.close()


def edit(pit: Pit, old: str, new: str, file: str = "robots/tern.toml") -> None:
    """Change a file as a student would, and let the laptop notice."""
    path = pit.folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    pit.reload()


def wanted(pit: Pit):
    with pit.reading() as state:
        return definitions_wanted(Moment(pit.definitions, state, pit.clock(), None))


def approve(pit: Pit, *authors: Author, decision: str = "approved") -> None:
    load = wanted(pit)[-1].of
    for author in authors:
        pit.record("approval", {"of": load, "decision": decision}, author)


def strength(pit: Pit) -> float:
    return pit.definitions.robot.parts["climb.ratchet"].specs["tooth_strength"]


def test_nothing_waits_at_first(pit: Pit) -> None:
    assert wanted(pit) == [] and strength(pit) == 3600


def test_a_changed_specification_and_its_limits_wait_for_two_people(pit: Pit) -> None:
    before = pit.definitions.part_checks[DROP].limit
    edit(pit, 'tooth_strength = "3600 N"', 'tooth_strength = "1200 N"')
    assert strength(pit) == 3600 and pit.definitions.part_checks[DROP].limit == before
    lines = wanted(pit)[0].lines
    assert lines[0] == "Climb ratchet: tooth strength 3600 N → 1200 N"
    assert any(
        line.startswith("Drop per tooth (Climb ratchet): watch above 10.92 mm → 0 mm")
        for line in lines
    )
    assert all(line in wanted(pit)[0].text for line in lines)
    approve(pit, CAPTAIN)
    approve(pit, CAPTAIN)
    assert strength(pit) == 3600 and wanted(pit)[0].given == ("Mira",)
    approve(pit, MENTOR)
    assert (
        strength(pit) == 1200
        and pit.definitions.part_checks[DROP].limit != before
        and wanted(pit) == []
    )


def test_through_a_restart_and_beside_the_server(pit: Pit) -> None:
    edit(pit, 'tooth_strength = "3600 N"', 'tooth_strength = "9900 N"')
    assert (
        glance(pit.folder).definitions.robot.parts["climb.ratchet"].specs["tooth_strength"] == 3600
    )
    pit.close()
    again = open_pit(pit.folder, fsync=False)
    assert strength(again) == 3600
    approve(again, CAPTAIN, LEAD)
    assert strength(again) == 9900
    again.close()


def test_a_file_changed_behind_the_laptops_back_is_not_in_force_either(pit: Pit) -> None:
    path = pit.folder / "robots" / "tern.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace(
            'tooth_strength = "3600 N"', 'tooth_strength = "9900 N"'
        ),
        encoding="utf-8",
    )
    assert (
        glance(pit.folder).definitions.robot.parts["climb.ratchet"].specs["tooth_strength"] == 3600
    )


def test_taking_the_mark_away_waits_too(pit: Pit) -> None:
    edit(pit, 'kind = "servo"\nclimb_critical = true', 'kind = "servo"\nclimb_critical = false')
    assert pit.definitions.robot.parts["climb.pawl-servo"].climb_critical
    approve(pit, CAPTAIN, LEAD)
    assert not pit.definitions.robot.parts["climb.pawl-servo"].climb_critical


def test_what_the_path_names_is_critical_marked_or_not(pit: Pit) -> None:
    edit(pit, 'kind = "hook"\nclimb_critical = true', 'kind = "hook"\nclimb_critical = false')
    assert pit.definitions.robot.parts["climb.hook"].climb_critical and not wanted(pit)


def test_a_removed_check_stays_due_until_two_people_let_it_go(pit: Pit) -> None:
    text = (pit.folder / "checklists" / "climb.toml").read_text(encoding="utf-8")
    block = text[
        text.index('[[check]]\nid = "rope-wires"') : text.index('[[check]]\nid = "rope-end"')
    ]
    edit(pit, block, "", "checklists/climb.toml")
    kept = pit.definitions.part_checks[ROPE]
    assert (
        kept.check.ask == "How many broken wires do you count?"
        and kept.check.must
        and kept.limit.answers
    )
    approve(pit, LEAD, MENTOR)
    assert ROPE not in pit.definitions.part_checks


def test_a_weaker_due_rule_and_a_dropped_must_wait(pit: Pit) -> None:
    edit(pit, WIRES, 'due = ["on arrival"]\nmust = false', "checklists/climb.toml")
    check = pit.definitions.part_checks[ROPE].check
    assert check.must and check.for_climb
    approve(pit, LEAD, MENTOR)
    check = pit.definitions.part_checks[ROPE].check
    assert not check.must and not check.for_climb


@pytest.mark.parametrize(
    "old, new, ask",
    [
        (
            'bumpers = "9.2 kg"',
            'bumpers = "1.2 kg"',
            lambda pit: pit.definitions.robot.mass_bumpers == 9.2,
        ),
        (
            'carries = "torque"\nradius = "24 mm"',
            'carries = "torque"\nradius = "90 mm"',
            lambda pit: pit.definitions.robot.hold_path.beside[0].radius == 0.024,
        ),
    ],
)
def test_mass_and_chain_wait(pit: Pit, old: str, new: str, ask) -> None:
    edit(pit, old, new)
    assert ask(pit)
    approve(pit, LEAD, MENTOR)
    assert not ask(pit)


def test_the_teams_factor_waits(pit: Pit) -> None:
    edit(pit, 'event = "fjord"\n', 'event = "fjord"\nclimb_factor = 1.5\n', "pitcrew.toml")
    assert pit.definitions.settings["climb_factor"] is None
    approve(pit, LEAD, MENTOR)
    assert pit.definitions.settings["climb_factor"] == 1.5


def test_what_the_climb_does_not_hang_on_is_in_force_at_once(pit: Pit) -> None:
    edit(pit, 'span = "412 mm"', 'span = "500 mm"')
    assert pit.definitions.robot.parts["lift.chain.left"].specs["span"] == 0.5 and wanted(pit) == []


def test_a_file_put_back_ends_the_waiting(pit: Pit) -> None:
    edit(pit, 'tooth_strength = "3600 N"', 'tooth_strength = "9900 N"')
    edit(pit, 'tooth_strength = "9900 N"', 'tooth_strength = "3600 N"')
    assert wanted(pit) == [] and strength(pit) == 3600


def test_names_for_one_change_are_none_for_the_next(pit: Pit) -> None:
    edit(pit, 'tooth_strength = "3600 N"', 'tooth_strength = "4000 N"')
    load = wanted(pit)[0].of
    edit(pit, 'tooth_strength = "4000 N"', 'tooth_strength = "9900 N"')
    for author in (LEAD, MENTOR):
        pit.record("approval", {"of": load, "decision": "approved"}, author)
    assert strength(pit) == 3600 and len(wanted(pit)) == 1


def test_a_new_part_or_check_is_in_force_at_once(pit: Pit) -> None:
    hook = (
        'id = "climb.second-hook"\nlabel = "Second hook"\nzone = "winch"\nkind ='
        ' "hook"\nclimb_critical = true\nopening = "30 mm"'
    )
    edit(pit, "# --- power and control\n", f"[[part]]\n{hook}\n")
    assert "hook-opening@climb.second-hook" in pit.definitions.part_checks and wanted(pit) == []


def test_a_check_with_two_names_waits_wherever_it_is_made(pit: Pit) -> None:
    path = pit.folder / "checklists" / "pre-match.toml"
    text = path.read_text(encoding="utf-8")
    assert 'id = "chain-slack"' in text
    edit(
        pit,
        'id = "chain-slack"',
        'id = "chain-slack"\ntwo_names = true',
        "checklists/pre-match.toml",
    )
    high = pit.definitions.part_checks["chain-slack@lift.chain.left"].limit.stop_high
    edit(pit, 'span = "412 mm"', 'span = "500 mm"')
    assert pit.definitions.part_checks["chain-slack@lift.chain.left"].limit.stop_high == high
    assert wanted(pit) != []


def test_held_definitions_of_an_older_form_block_the_climb_and_stop_nothing(pit: Pit) -> None:
    """A log begun before the form changed names the thing, but not all of it: what cannot be read
    counts as missing."""
    older = {"id": "robot:tern", "before": None, "after": {"mass": 60.0}}
    with pit.reading() as state:
        first = state.loads[0]
        kept, first.body.changes = first.body.changes, [older]
        found = in_force(pit.definitions, state)
        first.body.changes = kept
    assert found.climb_blocked
    assert "older form" in found.mistakes[-1].sentence
    assert not pit.definitions.climb_blocked


@pytest.mark.parametrize(
    "old, new, file, said",
    [
        (
            'bumpers = "9.2 kg"',
            'bumpers = "1.2 kg"',
            "robots/tern.toml",
            "Robot tern: mass bumpers 9.2 kg → 1.2 kg. ",
        ),
        (
            'carries = "torque"\nradius = "24 mm"',
            'carries = "torque"\nradius = "30 mm"',
            "robots/tern.toml",
            "Robot tern: hold path beside Drum bolts (torque) radius 24 mm → 30 mm.",
        ),
        (
            'kind = "servo"\nclimb_critical = true',
            'kind = "servo"\nclimb_critical = false',
            "robots/tern.toml",
            "Pawl servo: removed or not marked any more. ",
        ),
        (
            WIRES,
            'due = ["every 3 matches"]\nmust = false',
            "checklists/climb.toml",
            (
                "Broken wires (Climb rope): due once a day, every 10 climbs, after a fault, after a"
                " hard hit, after part change → every 3 matches, must yes → no"
            ),
        ),
    ],
)
def test_whoever_approves_reads_what_changes_with_its_units(
    pit: Pit, old: str, new: str, file: str, said: str
) -> None:
    edit(pit, old, new, file)
    assert said in wanted(pit)[0].text
