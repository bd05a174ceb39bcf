"""Where a sheet says two things, or leaves one out, the worse counts and is named."""

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.checks.definitions import build_definitions
from pitcrew.domain.holding.path import hold_path
from tests.domain.holding.sheets import (
    QUIET,
    STILL,
    part,
    robot_of,
    row,
    step,
    table,
)

HOOK = part("a.hook", "hook", opening="40 mm", strength="9 kN")
ROPE = part(
    "a.rope",
    "wire-rope",
    diameter="3.175 mm",
    construction="7x19",
    material="carbon",
    termination="sleeve",
    sheave="64 mm",
)
DRUM = part("a.drum", "drum", diameter="64 mm", torque_strength="300 N*m")
WHEEL = part(
    "a.ratchet",
    "ratchet",
    teeth=24,
    pawl_radius="33 mm",
    tooth_strength="4 kN",
    width="25 mm",
)
TOP = table("", **QUIET, deflection="9 mm")
DOWN = (
    step("a.hook"),
    step("a.rope"),
    step("a.drum", hands_on="drum", layers=1),
    step("a.ratchet", holds="ratchet"),
)
WINCH = (HOOK, ROPE, DRUM, WHEEL, TOP, STILL, *DOWN)


def test_a_catch_factor_under_two_is_raised_and_said() -> None:
    """The factor 2 in a catch is ours; a file of last year with less still loads, and 2 counts."""
    settings, (said,) = read_settings({"catch_factor": 1.0})
    assert settings["catch_factor"] == 2 and said.notice and "2 counts" in said.wanted
    assert row(hold_path(robot_of(*WINCH), settings), "catch").required == 2
    assert row(hold_path(robot_of(*WINCH), settings), "swing").required == 2
    made = build_definitions({"catch_factor": 1.5}, {}, {})
    assert any(item.place == "catch_factor" for item in made.notices)
    assert not any(item.place == "catch_factor" for item in made.mistakes)


@pytest.mark.parametrize("value", [0.5, 21, True, "two"])
def test_what_no_file_could_ever_hold_stays_a_mistake(value: object) -> None:
    settings, (wrong,) = read_settings({"catch_factor": value})
    assert settings["catch_factor"] == 2 and not wrong.notice
