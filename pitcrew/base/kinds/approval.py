"""A second name under what someone decided, or a second pair of eyes on what someone read."""

from typing import Literal

from pitcrew.base.kinds.kind import CREW, Body, Kind


class Approval(Body):
    """`confirmed`: a second person saw what a reading or debrief says; `by_pin`: on the author's
    own device, with a PIN.

    `role`: the role in which a second name was given.
    """

    of: str
    decision: Literal["approved", "refused", "confirmed"]
    by_pin: bool = False
    role: str = ""


KIND = Kind(
    name="approval",
    words="second name",
    body=Approval,
    written_by=CREW,
    decision=True,
    signed=True,
    correctable=False,
    of_parts=False,
    table="approvals",
    key=lambda fact: fact.body.of,
    refers="of",
)
