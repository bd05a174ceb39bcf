"""What yields in what turns: shafts that are twisted and bent, keys, pins, and pulleys that only
turn a rope."""

import math
from collections.abc import Iterator
from dataclasses import replace

from pitcrew.base.units import mark
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Carried, Stage
from pitcrew.domain.holding.joints import SHEAR, own
from pitcrew.domain.holding.links import Link
from pitcrew.domain.holding.ropes import figure

BENDING = "bending"
HEX_BENDING = 5 / 48
"""Section modulus of a hexagon over its width across flats cubed: I = 5√3/144·s⁴ over the corner's
s/√3."""


PRESSURE_ANGLE = math.radians(20)
"""Of the teeth of spur gears (ISO 53)."""
TURNS_ONLY = ("shaft", "one-way", "gearbox")
"""Kinds that hand a torque on and pull to no side: a gearbox has bearings of its own."""


def shaft(ask: Ask, stage: Stage, pulls: list[Carried]) -> Iterator[Link]:
    """A shaft: twist, its key, and bending between its bearings under the pulls beside it. Where
    nothing is stated, or no span: inspected. Where its numbers are not complete: what lacks counts
    against it."""
    torque = stage.of_kind(TORQUE) or stage.own
    begun = torque.kind == TORQUE and ask.begun("shape", "size", "yield_strength")
    shape = ask.word("shape", "section", needed=begun)
    size = ask.number("size", "size", "length", worse=min, needed=begun)
    stress = ask.number("yield_strength", "yield stress", "pressure", needed=begun)
    if shape is None or size is None or stress is None or torque.kind != TORQUE:
        yield ask.inspected(
            stage.own, "Its section, size or material is not stated.", suffix=", twist"
        )
        yield ask.inspected(stage.own, suffix=", bending", kind=BENDING)
        return
    each = figure("shaft-torsion", shape=shape, size=size, torque=1.0).value
    strength = SHEAR * stress / each
    because = f"It yields at {mark(stress, 'stress')}, twisted by {mark(strength, 'torque')}."
    yield ask.link(torque, strength, because, "yield", suffix=", twist")
    if any(name.startswith("key_") for name in ask.specs):
        yield _key(ask, torque, size)
    yield _bending(ask, torque, pulls, shape, size, stress, each)


def _key(ask: Ask, torque: Carried, size: float) -> Link:
    """The key in the shaft: the weaker of shear and bearing."""
    width, height = (
        ask.number("key_width", "width of the key", "length", needed=True),
        ask.number("key_height", "height of the key", "length", needed=True),
    )
    length, stress = (
        ask.number("key_length", "length of the key", "length", needed=True),
        ask.number("key_yield", "yield stress of the key", "pressure", needed=True),
    )
    if width is None or height is None or length is None or stress is None:
        return ask.inspected(torque, "The key is not stated in full.", suffix=", key")
    found = figure(
        "key-shear", width=width, height=height, length=length, diameter=size, torque=1.0
    )
    strength = min(SHEAR * stress / found.value, stress / found.extras["bearing"])
    because = (
        f"The key yields at {mark(stress, 'stress')}, sheared or crushed by "
        f"{mark(strength, 'torque')}."
    )
    return ask.link(torque, strength, because, "yield", suffix=", key")


def _bending(
    ask: Ask,
    torque: Carried,
    pulls: list[Carried],
    shape: str,
    size: float,
    stress: float,
    twist: float,
) -> Link:
    """Bending by the pull in the middle between the bearings, with the twist at the same place
    (distortion energy)."""
    span = ask.number("span", "span between its bearings", "length")
    pull = _together(pulls)
    if span is None or pull is None:
        return ask.inspected(
            pull or torque,
            "Its span is not stated." if span is None else "",
            suffix=", bending",
            kind=BENDING,
        )
    if pull.value is None or torque.value is None:
        why = "What pulls on it from the side is not known."
        return ask.inspected(pull, why, suffix=", bending", kind=BENDING)
    section = HEX_BENDING * size**3 if shape == "hex" else math.pi * size**3 / 32
    bent, twisted = pull.value * span / 4 / section, torque.value * twist
    both = math.sqrt(bent**2 + 3 * twisted**2)
    because = (
        f"{mark(pull.value, 'force')} in the middle of {mark(span, 'length')} bend it with "
        f"{mark(bent, 'stress')}; with the twist {mark(both, 'stress')} of "
        f"{mark(stress, 'stress')}."
    )
    noted = replace(pull, inputs=tuple(dict.fromkeys((*pull.inputs, *torque.inputs))))
    return ask.link(
        noted, pull.value * stress / both, because, "yield", suffix=", bending", kind=BENDING
    )


def pull_of(stage: Stage) -> Carried | None:
    """The force with which a step pulls on the shaft beside it, in N; None where it only turns it,
    of unknown value where the force cannot be known.

    A rope, chain or belt pulls with its own force; a pawl or pin with the torque over its radius; a
    gear with that over its pitch radius and the cosine of the pressure angle (Shigley, spur gears).
    """
    force = stage.of_kind(FORCE)
    if force is not None:
        return force
    kind, torque = stage.part.kind if stage.part else "", stage.own
    if kind in TURNS_ONLY or _is_closed(stage):
        return None
    radius = _radius_of(stage)
    if radius is None or torque.value is None:
        return Carried(FORCE, None, torque.inputs, torque.needs)
    times = math.cos(PRESSURE_ANGLE) if stage.step.hands_on == "gear" else 1.0
    return Carried(FORCE, torque.value / radius / times, torque.inputs, torque.needs)


def _radius_of(stage: Stage) -> float | None:
    """Where the force of a pawl, a pin or a gear acts, m from the axis; the smaller where part and
    step differ."""
    specs = stage.part.specs if stage.part else {}
    stated = [specs.get("pawl_radius"), specs.get("radius"), stage.step.radius]
    return min((float(radius) for radius in stated if radius), default=None)


def _is_closed(stage: Stage) -> bool:
    """Whether it is a brake in a housing of its own, which turns the shaft and does not pull."""
    part = stage.part
    return part is not None and part.kind == "brake" and part.specs.get("style") == "closed"


def _together(pulls: list[Carried]) -> Carried | None:
    """The pulls beside a shaft as if all of them went one way; unknown where one of them is."""
    if not pulls:
        return None
    values = [pull.value for pull in pulls]
    total = None if None in values else sum(value for value in values if value is not None)
    inputs = tuple(dict.fromkeys(item for pull in pulls for item in pull.inputs))
    return Carried(
        FORCE, total, inputs, tuple(dict.fromkeys(need for pull in pulls for need in pull.needs))
    )


def pin(ask: Ask, carried: Carried) -> Iterator[Link]:
    """A pin that is sheared and crushed: by a force, or by a torque at its radius."""
    across = carried
    if carried.kind == TORQUE:
        radius = ask.number("radius", "axis to pin", "length", needed=True)
        value = None if radius is None or carried.value is None else carried.value / radius
        across = Carried(FORCE, value, carried.inputs, carried.needs)
    begun = ask.begun("diameter", "planes", "plate", "yield_strength")
    diameter, planes = (
        ask.number("diameter", "diameter", "length", worse=min, needed=begun),
        ask.number("planes", "planes", "number", needed=begun),
    )
    plate, stress = (
        ask.number("plate", "plate", "length", needed=begun),
        ask.number("yield_strength", "yield stress", "pressure", needed=begun),
    )
    if diameter is None or planes is None or plate is None or stress is None:
        yield from own(ask, across)
        return
    found = figure("pin-shear", diameter=diameter, load=1.0, planes=int(planes), plate=plate)
    strength = min(SHEAR * stress / found.value, stress / found.extras["bearing"])
    because = (
        f"The pin yields at {mark(stress, 'stress')}, sheared or crushed by "
        f"{mark(strength, 'force')}."
    )
    yield ask.link(across, strength, because, "yield")


def lever(ask: Ask, stage: Stage) -> Iterator[Link]:
    """A drum, sprocket, pulley or arm: against the force at it, against its torque, by whatever
    strength is stated."""
    force = stage.own if stage.own.kind == FORCE else stage.of_kind(FORCE)
    torque = stage.own if stage.own.kind == TORQUE else stage.of_kind(TORQUE)
    stated = [
        (carried, key)
        for carried, key in ((force, "strength"), (torque, "torque_strength"))
        if carried is not None and (getattr(ask.item, key, None) or ask.specs.get(key))
    ]
    if not stated:
        yield ask.inspected(stage.own)
    for carried, key in stated:
        if carried is not None:
            yield from own(
                ask, carried, ", torque" if len(stated) > 1 and key == "torque_strength" else ""
            )


def idler(ask: Ask, stage: Stage) -> Iterator[Link]:
    """A pulley that only turns a rope: its axle carries up to twice the pull."""
    wrap = ask.number("wrap", "wrap", "angle")
    if wrap is None:
        wrap = math.pi
        ask.assume("wrap", "wrap", wrap, "angle")
    times = 2 * math.sin(min(wrap, math.pi) / 2)
    value = None if stage.own.value is None else stage.own.value * times
    yield from own(ask, replace(stage.own, value=value))
