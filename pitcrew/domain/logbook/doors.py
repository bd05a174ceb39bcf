"""The pit's doors in words: who came in, who was stopped, whose PIN was reset, who was locked out;
and what the logbook may have lost."""

from pitcrew.base.bodies import Access, Loss
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
        "head_shown": f"The phone of {who} had seen entry {body.seen} of this logbook.",
    }[body.what]


def loss_text(body: Loss) -> str:
    """What the logbook may lack, in a sentence."""
    by = body.by or "somebody"
    return {
        "cut": (
            "The last line of the logbook was damaged and was cut. It was"
            f" {body.lost or 'nobody knows what'}."
        ),
        "shorter": (
            f"The logbook ended at entry {body.here}, but this laptop had stored entry {body.held}:"
            " an older copy was put back, or its end was cut."
        ),
        "other": (
            f"The logbook is not the one that this laptop wrote up to entry {body.held}: a copy was"
            " put back."
        ),
        "missing": "The logbook was gone, and an empty one was begun.",
        "restored": (
            f"A phone of {by} had seen entry {body.held}, which this logbook does not hold: an"
            " older copy was put back."
        ),
        "adopted": "Entries of another logbook were taken in by `pitcrew adopt`.",
        "unsure": (
            "Nobody knows whether the logbook still has its last entries: the laptop was not"
            " stopped properly, or its folder was copied or put back from a backup."
        ),
    }[body.what]


def own_losses(losses: list[Fact]) -> list[Fact]:
    """The losses of this log itself, by number; those of another log are history."""
    return [fact for fact in losses if fact.entry.origin is None]


def ids_of_browser(accesses: list[Fact], device: str) -> frozenset[str]:
    """Every id under which the browser of a device has joined: one that joins again, under
    whatever name, is still the same device."""
    pairs = [
        {fact.body.device, fact.body.before}
        for fact in accesses
        if fact.entry.origin is None and fact.body.what == "joined" and fact.body.before
    ]
    found = {device}
    while more := [pair for pair in pairs if pair & found and not pair <= found]:
        found = found.union(*more)
    return frozenset(found)


def pin_resets(accesses: list[Fact], person: str = "") -> list[Fact]:
    """The PIN resets of this log, of one person where one is named, by number."""
    return [
        fact
        for fact in accesses
        if fact.entry.origin is None
        and fact.body.what == "pin_reset"
        and person in ("", fact.body.person)
    ]
