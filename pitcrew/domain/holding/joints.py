"""What breaks bolts, and whatever else has a strength that its maker or a test has found out."""

from collections.abc import Iterator, Sequence

from pitcrew.base.errors import PitcrewError
from pitcrew.base.units import mark
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Carried, Stage
from pitcrew.domain.holding.factors import LIFTING
from pitcrew.domain.holding.links import Link
from pitcrew.domain.holding.ropes import figure
from pitcrew.domain.robot.hold_path import CARRIES, Beside
from pitcrew.engineering.figures import Outcome
from pitcrew.engineering.heads import HEADS

SHEAR = 0.577
"""Part of the proof load that a bolt bears across: distortion energy, as in Shigley."""
MATERIAL_OF = {
    "wire-rope": "wire rope",
    "cord": "textile",
    "timing-belt": "textile",
    "roller-chain": "roller chain",
}
"""The factor of a part with a strength of its own, by its kind; all other kinds are metal."""


def load_beside(ask: Ask, item: Beside, stage: Stage) -> Carried:
    """The force or torque that something beside the path carries, by what it says it carries."""
    kind = TORQUE if item.carries == "torque" else FORCE
    if item.carries not in CARRIES:
        ask.lack("carries", "what it carries")
        return Carried(kind, None, stage.own.inputs, stage.own.needs)
    found = stage.of_kind(kind)
    if found is None:
        ask.lack("with", f"a step with a {kind}")
        return Carried(kind, None, stage.own.inputs, stage.own.needs)
    radius = ask.number("radius", "radius of the circle", "length") if kind == TORQUE else None
    if radius is None:
        return found
    value = None if found.value is None else found.value / radius
    return Carried(FORCE, value, found.inputs, found.needs)


def bolts(ask: Ask, carried: Carried, across: bool | None) -> Iterator[Link]:
    """A bolted joint: its bolts share the load evenly; along them the weaker of bolt and thread
    counts, across them the shank. A step does not say which way it is loaded (`across` None): the
    weaker of both counts."""
    if carried.kind != FORCE:
        ask.lack("radius", "radius of the circle", "m")
        yield ask.inspected(carried)
        return
    thread, grade = ask.word("thread", "thread"), ask.word("grade", "grade")
    count = int(ask.number("count", "bolts", "number") or 1)
    ways = []
    if across is not True:
        audit = _weakest_head(ask, thread, grade)
        ways.append((audit.extras["pull"], f"the {audit.extras['gives_way']} gives way"))
    if across is not False:
        shank = SHEAR * figure("bolt-proof", thread=thread, grade=grade).value
        ways.append((shank, "it gives way across"))
    each, way = min(ways)
    if across is None:
        way += " (which way it is loaded is not stated: the weaker counts)"
    shared = (
        f"; together they carry {mark(carried.value, 'force')}" if carried.value is not None else ""
    )
    because = f"{count} × {thread} grade {grade}: at {mark(each, 'force')} {way}{shared}."
    yield ask.link(carried, count * each, because, "yield")


def _weakest_head(ask: Ask, thread: str | None, grade: str | None) -> Outcome:
    """The audit of the bolt at its whole load. Where its head is not stated, the weakest head
    counts: a button or flat one bears less than the thread."""
    plate, condition = ask.word("plate", "plate"), ask.word("condition", "condition")
    engaged = ask.number("engagement", "engaged length", "length")
    head = ask.word("head", "head")
    found = [
        figure(
            "bolt-audit",
            fraction=1.0,
            thread=thread,
            grade=grade,
            plate=plate,
            condition=condition,
            head=name,
            engagement=engaged,
        )
        for name in ([head] if head else HEADS)
    ]
    weakest = min(found, key=lambda audit: float(audit.extras["pull"]))
    if head is None:
        ask.assume("head", "head", "not stated: the weakest")
    return weakest


def own(ask: Ask, carried: Carried, suffix: str = "") -> Iterator[Link]:
    """A link whose strength its maker or a test has found out, against the force or the torque that
    it carries; else inspected."""
    if carried.kind == FORCE:
        strength, dimension = ask.number("strength", "strength", "force"), FORCE
    else:
        strength, dimension = ask.number("torque_strength", "strength", "torque"), TORQUE
    if strength is None:
        _name_the_other(ask, carried)
        yield ask.inspected(carried, suffix=suffix)
        return
    material = _material(ask)
    shown = f" and carries {mark(carried.value, dimension)}" if carried.value is not None else ""
    yield ask.link(
        carried,
        strength,
        f"It breaks at {mark(strength, dimension)}{shown}.",
        material,
        suffix=suffix,
    )


def _name_the_other(ask: Ask, carried: Carried) -> None:
    """What lacks where only the strength against the other kind of load is stated: a strength that
    counts for nothing would else be as good as none."""
    other = "strength" if carried.kind == TORQUE else "torque_strength"
    if not (getattr(ask.item, other, None) or ask.specs.get(other)):
        return
    if isinstance(ask.item, Beside) and carried.kind == TORQUE:
        ask.lack("radius", "radius of the circle", "m")
    else:
        has, wants = ("force", "torque") if carried.kind == TORQUE else ("torque", "force")
        ask.lack(other, f"strength against a {wants}, not only against a {has}")


def stated_too(ask: Ask, links: Sequence[Link], carried: Sequence[Carried]) -> Iterator[Link]:
    """A link of its own for each strength that is stated of something whose `links` were computed
    from other numbers: both count. `carried` is what it carries where no link tells."""
    asked = {item.name for item in ask.inputs}
    for key, kind, suffix in (
        ("strength", FORCE, ", stated strength"),
        ("torque_strength", TORQUE, ", stated torque"),
    ):
        if key in asked or not (getattr(ask.item, key, None) or ask.specs.get(key)):
            continue
        for found in carried:
            if found.kind != kind and not any(link.unit == SI_UNIT[kind] for link in links):
                continue
            loads = [link.load for link in links if link.unit == SI_UNIT[kind] and link.load]
            load = max(loads, default=found.value if found.kind == kind else None)
            at = Carried(kind, load, found.inputs, found.needs)
            yield from own(ask, at, suffix)
            break


def _material(ask: Ask) -> str:
    """The material whose factor counts: of the part's kind and the word stated the stricter."""
    stated = getattr(ask.item, "material", "")
    known = [MATERIAL_OF.get(ask.part.kind, "metal")] if ask.part else []
    known += [stated] if stated else []
    if not known:
        ask.assume("material", "material", "not stated: the strictest factor")
    return max(known, key=lambda name: LIFTING[name], default="textile")


def tried(ask: Ask, carried: Carried, links: Iterator[Link]) -> list[Link]:
    """The links, or one to inspect that says why it cannot be computed."""
    try:
        return list(links)
    except (PitcrewError, KeyError, TypeError) as error:
        why = (
            error.sentence
            if isinstance(error, PitcrewError)
            else "Its specification lacks a number."
        )
        return [ask.inspected(carried, why)]
