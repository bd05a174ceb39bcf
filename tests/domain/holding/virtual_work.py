"""What each step of a hold path carries, worked out apart from the program by virtual work.

The hook goes down by 1 mm and the work of the robot's weight is the work of whatever holds it
(Shigley and any statics book, virtual work), so only movements are followed, no forces: a member
that moves `v` for the hook's 1 carries weight / v, a shaft that turns `w` rad/m carries weight / w.
Friction counts nothing. One number of each kind is used: give it sheets where nothing is stated
twice.
"""

import math
from typing import Any

GRAVITY = 9.80665
INCH = 0.0254
PITCH = {"25": INCH / 4, "35": 3 * INCH / 8, "40": INCH / 2}
"""Pitch of roller chain, ASME B29.1."""


def si(text: str | float) -> float:
    """A quantity of a random sheet in SI."""
    if not isinstance(text, str):
        return float(text)
    number, unit = text.split()
    return (
        float(number)
        * {
            "mm": 1e-3,
            "N": 1.0,
            "N*m": 1.0,
            "kg": 1.0,
            "deg": math.pi / 180,
            "s": 1.0,
            "m/s": 1.0,
            "MPa": 1e6,
        }[unit]
    )


def hanging(sheet: dict[str, Any]) -> float:
    """What hangs on the path, N."""
    second = sheet["hold_path"]["second"]
    weight = sum(si(item) for item in sheet["robot"]["mass"].values()) * GRAVITY
    return weight / second["count"] if second["equaliser"] else weight


def radius_of(step: dict[str, Any], part: dict[str, Any], rope: float) -> float:
    """The lever of a step, m: of a drum to the middle of the rope in its outermost layer."""
    if "radius" in step:
        return si(step["radius"])
    if step["hands_on"] == "drum":
        return si(part["diameter"]) / 2 + rope * (step["layers"] - 0.5)
    if step["hands_on"] == "arm":
        return si(part["length"])
    if step["hands_on"] == "sprocket":
        return PITCH[part["size"]] / (2 * math.sin(math.pi / part["teeth"]))
    if "diameter" in part:
        return si(part["diameter"]) / 2
    return part["teeth"] * si(part["pitch"]) / (2 * math.pi)


def loads_of(sheet: dict[str, Any]) -> dict[str, tuple[float | None, float | None]]:
    """By part or name what each step carries: its pull in N and its torque in N*m, None where it
    has none."""
    weight, parts = hanging(sheet), {part["id"]: part for part in sheet["part"]}
    moves, turns, rope = 1.0, None, 0.0
    found: dict[str, tuple[float | None, float | None]] = {}
    for step in sheet["hold_path"]["step"]:
        part = parts.get(step.get("part", ""), {})
        word = step.get("hands_on", "")
        if part.get("kind") in ("wire-rope", "cord"):
            rope = si(part["diameter"])
        share = 1
        pull = None if turns else weight / moves
        torque = weight / turns if turns else None
        if word == "falls":
            moves *= step["falls"]
            pull = weight / moves
        elif word == "ratio":
            moves = 1 / step["ratio"]
            pull = weight / moves
            share = step.get("sides", 1)
        elif word == "lines":
            share = step.get("lines", 1)
        elif word == "gear":
            next_turns = turns * step["ratio"]
            torque = max(weight / turns, weight / next_turns)
            turns = next_turns
        elif word and turns is None:
            turns = moves / radius_of(step, part, rope)
            torque = weight / turns
        elif word:
            moves, turns = turns * radius_of(step, part, rope), None
            pull = weight / moves
        if step.get("equaliser") and pull is not None:
            pull /= share
        found[step.get("part") or step["name"]] = (pull, torque)
    return found
