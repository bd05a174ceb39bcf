"""Who came in at the pit's doors, was stopped there, or got another PIN."""

from typing import Literal

from pitcrew.base.kinds.kind import LAPTOP, Body, Kind, Names

AccessKind = Literal["joined", "withdrawn", "pin_set", "pin_reset", "locked_out", "head_shown"]


class Access(Body):
    """Who may act here, noted by the laptop itself: a device let in or withdrawn, a PIN set or
    reset, a lock-out, a head that a phone showed. `person`: whose; `by`: who did it; `seconds`: how
    long a lock-out lasts; `of`: the loss that a shown head answers, `seen`: the entry it names;
    `before`: which device the same browser was until it joined again."""

    what: AccessKind
    person: str = ""
    device: str = ""
    role: str = ""
    by: str = ""
    seconds: float | None = None
    of: str | None = None
    seen: int | None = None
    before: str = ""


WORTH_TELLING = ("withdrawn", "pin_reset", "locked_out")
"""What a handoff tells; that someone joined is on the People page."""


def door_text(body: Access) -> str:
    """What happened at the door, in a sentence."""
    who, by = body.person or "Somebody", f" by {body.by}" if body.by else ""
    role = f" as {body.role}" if body.role else ""
    seconds = f"{body.seconds:.0f} s" if body.seconds else "a while"
    return {
        "joined": f"{who} joined{role}.",
        "withdrawn": f"A device of {who} was withdrawn{by}.",
        "pin_set": f"{who} set a PIN.",
        "pin_reset": f"The PIN of {who} was reset{by}.",
        "locked_out": f"Wrong PINs for {who}: locked out for {seconds}.",
        "head_shown": f"The phone of {who} had seen entry {body.seen} of this logbook.",
    }[body.what]


def _told(body: Access, names: Names) -> tuple[str, str] | None:
    return ("At the door", door_text(body)) if body.what in WORTH_TELLING else None


KIND = Kind(
    name="access",
    words="change of who may come in",
    body=Access,
    written_by=LAPTOP,
    decision=True,
    signed=True,
    correctable=False,
    table="accesses",
    told=_told,
)
