"""The robot is back in the pit."""

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Returned(Body):
    note: str = ""


KIND = Kind(
    name="returned",
    words="return of the robot",
    body=Returned,
    written_by=CREW,
    table="returned",
)
