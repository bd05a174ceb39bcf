"""What holds at the end of the path without power, and how far the hook sinks before it does."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from pitcrew.base.units import mark
from pitcrew.domain.holding.asking import TORQUE, Ask, Carried
from pitcrew.domain.holding.joints import own
from pitcrew.domain.holding.links import Link

SINKING = {
    "motor-brake": "A motor in brake mode sinks: keep clear.",
    "none": "Nothing holds it without power: keep clear.",
}


@dataclass(frozen=True)
class Seat:
    """How a device catches: what it sinks at the hook before it does (m, None where unknown), with what that rests on."""

    catches: bool
    drop: float | None = None


def device_links(ask: Ask, carried: Carried, word: str) -> Iterator[Link]:
    """The links of the device that the table names."""
    yield from _DEVICES.get(word, _plain)(ask, carried)


def _plain(ask: Ask, carried: Carried) -> Iterator[Link]:
    yield from own(ask, carried)


def _ratchet(ask: Ask, carried: Carried) -> Iterator[Link]:
    """The tooth that the pawl bears on."""
    strength = ask.number("tooth_strength", "strength of a tooth", "force", needed=True)
    force = tooth_force(ask, carried)
    if strength is None:
        yield ask.inspected(carried, suffix=", tooth")
        return
    shown = f" and carries {mark(force, 'force')}" if force is not None else ""
    at = Carried("force", force, carried.inputs, carried.needs)
    yield ask.link(at, strength, f"A tooth or the pawl breaks at {mark(strength, 'force')}{shown}.", "metal", suffix=", tooth")


def tooth_force(ask: Ask, carried: Carried) -> float | None:
    """Force on the tooth in N: the torque at the radius where the pawl bears, or the force on a rack."""
    if carried.kind != TORQUE:
        return carried.value
    radius = ask.number("pawl_radius", "axis to pawl", "length", needed=True)
    return None if radius is None or carried.value is None else carried.value / radius


_DEVICES: dict[str, Callable[[Ask, Carried], Iterator[Link]]] = {"ratchet": _ratchet}


def ratchet_drop(ask: Ask, carried: Carried, weight: float) -> float | None:
    """How far the hook sinks for one tooth, m: by virtual work the wheel's turn times its torque over the weight.

    The worse of that and the last reading counts.
    """
    if carried.kind == TORQUE:
        teeth = ask.number("teeth", "teeth", "number", needed=True)
        turn = None if teeth is None else 2 * math.pi / teeth
    else:
        turn = ask.number("pitch", "pitch of the rack", "length", needed=True)
    computed = None if turn is None or carried.value is None else turn * carried.value / weight
    taken = ask.site.measured.of(ask.part.id, "drop") if ask.part else None
    return ask.note("drop", "drop per tooth", "length", computed, taken, max)
