"""A climb that is planned wants a hold path, something that holds without power, and its hold test;
each lack is a mistake."""

import tomllib

import pytest

from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks.definitions import build_definitions

SHEET = (CHECKLISTS / "robots" / "tern.toml").read_text(encoding="utf-8")
LISTS = {
    f"checklists/{path.name}": tomllib.loads(path.read_text(encoding="utf-8"))
    for path in CHECKLISTS.glob("*.toml")
}
BARE = SHEET[: SHEET.index("[hold_path]")] + SHEET[SHEET.index("# --- power and control") :]


@pytest.mark.parametrize(
    "sheet, lists, place, found",
    [
        (BARE, LISTS, "hold_path", "nothing"),
        (SHEET.replace('\nholds = "ratchet"', ""), LISTS, "hold_path.step 5, holds", "nothing"),
        (
            SHEET.replace('holds = "ratchet"', 'holds = "none"'),
            LISTS,
            "hold_path.step 5, holds",
            '"none"',
        ),
        (SHEET, {}, "hold_path.step 5, holds", "no hold test of Climb ratchet"),
    ],
)
def test_what_a_planned_climb_lacks_is_a_mistake(
    sheet: str, lists: dict, place: str, found: str
) -> None:
    planned = build_definitions({}, {"robots/tern.toml": tomllib.loads(sheet)}, lists)
    (mistake,) = planned.mistakes
    assert (mistake.place, mistake.found, mistake.climb) == (
        place,
        found,
        True,
    ) and "climb_planned = false" in mistake.wanted
    never = build_definitions(
        {"climb_planned": False}, {"robots/tern.toml": tomllib.loads(sheet)}, lists
    )
    assert never.mistakes == []


def test_the_example_lacks_nothing() -> None:
    assert build_definitions({}, {"robots/tern.toml": tomllib.loads(SHEET)}, LISTS).mistakes == []


def test_a_motor_in_brake_mode_is_an_answer_and_told_that_it_is_never_cleared() -> None:
    sheet = SHEET.replace('holds = "ratchet"', 'holds = "motor-brake"')
    planned = build_definitions({}, {"robots/tern.toml": tomllib.loads(sheet)}, LISTS)
    assert planned.mistakes == []
    (told,) = [notice for notice in planned.notices if notice.found == '"motor-brake"']
    assert "never cleared" in told.wanted
