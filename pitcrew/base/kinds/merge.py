"""Whether two faults are the same failure in other words."""

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Merge(Body):
    """Whether two faults of one part, worded differently, are the same failure; both named by their
    entry ids."""

    first: str
    second: str
    same: bool


KIND = Kind(
    name="merge",
    words="merging of two faults",
    body=Merge,
    written_by=CREW,
    decision=True,
    table="merges",
)
