"""What breaks the members that pull: wire rope, cord, roller chain and toothed belt, after their
ends, knots and bends."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from pitcrew.base.errors import BadInput
from pitcrew.base.units import mark, number_text
from pitcrew.domain.holding.asking import Ask, Carried
from pitcrew.domain.holding.links import Link
from pitcrew.engineering import catalogue
from pitcrew.engineering.chainsizes import LINKS, link_kept
from pitcrew.engineering.cords import KNOTS_BY_FIBER, knot_left
from pitcrew.engineering.figures import Outcome

SIZE = "size"
"""Kind of a link that a rule of size judges: what it has over the least that it should have."""
WORST_BEND = 50.0
"""Percent left over a pin of one rope diameter, the worst of the published table."""
WORST_LINK = min(LINKS, key=lambda name: LINKS[name])


def figure(name: str, **arguments: Any) -> Outcome:
    """A figure of the catalogue with SI arguments; None is left out."""
    return catalogue.find(name).compute(
        {key: value for key, value in arguments.items() if value is not None}
    )


def wire_rope(ask: Ask, carried: Carried, drum: float | None) -> Iterator[Link]:
    """A wire rope, and the bend that wears it; `drum` is the bare drum that it winds on, where it
    does."""
    nominal = ask.specs["diameter"]
    thin = _thinned(ask)
    make, metal = ask.word("construction", "construction"), ask.word("material", "material")
    stated = ask.number("strength", "breaking force by its maker", "force")
    new = _lower(stated, "rope-strength", diameter=nominal, construction=make, material=metal)
    sheave = _sheave(ask, drum)
    if "termination" in ask.specs:
        yield _reduced(
            ask, carried, new * thin, sheave, ask.word("knot", "knot") or "none", "wire rope"
        )
    else:
        ask.lack("termination", "ends")
        yield ask.inspected(carried, "Its ends are not stated.")
    if sheave is not None:
        yield from _bent(ask, carried, sheave, construction=make)


def _lower(stated: float | None, name: str, **arguments: Any) -> float:
    """The lower of what a maker states and what a table has, N. Raises where neither is known."""
    try:
        found = figure(name, **arguments).value
    except BadInput:
        if stated is None:
            raise
        return stated
    return found if stated is None else min(found, stated)


def cord(ask: Ask, carried: Carried, drum: float | None) -> Iterator[Link]:
    """A cord or webbing, which has no table: its maker's breaking force counts, and what its knot
    leaves of its fiber."""
    thin = _thinned(ask)
    stated = ask.number("strength", "breaking force by its maker", "force", needed=True)
    if stated is None:
        yield ask.inspected(carried, "Nobody has stated its breaking force.")
        return
    sheave, knot = _sheave(ask, drum), _cord_knot(ask)
    if knot is None:
        yield ask.inspected(carried, "Nobody has published what this knot leaves of this fiber.")
        return
    fiber = ask.specs.get("fiber")
    if knot == 1 and ask.part is not None and "termination" not in ask.part.typed:
        ask.lack("termination", "ends, where there is no knot")
    yield _reduced(ask, carried, stated * thin, sheave, f"{100 * knot:.6g} %", "textile")
    if sheave is not None and fiber is not None:
        yield from _bent(ask, carried, sheave, fiber=fiber)


def _thinned(ask: Ask) -> float:
    """Part of the section that is left, by the thinnest place measured."""
    nominal: float = ask.specs["diameter"]
    diameter = ask.number("diameter", "diameter", "length", worse=min) or nominal
    return min(1.0, (diameter / nominal) ** 2)


def _sheave(ask: Ask, drum: float | None) -> float | None:
    """The smallest pulley or drum that it bends over, m. Where the sheet does not state it, the
    drum alone does not stand in: a smaller pulley may be on the way."""
    label, stated = "smallest pulley or drum it bends over", ask.specs.get("sheave")
    if stated is None:
        ask.lack("sheave", label, "m")
        return None
    if any(item.name == "sheave" and item.value is None for item in ask.inputs):
        return None
    return ask.number(
        "sheave", label, "length", stated=stated if drum is None else min(stated, drum)
    )


def _cord_knot(ask: Ask) -> float | None:
    """Part of its strength that the knot leaves of a cord; the worst fiber where the fiber is not
    stated."""
    knot, fiber = ask.word("knot", "knot", needed=True), ask.word("fiber", "fiber", needed=True)
    if knot is None:
        return None
    written = figure(
        "rope-load", strength=1.0, termination="none", bend="none", knot=knot, factor=1.0
    ).extras["kept"]
    try:
        number_text(float(str(knot).replace("%", "").replace(",", ".")))
        return float(written)  # a part kept, written as a number, stands for itself
    except ValueError:
        pass
    found = [
        left
        for name in ([fiber] if fiber else KNOTS_BY_FIBER)
        if (left := _left(name, knot)) is not None
    ]
    if not found:
        ask.lack("knot", "a knot that there are figures for in this fiber, or a splice")
        return None
    return min(found)


def _left(fiber: str, knot: str) -> float | None:
    try:
        return knot_left(fiber, knot)
    except BadInput:
        return None


def _reduced(
    ask: Ask, carried: Carried, strength: float, sheave: float | None, knot: str, material: str
) -> Link:
    """The link after its end, its knot, and its bend over the smallest pulley or drum."""
    end = ask.word("termination", "ends") or "none"
    bend = (
        figure("rope-bend", diameter=ask.specs["diameter"], sheave=sheave).value
        if sheave is not None
        else WORST_BEND
    )
    kept = figure(
        "rope-load", strength=strength, termination=end, bend=f"{bend} %", knot=knot, factor=1.0
    )
    because = (
        f"It breaks at {mark(strength, 'force')}; ends, knot and bend leave "
        f"{number_text(100 * kept.extras['kept'])} % of it, "
        f"{mark(kept.extras['reduced'], 'force')}; the bend alone {number_text(bend)} %."
    )
    return ask.link(carried, kept.extras["reduced"], because, material)


def _bent(ask: Ask, carried: Carried, sheave: float, **made_of: str | None) -> Iterator[Link]:
    """Whether a rope or cord bends over its smallest pulley no more sharply than its maker
    allows."""
    try:
        least = figure("sheave-least", diameter=ask.specs["diameter"], **made_of)
    except BadInput:
        return
    never = least.extras.get("critical", least.value)
    link = ask.link(
        carried,
        sheave,
        least.because,
        "derated",
        suffix=", bend",
        load=never,
        unit="m",
        kind=SIZE,
    )
    yield replace(link, needs=())


def roller_chain(ask: Ask, carried: Carried, drum: float | None = None) -> Iterator[Link]:
    """A roller chain at its weakest link; its maker's breaking force where ASME B29.1 has none."""
    size = ask.word("size", "size")
    stated = ask.number("strength", "breaking force by its maker", "force")
    link = ask.word("link", "links weaker than the chain")
    if link is None:
        ask.lack("link", "links weaker than the chain")
    name, kept = link_kept(link or WORST_LINK)
    whole = _lower(stated, "chain-strength", size=size)
    because = (
        f"The chain breaks at {mark(whole, 'force')}; its weakest link ({name}) leaves "
        f"{number_text(100 * kept)} %."
    )
    yield ask.link(carried, whole * kept, because, "roller chain")


def timing_belt(ask: Ask, carried: Carried, drum: float | None = None) -> Iterator[Link]:
    """A toothed belt by its maker's breaking force, or by a catalogue of belts with steel cords,
    which also has its teeth."""
    stated = ask.number("strength", "breaking force by its maker", "force")
    profile, width = ask.word("profile", "profile"), ask.number("width", "width", "length")
    cords, mesh = ask.word("cords", "cords"), ask.number("mesh", "teeth in mesh", "number")
    if profile is None or width is None or cords is None or mesh is None:
        if stated is None:
            yield ask.inspected(carried, "Nobody has stated its breaking force.")
            return
        because = f"Its maker says that it breaks at {mark(stated, 'force')}."
        yield ask.link(carried, stated, because, "textile")
        yield ask.inspected(carried, suffix=", teeth")
        return
    found = figure("belt-strength", profile=profile, width=width, cord=cords, teeth=int(mesh))
    breaks = found.value if stated is None else min(found.value, stated)
    yield ask.link(carried, breaks, found.because, "textile")
    bears = found.extras["teeth_bear"]
    yield ask.link(carried, bears, found.because, "derated", suffix=", teeth")


PULLING: dict[str, Callable[[Ask, Carried, float | None], Iterator[Link]]] = {
    "wire-rope": wire_rope,
    "cord": cord,
    "roller-chain": roller_chain,
    "timing-belt": timing_belt,
}
"""The members that pull, by the kind of their part: on the path and beside it alike."""
