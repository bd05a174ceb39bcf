"""Checks that hang the robot: asked by the heavier of its sheet and its last weighing."""

from dataclasses import replace

from pitcrew.domain.checks.limits import PartCheck, part_check_on
from pitcrew.domain.checks.pathchecks import path_checks
from pitcrew.domain.climb.hold import PROOF, hold_path_of
from pitcrew.domain.climb.stricter import stricter_limit
from pitcrew.domain.logbook.moment import Moment

ROUNDING = 1e-6
"""By how much, in parts of 1, two weights may differ and still be one."""


def asks_for_weight(item: PartCheck) -> bool:
    """Whether a check hangs the robot: a hold test, or a proof load at home."""
    return item.check.is_hold_test or item.check.id == PROOF


def as_weighed(moment: Moment, item: PartCheck) -> PartCheck:
    """Such a check for the robot as it was weighed last, where that is more than its sheet says."""
    robot, loads = moment.definitions.robot, hold_path_of(moment).loads
    if robot is None or loads is None or robot.mass is None or robot.mass_chassis is None:
        return item
    more = loads.mass - robot.mass
    lists = (check for checklist in moment.definitions.checklists for check in checklist.checks)
    check = next((one for one in (*lists, *path_checks()) if one.id == item.check.id), None)
    if more <= ROUNDING * robot.mass or check is None:
        return item
    heavy = replace(robot, mass_chassis=robot.mass_chassis + more)
    made = part_check_on(heavy, check, item.part, moment.definitions.settings)
    if made.limit is None or item.limit is None:
        return item
    texts = {name: getattr(made.check, name) for name in ("ask", "how", "cautions")}
    limit = stricter_limit(made.limit, item.limit)
    return replace(item, check=replace(item.check, **texts), limit=limit)
