"""Whatever is left out of a build sheet never makes its climb look better: no factor rises, and
what is missing is missing by name."""

import copy
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from pitcrew.base.paths import ROOT
from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.links import HoldPath, Link
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from tests.domain.holding.sheets import part, robot_of, step, table

SHEETS = sorted((ROOT / "checklists" / "robots").glob("*.toml"))
PLAIN = ("id", "kind", "label", "zone", "part", "name", "with", "carries", "holds", "hands_on")
"""Keys that say which part it is and where it stands; without one of them it is another path."""


def computed(sheet: dict[str, Any]) -> HoldPath | None:
    """The path of a sheet that has no mistake; one with a mistake blocks by that."""
    robot, mistakes = parse_build_sheet(sheet, "robots/some.toml")
    if robot is None or any(not mistake.notice for mistake in mistakes):
        return None
    return hold_path(robot, read_settings({})[0])


def row_of(path: HoldPath, kind: str) -> Link | None:
    """The row of a kind, whatever link it is told of."""
    return next((link for link in path.links if link.kind == kind), None)


def without_one(sheet: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The sheet without one of its numbers at a time, of the parts on or beside the path and of the
    path's own tables."""
    path = sheet["hold_path"]
    on_path = {item.get("part") for item in (*path["step"], *path.get("beside", []))}
    for number, made in enumerate(sheet["part"]):
        if made["id"] in on_path:
            for key in made.keys() - set(PLAIN):
                other = copy.deepcopy(sheet)
                del other["part"][number][key]
                yield f"{made['id']}, {key}", other
    for name in ("step", "beside"):
        for number, item in enumerate(path.get(name, [])):
            for key in item.keys() - set(PLAIN):
                other = copy.deepcopy(sheet)
                del other["hold_path"][name][number][key]
                yield f"{name} {number + 1}, {key}", other
    for key, value in path.items():
        for inner in [None] if not isinstance(value, dict) else value:
            if not isinstance(value, list):
                other = copy.deepcopy(sheet)
                if inner is None:
                    del other["hold_path"][key]
                else:
                    del other["hold_path"][key][inner]
                yield f"hold_path, {key} {inner or ''}", other


@pytest.mark.parametrize("file", SHEETS, ids=lambda file: file.stem)
def test_leaving_one_number_out_never_helps(file: Any) -> None:
    sheet = tomllib.loads(file.read_text(encoding="utf-8"))
    whole = computed(sheet)
    assert whole is not None
    before = {link.name: link for link in whole.links}
    tried = 0
    for what, other in without_one(sheet):
        path = computed(other)
        if path is None:
            continue
        tried += 1
        after = {link.name: link for link in path.links}
        for name, link in after.items():
            if name in before and link.factor is not None:
                old = before[name].factor
                assert old is not None and link.factor <= old * (1 + 1e-9), (what, name)
        for kind in ("catch", "swing", "stall", "second"):
            old, new = row_of(whole, kind), row_of(path, kind)
            if old and new and new.factor is not None and "Worst" in new.name:
                assert old.factor is not None and new.factor <= old.factor * (1 + 1e-9), what
        if not path.not_stated:  # a link without its strength is looked at instead, each by name
            assert {link.kind for link in whole.links} <= {link.kind for link in path.links}, what
            assert {link.part for link in whole.links} <= {link.part for link in path.links}, what
    assert tried > 15


def test_a_path_of_which_nothing_is_computed_still_asks_for_the_fall_the_swing_and_the_stop() -> (
    None
):
    """Without one strength there is no weakest link to report, and no row may vanish for it."""
    hook = part("a.hook", "hook", opening="50 mm")
    pin = part("a.pin", "pin", diameter="8 mm")
    steps = (table("", hold_time="10 s"), step("a.hook"), step("a.pin", holds="pin"))
    bare = hold_path(robot_of(hook, pin, *steps), read_settings({})[0])
    strong = part("a.hook", "hook", opening="50 mm", strength="4500 N")
    known = hold_path(robot_of(strong, pin, *steps), read_settings({})[0])
    assert set(known.not_stated) <= set(bare.not_stated) and known.not_stated
    assert {link.kind for link in known.links} == {link.kind for link in bare.links}


SHAFT = {"shape": "round", "size": "12 mm", "yield_strength": "400 MPa", "span": "60 mm"}
PIN = {"diameter": "8 mm", "planes": 2, "plate": "5 mm", "yield_strength": "400 MPa"}
TURNED = (
    part(
        "a.rope",
        "cord",
        diameter="4 mm",
        fiber="polyester",
        strength="9 kN",
        sheave="80 mm",
        knot="none",
    ),
    part("a.drum", "drum", diameter="80 mm", torque_strength="300 N*m"),
    part("a.wheel", "ratchet", teeth=24, pawl_radius="42 mm", tooth_strength="9 kN", width="30 mm"),
    table("", latency="0 s", fall_speed="0 m/s", swing="0 deg", deflection="9 mm"),
    table("motor", count=0),
    table("second", count=1),
    step("a.rope"),
    step("a.drum", hands_on="drum", layers=1),
)


@pytest.mark.parametrize("key", [key for key in SHAFT if key != "span"])
def test_a_shaft_that_lacks_one_of_its_numbers_is_not_merely_looked_at(key: str) -> None:
    specs = {name: value for name, value in SHAFT.items() if name != key}
    shaft = part("a.shaft", "shaft", **specs)
    steps = (*TURNED, step("a.shaft"), step("a.wheel", holds="ratchet"))
    robot = robot_of(shaft, *steps)
    assert any("a.shaft" in name for name in hold_path(robot, read_settings({})[0]).not_stated)


def test_a_shaft_without_its_span_leaves_no_row_called_the_worst() -> None:
    """Its bending is 0.893 of what it bears in the catch; without the span no one computes that,
    and the next link's 1.159 is not the worst."""
    end = step("a.wheel", holds="ratchet")
    whole = robot_of(part("a.shaft", "shaft", **SHAFT), *TURNED, step("a.shaft"), end)
    bare = {name: value for name, value in SHAFT.items() if name != "span"}
    less = robot_of(part("a.shaft", "shaft", **bare), *TURNED, step("a.shaft"), end)
    settings = read_settings({})[0]
    before, after = (row_of(hold_path(robot, settings), "catch") for robot in (whole, less))
    assert before and after and before.name == "Worst catch: a.shaft, bending"
    assert after.name == "Catch: a.shaft, twist" and "a.shaft, bending" in after.because
    names = {link.name for link in hold_path(less, settings).uncomputed}
    assert "a.shaft, bending" in names, "somebody looks at it"


@pytest.mark.parametrize("key", PIN)
def test_a_pin_that_lacks_one_of_its_numbers_is_not_merely_looked_at(key: str) -> None:
    specs = {name: value for name, value in PIN.items() if name != key}
    pin = part("a.pin", "pin", spacing="5 mm", **specs)
    robot = robot_of(pin, TURNED[0], TURNED[3], step("a.rope"), step("a.pin", holds="pin"))
    assert any("a.pin" in name for name in hold_path(robot, read_settings({})[0]).not_stated)
