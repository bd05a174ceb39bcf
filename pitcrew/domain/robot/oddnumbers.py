"""Numbers of a part that fit its fields and yet cannot be right together, told when the sheet is
loaded: a chain that breaks under its own drive, a stud that no table has."""

from collections.abc import Iterator, Mapping
from typing import Any

from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import show
from pitcrew.domain.robot.mistakes import Mistakes
from pitcrew.engineering.catalogue import find

LEAST_SHARE = 4
"""A chain carries at most a quarter of what breaks it (common practice)."""


def tell_of_numbers(parts: Mapping[str, Any], mistakes: Mistakes) -> None:
    """Notice each such number by its place; nothing is left out of the sheet for it."""
    for part in parts.values():
        for key, right in _odd(part.kind, part.specs):
            found = part.typed.get(key, part.specs[key])
            mistakes.notice(f"part {part.id}, {key}", found, right)


def _odd(kind: str, specs: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """The field and what is wanted there."""
    if kind == "roller-chain" and "load" in specs and "size" in specs:
        yield from _overloaded(specs)
    if "stud" in specs:
        try:
            find("stud-torque").compute({"stud": specs["stud"]})
        except PitcrewError as error:
            yield "stud", f"a stud whose torque is known. {error.sentence}"


def _overloaded(specs: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """A chain whose load is above what its weakest link carries."""
    link = {"link": specs["link"]} if "link" in specs else {}
    try:
        bears = find("chain-strength").compute({"size": specs["size"], **link}).value
    except PitcrewError:
        return  # told as a wrong word
    if specs["load"] > bears / LEAST_SHARE:
        weakest = f"with its {specs['link']} " if link else ""
        least, breaks = show(bears / LEAST_SHARE, "N", 3), show(bears, "N", 3)
        yield (
            "load",
            f"at most {least}: a {specs['size']} chain {weakest}breaks at {breaks}, and a quarter"
            " of that is the most",
        )
