"""What a bolted joint clamps and which nut it has: what loosens or cracks there, told when the
sheet is loaded."""

from collections.abc import Mapping
from typing import Any

from pitcrew.domain.robot.mistakes import NOTHING, Mistakes
from pitcrew.engineering.plates import unknown_layers

_WANT_LAYERS = {
    "thread-locker": "Thread-locker cracks polycarbonate, ABS and acrylic",
    "none": "Polycarbonate bears little, and the torque is worked out as if all were metal",
}


def tell_of_joints(parts: Mapping[str, Any], mistakes: Mistakes) -> None:
    """A nylon nut used twice in the hold path is a mistake; a thread-locked joint had better say
    what it clamps."""
    for part in parts.values():
        place = f"part {part.id}"
        if part.climb_critical and part.specs.get("nut", "new") != "new":
            right = "new: what the robot hangs on gets a new nylon nut each time it comes off"
            mistakes.add(f"{place}, nut", part.specs["nut"], right)
        locking = str(part.specs.get("locking"))
        if locking in _WANT_LAYERS and "layers" not in part.specs:
            right = f"layers: what the bolts clamp. {_WANT_LAYERS[locking]}"
            mistakes.notice(f"{place}, layers", NOTHING, right, 'layers = "6061-T6; steel"')
        elif locking == "thread-locker":
            _tell_of_layers(place, part.specs["layers"], mistakes)


def _tell_of_layers(place: str, layers: object, mistakes: Mistakes) -> None:
    """A layer that no one here knows is not taken as one that thread-locker leaves alone."""
    unknown = unknown_layers(layers)
    if unknown:
        right = (
            f"a material known here instead of {' and '.join(unknown)}, such as steel, 6061-T6 or"
            " polycarbonate. Thread-locker cracks polycarbonate, ABS and acrylic: keep it off what"
            " may be one"
        )
        mistakes.notice(f"{place}, layers", layers, right)
