"""What holds at the end of the path without power, and how far the hook sinks before it catches."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import mark
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Carried
from pitcrew.domain.holding.joints import own
from pitcrew.domain.holding.links import Link
from pitcrew.domain.holding.ropes import SIZE, figure
from pitcrew.domain.holding.shafts import pin
from pitcrew.engineering.figures import Outcome

SINKING = {
    "motor-brake": "A motor in brake mode sinks: keep clear.",
    "none": "Nothing holds it without power: keep clear.",
}
TURNED = "a drum, sprocket, pulley or arm before it, since it holds a torque"
SINKS, UNSURE = "sinks, keep clear", "uncertain whether it holds"


def device_links(ask: Ask, carried: Carried, word: str) -> Iterator[Link]:
    """The links of the device that the table names."""
    yield from _DEVICES[word](ask, carried)


def tooth_force(ask: Ask, carried: Carried) -> float | None:
    """Force on the tooth in N: the torque at the radius where the pawl bears, or the force on a
    rack."""
    if carried.kind != TORQUE:
        if ask.specs.get("pawl_radius"):
            ask.lack("hands_on", "a drum, sprocket, pulley or arm before its wheel")
            return None
        return carried.value
    radius = ask.number("pawl_radius", "axis to pawl", "length", needed=True)
    return None if radius is None or carried.value is None else carried.value / radius


def _ratchet(ask: Ask, carried: Carried) -> Iterator[Link]:
    """The tooth that the pawl bears on, and the width of the wheel."""
    strength = ask.number("tooth_strength", "strength of a tooth", "force", needed=True)
    force = tooth_force(ask, carried)
    shown = f" and carries {mark(force, 'force')}" if force is not None else ""
    at = Carried(FORCE, force, carried.inputs, carried.needs)
    if strength is None:
        yield ask.inspected(at, suffix=", tooth")
    else:
        yield ask.link(
            at,
            strength,
            f"A tooth or the pawl breaks at {mark(strength, 'force')}{shown}.",
            "metal",
            suffix=", tooth",
        )
    if carried.kind == TORQUE:
        yield _width(ask, carried)


def _width(ask: Ask, carried: Carried) -> Link:
    """The torque that the handbook allows a wheel of this width and pitch, with shock."""
    width = ask.number("width", "width of the wheel", "length", needed=True)
    teeth, radius = (
        ask.number("teeth", "teeth", "number", needed=True),
        ask.number("pawl_radius", "axis to pawl", "length"),
    )
    if width is None or teeth is None or radius is None:
        return ask.inspected(carried, suffix=", width")
    pitch = 2 * math.pi * radius / teeth
    try:
        least = figure("ratchet-pitch", torque=1.0, width=width, teeth=int(teeth), service="shock")
    except PitcrewError as error:
        return ask.inspected(carried, error.sentence, suffix=", width")
    allowed = (pitch / least.value) ** 2
    because = (
        f"A wheel {mark(width, 'length')} wide with a pitch of {mark(pitch, 'length')} takes "
        f"{mark(allowed, 'torque')} with shock (Machinery's Handbook)."
    )
    return ask.link(carried, allowed, because, "derated", suffix=", width", kind=SIZE)


def _brake(ask: Ask, carried: Carried) -> Iterator[Link]:
    """The torque that it holds: half of a closed unit's rated torque; of open pads or a band what
    is left with grease on it."""
    if carried.kind != TORQUE:
        ask.lack("hands_on", TURNED)
        yield ask.inspected(carried)
        return
    style = ask.word("style", "style", needed=True)
    held, because = _HELD[style](ask) if style in _HELD else (None, "")
    if held is None:
        yield ask.inspected(carried)
        return
    rated = ask.number("rated_torque", "rated torque", "torque") if style != "closed" else None
    if rated is not None and rated / 2 < held:
        held, because = rated / 2, f"Half of its rated {mark(rated, 'torque')} counts, the least."
    taken = ask.site.measured.of(ask.part.id, "torque") if ask.part else None
    if taken is not None:
        held = ask.note("torque", "torque at which it slips", "torque", held, taken, min)
    yield ask.link(carried, held, because, "derated")


def _closed(ask: Ask) -> tuple[float | None, str]:
    rated = ask.number("rated_torque", "rated torque", "torque", needed=True)
    return (
        (None, "")
        if rated is None
        else (rated / 2, f"Half of its rated {mark(rated, 'torque')} counts.")
    )


def _greasy(ask: Ask) -> float | None:
    """The friction with grease on it: the lower of the lining's and the stated one."""
    lining, stated = (
        ask.word("lining", "lining"),
        ask.number("friction", "greasy friction", "number", worse=min),
    )
    found = [figure("brake-friction", lining=lining, state="greasy").value] if lining else []
    if stated is not None:
        found.append(stated)
    if not found:
        ask.lack("lining", "lining")
    return min(found, default=None)


def _pads(ask: Ask) -> tuple[float | None, str]:
    friction, force = _greasy(ask), ask.number("force", "force on each pad", "force", needed=True)
    outer, inner = (
        ask.number("outer", "outer diameter", "length", needed=True),
        ask.number("inner", "inner diameter", "length", needed=True),
    )
    faces = ask.number("faces", "faces", "number", needed=True)
    if friction is None or force is None or outer is None or inner is None or faces is None:
        return None, ""
    found = figure(
        "disc-brake-hold",
        friction=friction,
        force=force,
        outer=outer,
        inner=inner,
        faces=int(faces),
    )
    return found.value, f"{found.because} That is with grease on it."


def _band(ask: Ask) -> tuple[float | None, str]:
    friction, angle = _greasy(ask), ask.number("angle", "wrap of the band", "angle", needed=True)
    tension, drum = (
        ask.number("tension", "pull on the band", "force", needed=True),
        ask.number("drum", "drum", "length", needed=True),
    )
    if friction is None or angle is None or tension is None or drum is None:
        return None, ""
    found = figure("band-brake-hold", friction=friction, angle=angle, tension=tension, drum=drum)
    return found.extras["worse"], f"{found.because} The worse way counts."


_HELD: dict[str, Callable[[Ask], tuple[float | None, str]]] = {
    "closed": _closed,
    "pads": _pads,
    "band": _band,
}


def _one_way(ask: Ask, carried: Carried) -> Iterator[Link]:
    """A one-way bearing by its maker's torque, which a soft or hexagonal shaft voids."""
    rated, hard = (
        ask.number("rated_torque", "rated torque", "torque", needed=True),
        ask.word("hardened_shaft", "hardened shaft"),
    )
    if hard != "yes":
        ask.lack("hardened_shaft", "a hardened round shaft, without which its rating is void")
    if carried.kind != TORQUE:
        ask.lack("hands_on", TURNED)
    if rated is None or hard != "yes" or carried.kind != TORQUE:
        yield ask.inspected(carried)
        return
    yield ask.link(
        carried,
        rated,
        f"Its maker rates it at {mark(rated, 'torque')} on a hardened shaft.",
        "rating",
    )


def _worm(ask: Ask, carried: Carried) -> Iterator[Link]:
    """A worm or screw: whether it runs back, then its strength."""
    found = _backwards(ask)
    if found is not None and not found.extras["locks"]:
        ask.needs.append(f"{ask.label}: {UNSURE if found.extras['uncertain'] else 'it runs back'}")
    because = found.because if found else ""
    yield from (
        replace(link, because=f"{because} {link.because}".strip()) for link in own(ask, carried)
    )


def _backwards(ask: Ask) -> Outcome | None:
    """Whether the load turns it back: by its efficiency, or by its lead angle and friction. Where
    both are stated the worse counts."""
    found = []
    lead = ask.number("lead_angle", "lead angle", "angle", worse=max)
    if lead is not None:
        friction = ask.number(
            "friction", "friction of its greasy teeth", "number", worse=min, needed=True
        )
        if friction is not None:
            found.append(figure("worm-hold", lead_angle=lead, friction=friction))
    efficiency = ask.number(
        "efficiency", "efficiency when the motor drives", "number", worse=max, needed=lead is None
    )
    if efficiency is not None:
        found.append(figure("back-drive", efficiency=efficiency))
    return min(
        found, key=lambda item: (item.extras["locks"], item.extras["uncertain"]), default=None
    )


def _over_center(ask: Ask, carried: Carried) -> Iterator[Link]:
    """A linkage past its center: it holds by where it rests, which is looked at."""
    past = ask.number("past_center", "how far past its center", "length", worse=min, needed=True)
    if past is not None and past <= 0:
        ask.needs.append(f"{ask.label}: it does not go past its center")
    for key, label in (("stop", "a solid stop"), ("latch", "a latch that keeps it there")):
        if ask.word(key, label) != "yes":
            ask.lack(key, label)
    yield from own(ask, carried)


def _sinking(ask: Ask, carried: Carried) -> Iterator[Link]:
    """What never makes a cleared climb."""
    ask.needs.append(f"{ask.label}: {SINKS}")
    link = ask.inspected(carried)
    yield replace(link, because=SINKING[getattr(ask.item, "holds", "none")], inspection_key="")


_DEVICES: dict[str, Callable[[Ask, Carried], Iterator[Link]]] = {
    "ratchet": _ratchet,
    "brake": _brake,
    "one-way": _one_way,
    "worm": _worm,
    "over-center": _over_center,
    "pin": pin,
    "motor-brake": _sinking,
    "none": _sinking,
}


def catching_drop(ask: Ask, carried: Carried, word: str) -> float | None:
    """How far the hook sinks until a device catches that catches with a jerk, m; None where that is
    not known.

    By virtual work the wheel's turn times its torque over the weight. The worse of that and the
    last reading counts.
    """
    if word == "pin":
        return ask.number("spacing", "play from hole to hole", "length", worse=max, needed=True)
    turn = _lost_turn(ask, carried, word)
    computed = (
        None if turn is None or carried.value is None else turn * carried.value / ask.site.weight
    )
    taken = ask.site.measured.of(ask.part.id, "drop") if ask.part else None
    return ask.note(
        "drop", "drop per tooth" if word == "ratchet" else "drop", "length", computed, taken, max
    )


def _lost_turn(ask: Ask, carried: Carried, word: str) -> float | None:
    """What the device gives before it catches: an angle, or a length where a force arrives."""
    if word == "one-way":
        turn = ask.number("lost_motion", "lost motion", "angle", worse=max, needed=True)
        return turn if carried.kind == TORQUE else None
    if carried.kind != TORQUE:
        return ask.number("pitch", "pitch of the rack", "length", needed=True)
    teeth = ask.number("teeth", "teeth", "number", needed=True)
    return None if teeth is None else 2 * math.pi / teeth


CATCHING = ("ratchet", "one-way", "pin")
"""Devices that catch with a jerk."""
