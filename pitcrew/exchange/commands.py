"""All writing commands by name: the pit's own, and the one that takes a phone's hand-over file."""

from collections.abc import Callable
from typing import Any

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.exchange.bundle import hand_in, read_bundle, sentence_of
from pitcrew.pit import commands
from pitcrew.pit.commands import AT_THE_LAPTOP
from pitcrew.pit.pit import Pit
from pitcrew.pit.relay import adopted_lines


def adopt_bundle(pit: Pit, text: str) -> dict[str, Any]:
    """Store what a phone's hand-over file brings: `{sentence, receipt, refused, adopted}`; twice is
    harmless.

    Whoever rebuilds at the laptop itself takes a lost laptop's match list and a captain's deferrals
    as well, unverified.
    """
    before = pit.journal.head()[0]
    done = hand_in(
        pit,
        read_bundle(text.encode("utf-8", "surrogatepass")),
        AT_THE_LAPTOP.role,
        AT_THE_LAPTOP.role,
        AT_THE_LAPTOP,
    )
    if done.new:
        pit.continuity.lost("adopted", here=before)
    return {
        "sentence": sentence_of(done),
        "receipt": done.receipt,
        "refused": done.refused,
        "adopted": adopted_lines(pit.journal.after(0)),
    }


COMMANDS: dict[str, Callable[..., dict[str, Any]]] = {
    **commands.COMMANDS,
    "adopt-bundle": adopt_bundle,
}


def run(pit: Pit, name: str, arguments: dict[str, Any]) -> dict[str, Any]:
    """Run a command by name. Raises UnknownName, BadInput and the command's own errors."""
    if name not in COMMANDS:
        raise UnknownName("The command", name, COMMANDS)
    try:
        return COMMANDS[name](pit, **arguments)
    except TypeError as error:
        raise BadInput(f"The command {name} cannot take these arguments: {error}.") from None
