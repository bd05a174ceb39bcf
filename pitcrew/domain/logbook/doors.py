"""What the logbook says of the pit's doors and of losses: resets, losses, ids of one browser."""

from pitcrew.domain.logbook.facts import Fact


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


def still_theirs(accesses: list[Fact], decision: Fact, up_to_seq: int | None = None) -> bool:
    """Whether a decision still rests on its person's PIN: no lead has reset it since (up to the
    entry `up_to_seq`; None for now)."""
    return not any(
        decision.seq < reset.seq and (up_to_seq is None or reset.seq <= up_to_seq)
        for reset in pin_resets(accesses, decision.person)
    )


def pin_resets(accesses: list[Fact], person: str = "") -> list[Fact]:
    """The PIN resets of this log, of one person where one is named, by number."""
    return [
        fact
        for fact in accesses
        if fact.entry.origin is None
        and fact.body.what == "pin_reset"
        and person in ("", fact.body.person)
    ]
