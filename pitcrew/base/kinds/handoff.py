"""A sheet was printed for someone."""

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Handoff(Body):
    audience: str
    head: str


KIND = Kind(
    name="handoff",
    body=Handoff,
    written_by=CREW | {"laptop"},
    decision=True,
    correctable=False,
    of_parts=False,
    table="handoffs",
)
