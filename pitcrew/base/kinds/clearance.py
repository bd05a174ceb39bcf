"""The safety captain's signature over a climb, or the refusal."""

from typing import Literal

from pitcrew.base.kinds.kind import Body, Kind


class Clearance(Body):
    """`rules`: which rules the program that took it held it to; the first release stated none."""

    decision: Literal["cleared", "refused"]
    seen_seq: int
    why: str = ""
    rules: int = 1


KIND = Kind(
    name="clearance",
    body=Clearance,
    written_by=frozenset({"captain"}),
    decision=True,
    signed=True,
    correctable=False,
    of_parts=False,
    table="clearances",
    told=lambda body, names: ("Climb", f"{body.decision}. {body.why}"),
)
