"""What can be picked in the forms: parts by zone, match runs."""

from collections.abc import Iterable

from wtforms.fields.choices import SelectChoice

from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.web.filters import clock_time
from pitcrew.web.request_context import the_pit

ELSEWHERE = "Elsewhere"


def parts_by_zone() -> dict[str, list[Part]]:
    """The parts of the robot that plays under the label of their zone, zones without parts left
    out."""
    robot = the_pit().definitions.robot
    if robot is None:
        return {}
    groups: dict[str, list[Part]] = {zone.label: [] for zone in robot.zones.values()}
    for part in sorted(robot.parts.values(), key=lambda part: part.label):
        groups.setdefault(
            robot.zones[part.zone].label if part.zone in robot.zones else ELSEWHERE, []
        ).append(part)
    return {zone: parts for zone, parts in groups.items() if parts}


def part_choices() -> list[SelectChoice]:
    """The parts of the robot that plays, grouped by zone, behind a choice that is none."""
    parts = [
        SelectChoice(part.id, part.label, optgroup=zone)
        for zone, parts in parts_by_zone().items()
        for part in parts
    ]
    return [SelectChoice("", "Pick one"), *parts]


def run_choices(runs: Iterable[Run]) -> list[SelectChoice]:
    """Runs by name and planned time."""
    return [
        SelectChoice(run.id, f"{run.name}, {clock_time(run.planned)}" if run.planned else run.name)
        for run in runs
    ]
