"""Whether the robot climbs in one match, whatever the settings say."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, Names


class ClimbPlan(Body):
    """For the run that the entry names; of several the latest counts."""

    climbs: bool


def _told(body: ClimbPlan, names: Names) -> tuple[str, str]:
    return "Climb", "planned after all" if body.climbs else "no climb this match"


KIND = Kind(
    name="climb_plan",
    body=ClimbPlan,
    written_by=CREW,
    of_parts=False,
    table="climb_plans",
    told=_told,
)
