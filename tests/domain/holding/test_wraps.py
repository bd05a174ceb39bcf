"""The turns that stay on a drum when the robot is all the way down."""

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.names import climb_names
from pitcrew.domain.holding.path import hold_path
from tests.domain.holding.sheets import part, robot_of, step, table

WIRE = {
    "diameter": "3.175 mm",
    "construction": "7x19",
    "material": "carbon",
    "termination": "sleeve",
}
CORD = {"diameter": "4 mm", "knot": "none", "sheave": "80 mm"}


@pytest.mark.parametrize(
    "rope, turns",
    [
        (part("a.rope", "wire-rope", sheave="80 mm", **WIRE), 2),
        (part("a.rope", "cord", fiber="polyester", **CORD), 4),
        (part("a.rope", "cord", fiber="hmpe", **CORD), 8),
        (part("a.rope", "cord", fiber="aramid", **CORD), 8),
        (part("a.rope", "cord", **CORD), 8),
        ("", 8),
    ],
    ids=["wire", "polyester", "hmpe", "aramid", "fiber not stated", "no rope"],
)
def test_a_drum_keeps_the_turns_that_its_rope_needs(rope: str, turns: int) -> None:
    """ASME B30.7: 2 of wire rope; a rope maker's winding instructions: 4 of nylon and polyester, 8
    of HMPE. What is not stated, or has no published number, counts as the most."""
    first = step("a.rope") if rope else step("a.drum", hands_on="drum", layers=1)
    texts = (rope, part("a.drum", "drum", diameter="80 mm"), table(""), first)
    robot = robot_of(*texts)
    assert climb_names(robot, hold_path(robot, read_settings({})[0]))["climb.wraps"][0] == turns


def test_of_two_ropes_the_one_that_needs_more_counts() -> None:
    both = (
        part("a.rope", "wire-rope", sheave="80 mm", **WIRE),
        part("a.cord", "cord", fiber="nylon", **CORD),
    )
    robot = robot_of(*both, table(""), step("a.rope"), step("a.cord"))
    assert climb_names(robot, hold_path(robot, read_settings({})[0]))["climb.wraps"][0] == 4
