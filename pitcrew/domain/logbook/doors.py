"""The pit's doors in words: who came in, who was stopped, whose PIN was reset, who was locked out."""

from pitcrew.base.entries import Access
from pitcrew.domain.logbook.facts import Fact

WORTH_TELLING = ("withdrawn", "pin_reset", "locked_out")
"""What a handoff tells; that somebody joined stands on the People page."""


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
    }[body.what]


def pin_resets(accesses: list[Fact], person: str = "") -> list[Fact]:
    """The PIN resets of this log, of one person where one is named, by number."""
    return [
        fact for fact in accesses
        if fact.entry.origin is None and fact.body.what == "pin_reset" and person in ("", fact.body.person)
    ]
