"""Every error a person can meet. The message says what arrived, what is expected and what to do.

Nothing here knows HTTP or exit codes: `web/errors.py` and `cli/main.py` map these classes.
"""

import re
from collections.abc import Iterable
from difflib import get_close_matches

_NUMBER = re.compile(r"\d+(\.\d+)?")


class PitcrewError(Exception):
    """Base of all errors whose message is meant for a person.

    `field` names the place in the input (`body.inputs.travel.value`, `--port`) where that is known.
    """

    def __init__(self, sentence: str, field: str | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class BadInput(PitcrewError):
    """What arrived cannot be read or is not allowed; nothing was stored."""


class BadQuantity(BadInput):
    """A number or its unit cannot be read, or has the wrong dimension."""


class OutOfRange(BadInput):
    """A formula was asked outside the range in which its source holds."""


class UnknownName(BadInput):
    """A name that is not in its table; the nearest names are offered."""

    def __init__(
        self, what: str, name: object, known: Iterable[str], field: str | None = None
    ) -> None:
        choices = sorted(known)
        super().__init__(f"{what} {name!r} is not known. {hint(str(name), choices)}", field)
        self.nearest = nearest(str(name), choices)


class Refused(PitcrewError):
    """The person or device may not do this."""


class TooMuch(Refused):
    """One device asks for more at a time than its share; nothing was stored, later it may go."""


class NotJoined(Refused):
    """No valid device token or session came with the request."""


class Conflict(PitcrewError):
    """What arrived contradicts what is stored; both are kept as they are."""


class Missing(PitcrewError):
    """Something that should be there is not (a file, a page, an entry)."""


class Damaged(PitcrewError):
    """The logbook's middle is damaged: the message names the line and the way out."""


class Locked(PitcrewError):
    """Another server holds the pit folder."""


class DiskFull(PitcrewError):
    """The entry could not be written; it is not stored and the sender must keep it."""


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like `name`, of numbers the one next to it; None when nothing is
    close."""
    matches = get_close_matches(name, list(known), n=4, cutoff=0.5)
    numbers = (
        [match for match in matches if _NUMBER.fullmatch(match)] if _NUMBER.fullmatch(name) else []
    )
    if numbers:
        return min(numbers, key=lambda match: abs(float(match) - float(name)))
    return matches[0] if matches else None


def hint(name: str, known: Iterable[str]) -> str:
    """'Nearest: x.' where something is close, else the list of what is allowed (at most 20
    names)."""
    choices = list(known)
    close = nearest(name, choices)
    if close:
        return f"Nearest: {close}."
    shown = ", ".join(choices[:20]) + (" and more" if len(choices) > 20 else "")
    return f"Known: {shown}." if choices else "None are known."
