"""What must hold of every path: worse facts never raise a factor, and leaving something out never
helps a climb."""

import copy
import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.paths import ROOT
from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.links import HoldPath, LastReading, Measured
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import Robot, parse_build_sheet
from tests.domain.holding.sheets import HEAD
from tests.domain.holding.test_paths_by_hand import driven_down

AT = datetime(2026, 3, 7, tzinfo=UTC)
EXAMPLES = ("tern", "turnstone", "wigeon", "driven down")
FEW = settings(max_examples=6, deadline=None)
DEFAULTS = read_settings({})[0]


@cache
def _text(name: str) -> str:
    if name == "driven down":
        return HEAD.format(mass="56 kg") + "\n".join(driven_down("35", "shared"))
    return (ROOT / "checklists" / "robots" / f"{name}.toml").read_text(encoding="utf-8")


def sheet(name: str) -> dict[str, Any]:
    return tomllib.loads(_text(name))


def path_of(table: dict[str, Any]) -> HoldPath:
    return hold_path(parse_build_sheet(table, "robots/a.toml")[0], DEFAULTS)


@cache
def robot_of(name: str) -> Robot | None:
    return parse_build_sheet(sheet(name), "robots/a.toml")[0]


@cache
def stated(name: str) -> HoldPath:
    return hold_path(robot_of(name), DEFAULTS)


def ready(path: HoldPath) -> bool:
    """As far as the path itself goes; what has no numbers is looked at besides."""
    return bool(path.links) and not (path.not_stated or path.too_weak or path.sinks or path.why)


def never_raised(before: HoldPath, after: HoldPath) -> None:
    """No link of the same name has a larger factor than before, and readiness does not come from
    it."""
    was = {link.name: link.factor for link in before.links}
    for link in after.links:
        if link.factor is not None and was.get(link.name) is not None:
            assert link.factor <= was[link.name] * (1 + 1e-9), link.name
    least = [
        min((link.share for link in path.links if link.computed), default=0.0)
        for path in (before, after)
    ]
    assert least[1] <= least[0] * (1 + 1e-9) or not ready(after)
    assert ready(before) or not ready(after)


@pytest.mark.parametrize("name", EXAMPLES)
@given(more=st.floats(1.0, 3.0), part=st.sampled_from(["chassis", "bumpers", "battery"]))
@FEW
def test_a_heavier_robot_never_raises_a_factor(name: str, more: float, part: str) -> None:
    heavier = sheet(name)
    kilograms = float(heavier["robot"]["mass"][part].split()[0])
    heavier["robot"]["mass"][part] = f"{kilograms * more + (more - 1) * 10} kg"
    never_raised(stated(name), path_of(heavier))


@pytest.mark.parametrize("name", EXAMPLES)
@given(
    mass=st.floats(30.0, 200.0),
    drop=st.floats(0.0, 0.1),
    give=st.floats(0.0015, 0.1),
    thin=st.floats(0.3, 1.2),
    layers=st.integers(1, 6),
)
@FEW
def test_no_reading_flatters(
    name: str, mass: float, drop: float, give: float, thin: float, layers: int
) -> None:
    """A weighing, a drop, a give, a diameter or a count of layers, whatever it is, never makes a
    stated factor larger."""
    table = sheet(name)
    ropes = {item["id"]: item for item in table["part"] if item["kind"] in ("wire-rope", "cord")}
    ends = [step["part"] for step in table["hold_path"]["step"] if "holds" in step]
    drums = [item["id"] for item in table["part"] if item["kind"] == "drum"]
    values: dict[tuple[str, str], LastReading] = {("", "mass"): LastReading(mass, AT)}
    if "deflection" in table["hold_path"]:
        values["", "deflection"] = LastReading(give, AT)
    values |= {(end, "drop"): LastReading(drop, AT) for end in ends} | {
        (drum, "layers"): LastReading(float(layers), AT) for drum in drums
    }
    values |= {
        (rope, "diameter"): LastReading(float(item["diameter"].split()[0]) / 1000 * thin, AT)
        for rope, item in ropes.items()
    }
    for read in (values, *({key: taken} for key, taken in values.items())):
        never_raised(stated(name), hold_path(robot_of(name), DEFAULTS, Measured(read)))


@pytest.mark.parametrize("name", ["tern", "turnstone", "driven down"])
@given(latency=st.floats(0, 0.5), speed=st.floats(0, 1.0), more=st.floats(1, 3))
@FEW
def test_a_longer_fall_never_raises_a_factor(
    name: str, latency: float, speed: float, more: float
) -> None:
    before, after = sheet(name), sheet(name)
    before["hold_path"] |= {"latency": f"{latency} s", "fall_speed": f"{speed} m/s"}
    after["hold_path"] |= {"latency": f"{latency * more} s", "fall_speed": f"{speed * more} m/s"}
    never_raised(path_of(before), path_of(after))


@given(
    more=st.integers(1, 5), wider=st.floats(1, 2), stalls=st.floats(1, 3), swing=st.floats(0, 60)
)
@FEW
def test_more_layers_a_thicker_drum_and_a_stronger_motor_never_raise_a_factor(
    more: int, wider: float, stalls: float, swing: float
) -> None:
    after = sheet("tern")
    step = next(item for item in after["hold_path"]["step"] if item.get("hands_on") == "drum")
    step["layers"] += more
    after["hold_path"]["motor"]["stall_torque"] = f"{2.6 * stalls} N*m"
    after["hold_path"]["swing"] = f"{15 + swing} deg"
    drum = next(item for item in after["part"] if item["id"] == "climb.drum")
    drum["diameter"] = f"{60 * wider} mm"
    after["hold_path"]["motor"]["stall_torque"] = (
        f"{2.6 * stalls * wider} N*m"  # a wider drum pulls less: give it that back
    )
    never_raised(stated("tern"), path_of(after))


@given(
    friction=st.floats(0.02, 0.5), less=st.floats(0.3, 1.0), style=st.sampled_from(["pads", "band"])
)
@FEW
def test_worse_friction_never_raises_a_factor(friction: float, less: float, style: str) -> None:
    specs = {
        "force": "400 N",
        "outer": "80 mm",
        "inner": "40 mm",
        "faces": 2,
        "angle": "270 deg",
        "tension": "200 N",
        "drum": "80 mm",
    }

    def with_friction(value: float) -> HoldPath:
        table = sheet("wigeon")
        brake = next(item for item in table["part"] if item["kind"] == "brake")
        brake |= {"style": style, "friction": value, **specs}
        return path_of(table)

    never_raised(with_friction(friction), with_friction(max(friction * less, 0.01)))


def _inputs(table: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    """Where every input of the climb stands: masses, the path's own keys, and the specifications of
    the path's parts."""
    yield from (("robot", "mass", key) for key in table["robot"]["mass"])
    path = table["hold_path"]
    for key, value in path.items():
        if isinstance(value, dict):
            yield from (("hold_path", key, name) for name in value)
            yield ("hold_path", key)
        elif not isinstance(value, list):
            yield ("hold_path", key)
    for kind in ("step", "beside"):
        for number, item in enumerate(path.get(kind, [])):
            yield from (
                ("hold_path", kind, number, name) for name in item if name not in ("part", "name")
            )
    named = {
        item["part"] for kind in ("step", "beside") for item in path.get(kind, []) if "part" in item
    }
    for number, item in enumerate(table["part"]):
        if item["id"] in named:
            yield from (
                ("part", number, key)
                for key in item
                if key not in ("id", "label", "zone", "kind", "climb_critical")
            )


def without(table: dict[str, Any], way: tuple[Any, ...]) -> dict[str, Any]:
    """The sheet with one input left out."""
    left = copy.deepcopy(table)
    at: Any = left
    for key in way[:-1]:
        at = at[key]
    del at[way[-1]]
    return left


@pytest.mark.parametrize("name", EXAMPLES)
def test_leaving_any_input_out_never_raises_a_factor_or_readiness(name: str) -> None:
    """What turns from a number into nothing is inspected from then on, so it is not counted as
    ready by itself either."""
    table, before = sheet(name), stated(name)
    ways = list(_inputs(table))
    assert len(ways) > 20
    for way in ways:
        after = path_of(without(table, way))
        was = {link.name: link for link in before.links}
        for link in after.links:
            old = was.get(link.name)
            if link.factor is not None and old is not None and old.factor is not None:
                assert link.factor <= old.factor * (1 + 1e-9), (way, link.name)
        assert ready(before) or not ready(after), way
        if ready(after) and _computed(before) - _computed(after):
            assert _looked_at(after) - _looked_at(before), (
                way,
                "a number is gone, and nobody looks in its place",
            )


def _computed(path: HoldPath) -> set[str]:
    return {link.name for link in path.links if link.computed and link.kind in ("hold", "bending")}


def _looked_at(path: HoldPath) -> set[str]:
    return {link.name for link in path.links if link.inspection_key}
