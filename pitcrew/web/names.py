"""Ids as people read them: parts by their label, runs as `match 31`."""

from pitcrew.domain.logbook.runs import Run
from pitcrew.web.request_context import the_pit


def part_name(part_id: str) -> str:
    """The label of a part of any robot of the pit; the id itself where no build sheet has it."""
    definitions = the_pit().definitions
    robots = [definitions.robot, *definitions.robots.values()]
    return next(
        (robot.parts[part_id].label for robot in robots if robot and part_id in robot.parts),
        part_id,
    )


def zone_name(zone_id: str) -> str:
    """The label of a zone of the robot that plays; the id itself where it has none."""
    robot = the_pit().definitions.robot
    return robot.zones[zone_id].label if robot and zone_id in robot.zones else zone_id


def run_name_of(run_id: str | None) -> str:
    """A run's name from its id; the match as it is in the id where the schedule does not have
    it; empty for None."""
    if not run_id:
        return ""
    with the_pit().reading() as state:
        run = state.runs.get(run_id)
    if run is not None:
        return run.name
    event, match, number = [*run_id.split("/"), "", ""][:3]
    return Run(run_id, event, match, int(number) if number.isdecimal() else 1, match).name
