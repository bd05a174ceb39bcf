"""Any path: each step carries what virtual work says, and no worse fact, no second number and
nothing left out ever makes it look better."""

import copy
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.links import HoldPath
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from tests.domain.holding.random_paths import Made, random_path
from tests.domain.holding.test_left_out import without_one
from tests.domain.holding.test_properties import never_raised, ready

SETTINGS = read_settings({})[0]
FEW, MANY = range(40), range(40, 1500)
LENGTHS = ("diameter", "length", "pawl_radius", "sheave", "deflection", "radius")


def path_of(sheet: dict[str, Any]) -> HoldPath | None:
    """The path of a sheet; None where the sheet has a mistake, which blocks the climb by itself."""
    robot, mistakes = parse_build_sheet(sheet, "robots/any.toml")
    if robot is None or any(not mistake.notice for mistake in mistakes):
        return None
    return hold_path(robot, SETTINGS)


def at_rest(path: HoldPath, name: str) -> list[float | None]:
    return [link.load for link in path.links if link.name == name and link.kind == "hold"]


def carries_what_statics_says(seed: int) -> None:
    made = random_path(seed)
    path = path_of(tomllib.loads(made.sheet()))
    assert path is not None and path.loads is not None, made.sheet()
    for name, load in made.loads.items():
        if found := at_rest(path, name):
            assert found == pytest.approx([load] * len(found), rel=1e-6), (name, made.sheet())
    assert sum(bool(at_rest(path, name)) for name in made.loads) >= 2


def worse_facts(made: Made, sheet: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The sheet with one fact that can only be worse."""
    heavier = copy.deepcopy(sheet)
    heavier["robot"]["mass"]["chassis"] = f"{made.mass * 1.3} kg"
    yield "heavier", heavier
    for key, value in (("latency", "0.3 s"), ("fall_speed", "0.5 m/s"), ("swing", "25 deg")):
        longer = copy.deepcopy(sheet)
        longer["hold_path"][key] = value
        yield key, longer
    for number, step in enumerate(sheet["hold_path"]["step"]):
        if step.get("hands_on") == "drum":
            layered = copy.deepcopy(sheet)
            layered["hold_path"]["step"][number]["layers"] += 1
            yield "layers", layered
        if step.get("equaliser"):
            alone = copy.deepcopy(sheet)
            alone["hold_path"]["step"][number]["equaliser"] = False
            yield "no equalizer", alone
        if step.get("hands_on") in ("sprocket", "pulley", "arm", "drum"):
            for radius in ("3 mm", "1500 mm"):
                twice = copy.deepcopy(sheet)
                if "radius" not in step:
                    twice["hold_path"]["step"][number]["radius"] = radius
                    yield f"radius {radius} as well", twice
    for number, part in enumerate(sheet["part"]):
        if "strength" in part:
            for strength in ("1 N", "900 kN"):
                twice = copy.deepcopy(sheet)
                step = next(s for s in twice["hold_path"]["step"] if s.get("part") == part["id"])
                step["strength"] = strength
                yield f"part {number}, strength {strength} as well", twice


def looks_no_better(seed: int) -> None:
    made = random_path(seed)
    sheet = tomllib.loads(made.sheet())
    whole = path_of(sheet)
    assert whole is not None
    for what, other in worse_facts(made, sheet):
        path = path_of(other)
        if path is not None:
            try:
                never_raised(whole, path)
            except AssertionError as error:
                raise AssertionError(f"{what}: {error}\n{made.sheet()}") from None


def _of_two(sheet: dict[str, Any], what: str) -> bool:
    """Whether what is left out is one of two statements of one lever: the other then counts alone,
    as nothing says that they differed."""
    place, key = what.split(", ", 1)
    steps = sheet["hold_path"]["step"]
    if place.startswith("step "):
        step = steps[int(place.removeprefix("step ")) - 1]
        return key == "radius" and "part" in step
    twice = {step.get("part") for step in steps if "radius" in step}
    return place in twice and key in ("diameter", "length", "size", "teeth")


def leaving_out_helps_nowhere(seed: int) -> None:
    """Each number left out by itself: no factor of a link rises, no row called the worst does, and
    a link that was too weak is not gone: it, its part, or what it lacks is named."""
    sheet = tomllib.loads(random_path(seed).sheet())
    whole = path_of(sheet)
    assert whole is not None
    was = {link.name: link.factor for link in whole.links}
    for what, other in without_one(sheet):
        path = path_of(other)
        if path is None or _of_two(sheet, what):
            continue
        for link in path.links:
            if link.factor is not None and was.get(link.name) is not None:
                assert link.factor <= was[link.name] * (1 + 1e-9), (what, link.name)
            old = next((item for item in whole.links if item.kind == link.kind), None)
            if link.name.startswith("Worst") and link.factor is not None:
                assert old and old.factor and link.factor <= old.factor * (1 + 1e-9), what
        named = {link.part for link in path.links if link.part}
        for link in whole.too_weak:
            gone = link.part and link.part not in named
            assert not gone or path.not_stated, (what, link.name)
        if ready(path):
            assert ready(whole) or path.uncomputed, what


@pytest.mark.parametrize(
    "check", [carries_what_statics_says, looks_no_better, leaving_out_helps_nowhere]
)
def test_any_path(check: Any) -> None:
    for seed in FEW:
        check(seed)


@pytest.mark.soak
@pytest.mark.parametrize(
    "check", [carries_what_statics_says, looks_no_better, leaving_out_helps_nowhere]
)
def test_any_path_at_length(check: Any) -> None:
    for seed in MANY:
        check(seed)
