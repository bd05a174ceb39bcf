"""The links of a hold path that are no part of the build sheet, as parts: so that they can be
looked at and faults logged on them."""

from dataclasses import replace

from pitcrew.domain.holding.asking import own_part
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.hold_path import Beside, Step


def with_own_parts(robot: Robot) -> Robot:
    """The robot with a part for each step of its hold path that has only a name, in the zone of the
    nearest step above it.
    """
    if robot.hold_path is None:
        return robot
    own = {}
    zone = _first_zone(robot)
    for item in robot.hold_path.items:
        if item.part in robot.parts:
            zone = robot.parts[item.part].zone
        elif item.name:
            part = own_part(item.name)
            own[part] = Part(
                part, item.name[:1].upper() + item.name[1:], zone, "", climb_critical=True
            )
    return replace(robot, parts={**robot.parts, **own}) if own else robot


def holding_part(robot: Robot) -> str:
    """The id of the part that holds without power; empty where the build sheet does not say."""
    path = robot.hold_path
    return (
        part_of(path.steps[-1]) if path is not None and path.steps and path.steps[-1].holds else ""
    )


def part_of(item: Step | Beside) -> str:
    """The id of the part at which a step, or what is beside it, is looked at."""
    return item.part or own_part(item.name)


def _first_zone(robot: Robot) -> str:
    """The zone of the first step that is a part, else the robot's first."""
    steps = robot.hold_path.steps if robot.hold_path else ()
    found = (robot.parts[step.part].zone for step in steps if step.part in robot.parts)
    return next(found, next(iter(robot.zones), ""))
