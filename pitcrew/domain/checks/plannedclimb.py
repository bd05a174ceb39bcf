"""What a planned climb cannot be without: a hold path, something that holds without power, and its
hold test."""

from collections.abc import Iterator, Mapping

from pitcrew.base.settings import Settings
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.holding.asking import own_part
from pitcrew.domain.robot.buildsheet import Robot
from pitcrew.domain.robot.hold_path import DEVICES, SINKS, HoldPathTable
from pitcrew.domain.robot.mistakes import NOTHING, Mistake

NEVER = "climb_planned = false in pitcrew.toml for a robot that never climbs"
NEVER_CLEARED = "a motor in brake mode sinks, so its climb is never cleared"
HOLDING = tuple(word for word in DEVICES if word not in SINKS)


def planned_climb_mistakes(
    settings: Settings, robot: Robot | None, part_checks: Mapping[str, PartCheck]
) -> Iterator[Mistake]:
    """The mistakes of a pit folder whose robot is to climb; none where it never does."""
    if robot is None or not settings["climb_planned"]:
        return
    table = robot.hold_path
    if table is None or not table.steps:
        wanted = f"a [hold_path] table that says what holds the robot up; or {NEVER}"
        yield Mistake(robot.file, "hold_path", str(NOTHING), wanted, climb=True)
        return
    place = f"hold_path.step {len(table.steps)}, holds"
    if table.device == "motor-brake":
        wanted = f"what holds without power ({', '.join(HOLDING)}); {NEVER_CLEARED}; or {NEVER}"
        yield Mistake(robot.file, place, f'"{table.device}"', wanted, climb=True, notice=True)
    if table.device in ("", "none"):
        found = f'"{table.device}"' if table.device else str(NOTHING)
        wanted = f"what holds without power ({', '.join(HOLDING)}); or {NEVER}"
        yield Mistake(robot.file, place, found, wanted, climb=True)
        return
    yield from _untested(robot, table, part_checks, place)


def _untested(
    robot: Robot, table: HoldPathTable, part_checks: Mapping[str, PartCheck], place: str
) -> Iterator[Mistake]:
    """A device that no hold test hangs the robot on."""
    end = table.steps[-1]
    part = end.part or own_part(end.name)
    if any(item.check.is_hold_test and item.part.id == part for item in part_checks.values()):
        return
    label = robot.parts[part].label if part in robot.parts else end.name
    wanted = "a hold test of it in the checklists (a check whose id begins with hold-test)"
    yield Mistake(
        robot.file, place, f"no hold test of {label}", f"{wanted}; or {NEVER}", climb=True
    )
