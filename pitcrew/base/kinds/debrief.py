"""What the drive team tells after a match."""

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Debrief(Body):
    answers: dict[str, str | bool] = {}


KIND = Kind(
    name="debrief",
    body=Debrief,
    written_by=CREW,
    table="debriefs",
)
