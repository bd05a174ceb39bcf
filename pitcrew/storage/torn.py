"""What the bytes behind the last intact line of a log are: a write that a crash cut short, or a
whole line that is wrong, and what it may have said."""

import re

from pitcrew.base.kinds import a_spoken
from pitcrew.storage.codec import decode_line

_FIELD = {
    name: re.compile(rb'"%b":"?([^",}]{1,80})' % name.encode())
    for name in ("seq", "kind", "part", "person", "at")
}


def is_whole(end: bytes) -> bool:
    """Whether a whole line is among these bytes: one that has its end, or nothing but its end
    wrong.

    Only such a line can have been acknowledged; a piece without an end never was.
    """
    lines = end.split(b"\n")
    return any(line.strip() for line in lines[:-1]) or any(
        decode_line(text + b"\n") is not None for text in (lines[-1], lines[-1][:-1])
    )


def may_have_been(end: bytes) -> str:
    """What damaged lines may have been, from what can still be read in them: `a part change on
    climb.rope by Runa at 2026-03-07T11:31:20.000Z (entry 1006)`, joined by semicolons."""
    return "; ".join(_line(line) for line in end.split(b"\n") if line.strip()) or "an empty line"


def _line(line: bytes) -> str:
    found = {
        name: field[1].decode("utf-8", "replace")
        for name, pattern in _FIELD.items()
        if (field := pattern.search(line))
    }
    if "kind" not in found:
        return "something that can no longer be read"
    words = {"part": " on {}", "person": " by {}", "at": " at {}", "seq": " (entry {})"}
    more = "".join(text.format(found[name]) for name, text in words.items() if name in found)
    return f"perhaps {a_spoken(found['kind'])}{more}"
