"""Which numbers of a step of the hold path each of its words computes with."""

from typing import Any

from pitcrew.domain.robot.mistakes import Mistakes

USES: dict[str, tuple[str, ...]] = {
    "lines": ("lines", "equaliser"),
    "falls": ("falls",),
    "ratio": ("ratio", "sides", "equaliser"),
    "drum": ("layers", "radius"),
    "sprocket": ("radius",),
    "pulley": ("radius",),
    "arm": ("radius",),
    "gear": ("ratio", "radius"),
}
"""The numbers that each of these words computes with; any other would be left out of the load."""


def name_unused(values: dict[str, Any], place: str, mistakes: Mistakes) -> None:
    """Name each number that this step's word does not compute with, and take the word out: what was
    meant is not known, so the load below it is not either."""
    word, holds = values.get("hands_on", ""), values.get("holds", "")
    if not word and not holds:
        return  # a number without a word is named where the path is computed
    used = USES.get(word, ("radius",) if holds == "pin" else ())
    numbers = dict.fromkeys(name for names in USES.values() for name in names)
    left = [name for name in numbers if values.get(name) and name not in used]
    for name in left:
        fits = " or ".join(way for way, names in USES.items() if name in names)
        mistakes.add(
            f"{place}, {name}",
            values[name],
            f"no {name} on a step with the word {word or holds}: {fits} computes with it, and two"
            " words are two steps",
        )
    if left:
        values.pop("hands_on", None)
