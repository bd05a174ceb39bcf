"""What checklists may ask of the hold path: `climb.…` for all of it, `link.…` for the link of one
part."""

from pitcrew.base.errors import PitcrewError
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.holding.links import HoldPath
from pitcrew.domain.holding.transfers import ROPES
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.engineering.cords import WRAPS, fiber_name

MOST_WRAPS = float(max(WRAPS.values()))
Value = tuple[float | str, str]
_DIMENSION = {
    unit: dimension
    for dimension, unit in SI_UNIT.items()
    if dimension in ("force", "torque", "length")
}
_LOADS = {
    "mass": ("mass", "mass"),
    "load": ("weight", "force"),
    "tension": ("tension", "force"),
    "torque": ("torque", "torque"),
    "tooth_sink": ("drop_per_tooth", "length"),
    "fall": ("fall", "length"),
    "deflection": ("deflection", "length"),
    "impact": ("impact", "number"),
    "drop_most": ("drop_most", "length"),
}
"""`climb.NAME` -> the field of the loads, and its dimension."""


CLIMB_NAMES = (*_LOADS, "seat", "mass_most", "wraps", "hold_time", "device")
"""All that `climb.…` may ask for."""
LINK_NAMES = ("load", "strength", "factor", "required")
"""All that `link.…` may ask for."""


def climb_names(robot: Robot, path: HoldPath) -> dict[str, Value]:
    """`climb.mass`, `climb.load` (the weight), `climb.tension`, `climb.torque`, `climb.tooth_sink`
    (how far the hook sinks for one tooth), `climb.seat` (the same, 0 where it is not known),
    `climb.fall`, `climb.deflection`, `climb.impact`,
    `climb.drop_most` (the largest drop at which the catch holds), `climb.mass_most` (the largest
    mass at which everything that is computed holds), `climb.wraps` (turns that must stay on a
    drum), `climb.hold_time` and `climb.device`; each only where it is known. SI."""
    names: dict[str, Value] = {"climb.wraps": (_wraps(robot), "number")}
    for name, (field, dimension) in _LOADS.items():
        value = getattr(path.loads, field) if path.loads else None
        if value is not None:
            names[f"climb.{name}"] = (value, dimension)
    shares = [
        link.share for link in path.links if link.computed and link.kind not in ("size", "stall")
    ]
    if path.loads and shares:
        names["climb.mass_most"] = (path.loads.mass * min(shares), "mass")
    names["climb.seat"] = (path.loads.drop_per_tooth or 0.0 if path.loads else 0.0, "length")
    table = robot.hold_path
    if table is not None:
        end = robot.parts.get(table.steps[-1].part) if table.steps else None
        time = table.hold_time or (end.specs.get("hold_time") if end else None)
        if isinstance(time, float | int):
            names["climb.hold_time"] = (float(time), "time")
        names["climb.device"] = (table.device or "not stated", "")
    return names


def _wraps(robot: Robot) -> float:
    """The turns that must stay on a drum of the robot: the most that any rope or cord of the hold
    path needs, or of the robot where the path names none."""
    on_path = robot.hold_path.parts if robot.hold_path else ()
    ropes = [part for part in robot.parts.values() if part.kind in ROPES]
    named = [part for part in ropes if part.id in on_path]
    return max((_wraps_of(part) for part in named or ropes), default=MOST_WRAPS)


def _wraps_of(rope: Part) -> float:
    """By `wraps-least`; the most where the fiber is not stated, or no one has published its own."""
    if rope.kind == "wire-rope":
        return float(WRAPS["wire rope"])
    try:
        return float(WRAPS.get(fiber_name(rope.specs["fiber"]), MOST_WRAPS))
    except (KeyError, PitcrewError):
        return MOST_WRAPS


def link_names(path: HoldPath, part: str) -> dict[str, Value]:
    """`link.load`, `link.strength`, `link.factor` and `link.required` of a part: of its links at
    rest the one with the least to spare. Empty where nothing is computed."""
    links = [
        link
        for link in path.links
        if link.part == part and link.kind in ("hold", "bending") and link.computed
    ]
    if not links:
        return {}
    link = min(links, key=lambda item: item.share)
    dimension = _DIMENSION[link.unit]
    found = {
        "load": (link.load, dimension),
        "strength": (link.strength, dimension),
        "factor": (link.factor, "number"),
        "required": (link.required, "number"),
    }
    return {
        f"link.{name}": (value, kind) for name, (value, kind) in found.items() if value is not None
    }
