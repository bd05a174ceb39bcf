"""The pit folder's files together: which robot plays, ids across lists, mistakes that block the
climb."""

import tomllib
from typing import Any

import pytest

from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.robot.mistakes import Mistake

ROBOT = """
[robot]
label = "{name}"
length = "820 mm"
width = "720 mm"
[robot.mass]
chassis = "52 kg"
bumpers = "9 kg"
battery = "6 kg"
[[zone]]
id = "mast"
label = "Mast"
box = [31, 30, 38, 30]
[[part]]
id = "climb.hook"
label = "Hook"
zone = "mast"
kind = "hook"
opening = "40 mm"
"""
LIST = """
[checklist]
name = "list"
label = "A list"
[[check]]
id = "hook-look"
kind = "hook"
label = "Hook"
ask = "Bent?"
minutes = 1
power = "off"
due = ["every match"]
[[check.input]]
name = "bent"
kind = "yes_no"
options = { yes = "stop", no = "ok" }
"""


def build(
    settings: dict[str, Any] | None = None,
    robots: dict[str, str] | None = None,
    lists: dict[str, str] | None = None,
    early: tuple[Mistake, ...] = (),
) -> Definitions:
    sheets = {"gannet": ROBOT} if robots is None else robots
    texts = {"list": LIST} if lists is None else lists
    return build_definitions(
        {"climb_planned": False} | (settings or {}),
        {
            f"robots/{name}.toml": tomllib.loads(text.replace("{name}", name))
            for name, text in sheets.items()
        },
        {f"checklists/{name}.toml": tomllib.loads(text) for name, text in texts.items()},
        early,
        {"pitcrew.toml": "00"},
    )


def test_right_files_make_checks_by_key() -> None:
    definitions = build()
    assert definitions.mistakes == [] and not definitions.climb_blocked
    assert list(definitions.part_checks) == ["hook-look@climb.hook"] and definitions.digests == {
        "pitcrew.toml": "00"
    }


def test_the_first_robot_by_name_plays_unless_the_settings_name_one() -> None:
    both = {"puffin": ROBOT, "gannet": ROBOT}
    playing = build(robots=both).robot
    assert playing is not None and playing.name == "gannet"
    named = build({"robot": "puffin"}, both)
    assert (
        named.robot is not None
        and named.robot.name == "puffin"
        and set(named.robots) == {"gannet", "puffin"}
    )


def test_a_robot_that_the_settings_misname_is_a_mistake_and_none_is_guessed() -> None:
    definitions = build({"robot": "gannt"})
    (mistake,) = definitions.mistakes
    assert definitions.robot is None and definitions.part_checks == {} and definitions.climb_blocked
    assert (mistake.file, mistake.place, mistake.nearest) == ("pitcrew.toml", "robot", "gannet")


def test_no_build_sheet_at_all_blocks_the_climb() -> None:
    definitions = build(robots={})
    assert (
        definitions.robot is None
        and definitions.climb_blocked
        and "a build sheet" in definitions.mistakes[0].sentence
    )


def test_a_check_id_in_two_lists_is_a_mistake_and_the_first_stays() -> None:
    definitions = build(lists={"a": LIST, "b": LIST.replace("Bent?", "Broken?")})
    (mistake,) = definitions.mistakes
    assert (
        mistake.file == "checklists/b.toml" and "checklists/a.toml has it too" in mistake.sentence
    )
    assert definitions.part_checks["hook-look@climb.hook"].check.ask == "Bent?"


@pytest.mark.parametrize(
    ("settings", "blocked"),
    [({"paper": "A3"}, False), ({"climb_factor": 0.5}, True), ({"slip": "10"}, True)],
)
def test_settings_that_the_climb_hangs_on_block_it(settings: dict[str, Any], blocked: bool) -> None:
    definitions = build(settings)
    assert len(definitions.mistakes) == 1 and definitions.climb_blocked is blocked


def test_a_mistake_in_a_list_on_a_climb_critical_part_blocks_the_climb() -> None:
    critical = ROBOT.replace('kind = "hook"', 'kind = "hook"\nclimb_critical = true')
    wrong = LIST + '[check.limit]\nstop_high = "part.opening"\n'
    plain, dangerous = (
        build(lists={"list": wrong}),
        build(robots={"gannet": critical}, lists={"list": wrong}),
    )
    assert plain.mistakes and dangerous.climb_blocked


def test_mistakes_of_reading_the_files_are_kept() -> None:
    early = Mistake("checklists/climb.toml", "line 3", "nonsense", "TOML", climb=True)
    definitions = build(early=(early,))
    assert definitions.mistakes == [early] and definitions.climb_blocked


def test_lost_checks_are_named() -> None:
    definitions = build(lists={"list": LIST.replace('ask = "Bent?"\n', "")})
    assert (
        definitions.lost == ("hook-look",)
        and definitions.part_checks == {}
        and definitions.climb_blocked
    )
