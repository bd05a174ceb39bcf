"""How each step hands the load on: force to force, force to torque and back, torque to torque.
Efficiency counts as 1, because friction cannot be counted on to hold."""

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import show
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Carried, Site, Stage, Worse
from pitcrew.domain.holding.links import PathInput
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.engineering.chainsizes import chain


class LeastAsk(Ask):
    """Asks for the smallest load that the numbers allow, where less load is the worse."""

    def worst(self, worse: Worse) -> Worse:
        """The other of min and max."""
        return min if worse is max else max


Handed = tuple[Carried, Carried]
ROPES = ("wire-rope", "cord")
LINES = (*ROPES, "roller-chain", "timing-belt")
ALIKE = 0.001
"""Two radii that differ by less than this share say the same."""
FITTING = {
    "drum": ("drum",),
    "sprocket": ("sprocket",),
    "pulley": ("pulley", "drum"),
    "arm": ("arm",),
}
"""The words that use the size of a part of each kind; by another word its size would be left out.
"""
TURNING = ("drum", "sprocket", "arm")
"""Kinds of parts that never hand on what arrives at them as it is."""


def walk(site: Site, carried: Carried, asks: type[Ask] = Ask) -> Iterator[Stage]:
    """Every step with what arrives at it and what it hands on."""
    rope: Part | None = None
    for step in site.table.steps:
        part = site.robot.parts.get(step.part)
        own_load, after = hand_on(asks(site, step, part), carried, rope)
        yield Stage(step, part, carried, own_load, after)
        rope = part if part is not None and part.kind in ROPES else rope
        carried = after


def hand_on(ask: Ask, before: Carried, rope: Part | None) -> Handed:
    """What one of this step carries, and what it hands on; `rope` is the rope or cord last passed.
    Unknown where a number lacks."""
    word = getattr(ask.item, "hands_on", "")
    kind = ask.part.kind if ask.part else ""
    if word in _RADIUS and word not in FITTING.get(kind, (word,)):
        ask.lack("hands_on", f"hands_on {FITTING[kind][0]}, so that its own size counts")
        return before, _with(ask, TORQUE if before.kind == FORCE else FORCE, None, before)
    if word in ("lines", "falls") and before.kind != FORCE:
        ask.lack("hands_on", f"a pull before the {word}: a torque arrives")
        return before, _with(ask, before.kind, None, before)
    if not word and _must_turn(ask):
        ask.lack("hands_on", "how it hands the load on")
        return before, _with(ask, before.kind, None, before)
    if word in ("lines", "falls", "ratio", "gear"):
        return _WAYS[word](ask, before)
    if word:
        return before, _lever(ask, before, word, rope)
    return before, before


def _must_turn(ask: Ask) -> bool:
    """Whether a step without a word for it must hand the load on in some way: its kind does, or a
    number for it is stated."""
    if getattr(ask.item, "holds", ""):
        return False
    numbers = ("falls", "ratio", "sides", "layers", "radius")
    kind = ask.part.kind if ask.part else ""
    return kind in TURNING or any(getattr(ask.item, name, None) is not None for name in numbers)


def _with(ask: Ask, kind: str, value: float | None, before: Carried) -> Carried:
    return Carried(
        kind,
        value,
        tuple(dict.fromkeys((*before.inputs, *ask.inputs))),
        tuple(dict.fromkeys((*before.needs, *ask.needs))),
    )


def _each(ask: Ask, total: Carried, key: str, label: str) -> Carried:
    """What one of several lines or sides carries: its part through an equalizer, else all of it."""
    equal = bool(getattr(ask.item, "equaliser", False))
    told = key == "lines" or equal  # then several are meant, and one alone would give more
    count = ask.number(key, label, "number", needed=told) or 1
    if count > 1:
        ask.inputs.append(PathInput("equaliser", "equalizer", "yes" if equal else "no"))
    shared = total.value / count if equal and total.value is not None else total.value
    return _with(ask, total.kind, shared, total)


def _lines(ask: Ask, before: Carried) -> Handed:
    return _each(ask, before, "lines", "lines"), before


def _falls(ask: Ask, before: Carried) -> Handed:
    falls = ask.number("falls", "parts of the line", "number", needed=True)
    shared = None if before.value is None or falls is None else before.value / falls
    pull = _with(ask, before.kind, shared, before)
    return pull if _is_line(ask) else before, pull


def _is_line(ask: Ask) -> bool:
    """Whether it is the line itself, of which each fall carries its part; a block or hook that the
    line goes around carries all."""
    if ask.part is not None:
        return ask.part.kind in LINES
    return getattr(ask.item, "material", "") in ("textile", "wire rope", "roller chain", "chain")


def _ratio(ask: Ask, before: Carried) -> Handed:
    """The pull in a driven member: the robot's weight times how far the hook moves when it moves by
    1 (virtual work)."""
    ratio = ask.number(
        "ratio", "movement of the hook for one of it", "number", worse=max, needed=True
    )
    total = _with(ask, FORCE, None if ratio is None else ask.site.weight * ratio, before)
    if ratio is not None:
        # the ratio counts from the hook, so what was missing on the way does not matter here
        total = replace(total, needs=tuple(ask.needs))
    return _each(ask, total, "sides", "sides"), total


def _gear(ask: Ask, before: Carried) -> Handed:
    ratio = ask.number("ratio", "turns of the next shaft for one", "number", needed=True)
    if before.kind != TORQUE:
        ask.lack("gear", "a drum, sprocket, pulley or arm before the gears")
        return before, _with(ask, TORQUE, None, before)
    after = _with(
        ask, TORQUE, None if ratio is None or before.value is None else before.value / ratio, before
    )
    # of the two wheels the one with the larger torque has the more to carry
    return (after if ratio is not None and ratio < 1 else before), after


_WAYS: dict[str, Callable[[Ask, Carried], Handed]] = {
    "lines": _lines,
    "falls": _falls,
    "ratio": _ratio,
    "gear": _gear,
}


def _lever(ask: Ask, before: Carried, word: str, rope: Part | None) -> Carried:
    """Force to torque at a lever, or torque to force."""
    outwards = before.kind == FORCE
    radius = _RADIUS[word](ask, rope, outwards)
    value = None
    if radius is not None and before.value is not None:
        value = before.value * radius if outwards else before.value / radius
    return _with(ask, TORQUE if outwards else FORCE, value, before)


def drum_radius(ask: Ask, rope: Part | None, outermost: bool = True) -> float | None:
    """From the drum's axis to the middle of the rope in its outermost layer, or in its innermost:
    there a small drum and a thin rope are the worse."""
    worse: Worse = max if outermost else min
    key = "diameter" if "diameter" in ask.specs else "drum"

    def of_part(needed: bool) -> float | None:
        diameter = ask.number(
            key, "diameter of the bare drum", "length", worse=worse, needed=needed
        )
        return None if diameter is None else diameter / 2

    bare = _worse_radius(ask, "radius of the bare drum", worse, of_part)
    thick = _rope_diameter(ask, rope, worse)
    layers = (
        ask.number("layers", "layers on the drum at the top", "number", worse=max, needed=True)
        if outermost
        else 1
    )
    if bare is None or thick is None or layers is None:
        return None
    return bare + thick * (layers - 0.5)


def _worse_radius(
    ask: Ask, label: str, worse: Worse, of_part: Callable[[bool], float | None]
) -> float | None:
    """The radius that the part's own sizes give, or the one that its step states, in m; where both
    do, the worse.

    `of_part(needed)` computes the first, and names what lacks where it is `needed`.
    """
    stated = ask.number("radius", label, "length", worse=worse)
    computed = of_part(stated is None)
    if stated is None or computed is None:
        return computed if stated is None else stated
    if not math.isclose(stated, computed, rel_tol=ALIKE):
        ask.disagree("radius", show(computed, "mm"), show(stated, "mm"))
    return ask.worst(worse)(stated, computed)


def _rope_diameter(ask: Ask, rope: Part | None, worse: Worse) -> float | None:
    """How thick the rope on a drum is: the worse of sheet and reading."""
    label = "diameter of the rope on it"
    if rope is None:
        return ask.number("rope", label, "length", needed=True)
    taken, stated = ask.site.measured.of(rope.id, "diameter"), rope.specs.get("diameter")
    return ask.note(
        "rope",
        label,
        "length",
        None if stated is None else float(stated),
        taken,
        worse,
        needed=True,
    )


def least_lever(ask: Ask, word: str, rope: Part | None) -> float | None:
    """The smallest lever of a drum, sprocket, pulley or arm, m: there a motor pulls the most."""
    return _RADIUS[word](ask, rope, False)


def _drum(ask: Ask, rope: Part | None, outwards: bool) -> float | None:
    return drum_radius(ask, rope, outwards)


def _sprocket(ask: Ask, rope: Part | None, outwards: bool) -> float | None:
    """Pitch radius of a sprocket: p / (2 sin(π/N))."""

    def of_part(needed: bool) -> float | None:
        teeth, size = (
            ask.number("teeth", "teeth", "number", needed=needed),
            ask.word("size", "chain size", needed=needed),
        )
        if teeth is None or size is None:
            return None
        try:
            pitch = chain(size).pitch
        except PitcrewError:
            ask.lack("size", "a chain size that the tables have")
            return None
        return pitch / (2 * math.sin(math.pi / teeth))

    return _worse_radius(ask, "pitch radius", max if outwards else min, of_part)


def _pulley(ask: Ask, rope: Part | None, outwards: bool) -> float | None:
    """Pitch radius of a pulley, from its teeth and pitch and its diameter, whichever is stated; the
    worse of both."""
    worse: Worse = max if outwards else min

    def of_part(needed: bool) -> float | None:
        by_teeth = None
        if ask.specs.get("teeth") and ask.specs.get("pitch"):
            teeth, pitch = (
                ask.number("teeth", "teeth", "number"),
                ask.number("pitch", "pitch", "length"),
            )
            by_teeth = (teeth or 0) * (pitch or 0) / (2 * math.pi)
        diameter = ask.number(
            "diameter", "pitch diameter", "length", needed=needed and by_teeth is None
        )
        if diameter is None or by_teeth is None:
            return by_teeth if diameter is None else diameter / 2
        return ask.worst(worse)(diameter / 2, by_teeth)

    return _worse_radius(ask, "pitch radius", worse, of_part)


def _arm(ask: Ask, rope: Part | None, outwards: bool) -> float | None:
    worse: Worse = max if outwards else min

    def of_part(needed: bool) -> float | None:
        return ask.number("length", "from shaft to hook", "length", worse=worse, needed=needed)

    return _worse_radius(ask, "lever", worse, of_part)


_RADIUS: dict[str, Callable[[Ask, Part | None, bool], float | None]] = {
    "drum": _drum,
    "sprocket": _sprocket,
    "pulley": _pulley,
    "arm": _arm,
}
