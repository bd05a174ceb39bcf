"""Small invented build sheets for hold paths, and their computed links by name."""

import tomllib
from collections.abc import Mapping
from typing import Any

from pitcrew.base.settings import read_settings
from pitcrew.domain.holding.links import HoldPath, Link, Measured
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.buildsheet import Robot, parse_build_sheet

POUND, INCH, G = 0.45359237, 0.0254, 9.80665
LBF = POUND * G
HEAD = """
[robot]
label = "Plover"
length = "800 mm"
width = "700 mm"
[robot.mass]
chassis = "{mass}"
bumpers = "0 kg"
battery = "0 kg"
[instruments]
ruler = "1 mm"
[[zone]]
id = "climb"
label = "Climb"
box = [0, 0, 100, 100]
"""


def part(name: str, kind: str, /, **specs: Any) -> str:
    """A part of the sheet in TOML; what is None is left out."""
    lines = [f"{key} = {_toml(value)}" for key, value in specs.items() if value is not None]
    return "\n".join(
        [
            "[[part]]",
            f'id = "{name}"',
            f'label = "{name}"',
            'zone = "climb"',
            f'kind = "{kind}"',
            *lines,
            "",
        ]
    )


def table(of: str, /, **values: Any) -> str:
    """A table of the hold path: `step`, `beside`, `motor`, `second`, or the path's own keys under
    ``."""
    head = {"step": "[[hold_path.step]]", "beside": "[[hold_path.beside]]", "": "[hold_path]"}.get(
        of, f"[hold_path.{of}]"
    )
    lines = [
        f"{key.replace('with_', 'with')} = {_toml(value)}"
        for key, value in values.items()
        if value is not None
    ]
    return "\n".join([head, *lines, ""])


def step(named: str, /, **values: Any) -> str:
    """A step by its part (a dotted name) or by a name of its own."""
    return table("step", **{"part" if "." in named else "name": named}, **values)


def beside(named: str, at: str, carries: str, /, **values: Any) -> str:
    return table(
        "beside", **{"part" if "." in named else "name": named}, with_=at, carries=carries, **values
    )


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else str(value)


QUIET = {"latency": "0 s", "fall_speed": "0 m/s", "swing": "0 deg"}
STILL = table("motor", count=0) + table("second", count=1)
"""No motor and no second hook: the rows about them are not asked for."""


def robot_of(*texts: str, mass: str = "50 kg", wrong: tuple[str, ...] = ()) -> Robot:
    """The robot of a sheet; `wrong` are the places of the mistakes that it makes."""
    robot, mistakes = parse_build_sheet(
        tomllib.loads(HEAD.format(mass=mass) + "\n".join(texts)), "robots/plover.toml"
    )
    found = [item for item in mistakes if not item.notice]
    assert [item.place for item in found] == list(wrong), found
    assert robot is not None
    return robot


def computed(
    *texts: str,
    mass: str = "50 kg",
    settings: Mapping[str, Any] | None = None,
    measured: Measured | None = None,
    wrong: tuple[str, ...] = (),
    lowered: bool = False,
) -> HoldPath:
    return hold_path(
        robot_of(*texts, mass=mass, wrong=wrong),
        read_settings(settings or {})[0],
        measured,
        lowered,
    )


def link(path: HoldPath, name: str) -> Link:
    found = [item for item in path.links if item.name == name]
    assert len(found) == 1, [item.name for item in path.links]
    return found[0]


def row(path: HoldPath, kind: str) -> Link:
    """The only row of a kind that is not at rest."""
    (found,) = [item for item in path.links if item.kind == kind]
    return found
