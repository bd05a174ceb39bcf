"""What breaks the members that pull: wire rope, cord, roller chain and toothed belt, after their ends, knots and bends."""

from collections.abc import Iterator
from typing import Any

from pitcrew.base.units import mark, number_text
from pitcrew.domain.holding.asking import Ask, Stage
from pitcrew.domain.holding.links import Link
from pitcrew.engineering import catalogue
from pitcrew.engineering.figures import Outcome


def figure(name: str, **arguments: Any) -> Outcome:
    """A figure of the catalogue with SI arguments; None is left out."""
    return catalogue.find(name).compute({key: value for key, value in arguments.items() if value is not None})


def wire_rope(ask: Ask, stage: Stage, drum: float | None) -> Iterator[Link]:
    """A wire rope; `drum` is the bare drum that it winds on, where it does."""
    nominal = ask.specs.get("diameter")
    diameter = ask.number("diameter", "diameter", "length", worse=min)
    make, metal = ask.word("construction", "construction"), ask.word("material", "material")
    stated = ask.number("strength", "breaking force by its maker", "force")
    new = figure("rope-strength", diameter=nominal, construction=make, material=metal, stated=stated).value
    left = new * min(1.0, (diameter / nominal) ** 2)  # a thinner rope has lost metal
    yield from _reduced(ask, stage, left, drum, "wire rope")


def cord(ask: Ask, stage: Stage, drum: float | None) -> Iterator[Link]:
    """A cord or webbing, which has no table: its maker's breaking force counts."""
    nominal = ask.specs.get("diameter")
    diameter = ask.number("diameter", "diameter", "length", worse=min)
    stated = ask.number("strength", "breaking force by its maker", "force", needed=True)
    if stated is None:
        yield ask.inspected(stage.own, "Nobody has stated its breaking force.")
        return
    yield from _reduced(ask, stage, stated * min(1.0, (diameter / nominal) ** 2), drum, "textile")


def _reduced(ask: Ask, stage: Stage, strength: float, drum: float | None, material: str) -> Iterator[Link]:
    """The link after its end, its knot, and its bend over the smaller of pulley and drum."""
    end, knot = ask.word("termination", "ends"), ask.word("knot", "knot")
    diameter = ask.specs["diameter"]
    sheave = ask.number("sheave", "smallest pulley or drum", "length", stated=_smaller(ask.specs.get("sheave"), drum))
    bend = figure("rope-bend", diameter=diameter, sheave=sheave).value if sheave is not None else 50.0
    if sheave is None:
        ask.lack("sheave", "smallest pulley that it bends over", "m")
    kept = figure("rope-load", strength=strength, termination=end or "none", bend=f"{bend} %", knot=knot or "none", factor=1.0)
    yield ask.link(stage.own, kept.extras["reduced"], _because(strength, kept, bend), material)


def _because(strength: float, kept: Outcome, bend: float) -> str:
    return (
        f"It breaks at {mark(strength, 'force')}; ends, knot and bend leave {number_text(100 * kept.extras['kept'])} % of it, "
        f"{mark(kept.extras['reduced'], 'force')}; the bend alone {number_text(bend)} %."
    )


def _smaller(sheave: float | None, drum: float | None) -> float | None:
    return min((size for size in (sheave, drum) if size is not None), default=None)


