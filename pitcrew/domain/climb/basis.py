"""What a clearance rests on: the parts, their checks, and what of it may be missing."""

from dataclasses import dataclass

from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.logbook.moment import Moment


@dataclass(frozen=True)
class Blocker:
    """Something that blocks signing. `key`: the check to walk, if it is one; `kind` and `ref` name
    it for a link.
    """

    text: str
    key: str = ""
    kind: str = "check"
    ref: str = ""


def critical_parts(moment: Moment) -> set[str]:
    """The ids of the parts on which the climb hangs, of the robot that plays."""
    robot = moment.definitions.robot
    return {part.id for part in robot.parts.values() if part.climb_critical} if robot else set()


def climb_checks(definitions: Definitions) -> list[PartCheck]:
    """The checks that a clearance rests on: all on climb-critical parts, and those that are made
    for the climb.
    """
    return [
        item
        for item in definitions.part_checks.values()
        if item.part.climb_critical or item.check.for_climb
    ]
