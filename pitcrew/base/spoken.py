"""Sentences that the program itself puts into an entry: each has a key, so that it can be said in
other words or another language later. The phone's stand in `static/js/pages/walk/entries.js`."""

from collections.abc import Mapping
from typing import Any

MADE: Mapping[str, str] = {
    "photo": "Photo: {of}",
    "typed": "{check}: {typed}",
    "undone": "Undone right after it was kept",
    "battery_is": "{other} is battery {name}",
    "read_again": "Read again with {columns}",
}
"""Key -> sentence, with holes for its words: a photo of something; a fault by what was typed for
its check; why something that was just kept does not count; two names of one battery; a robot's log
read again with other columns."""


def made(key: str, **words: str) -> tuple[str, dict[str, Any]]:
    """A sentence, and what it is made of, as an entry carries it in `said`."""
    text = MADE[key].format_map(words)
    return text, {"key": key, "words": words, "text": text}


def with_article(words: str) -> str:
    """Words with their article: `a length`, `an angular speed`. By the letter, not the sound."""
    return f"{'an' if words[:1].casefold() in tuple('aeiou') else 'a'} {words}"
