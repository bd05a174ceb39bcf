"""How far the path gives under the robot, on which a catch depends: as measured at the top, else
the rope or cord alone."""

from pitcrew.base.errors import PitcrewError
from pitcrew.domain.holding.asking import FORCE, Ask, Carried, Stage
from pitcrew.domain.holding.links import NOT_STATED, PathInput
from pitcrew.domain.holding.ropes import figure
from pitcrew.domain.holding.transfers import LeastAsk, walk

STRETCHING = ("wire-rope", "cord", "roller-chain", "timing-belt")
RULER = 0.001
GIVE = "give from bar to drum at the top"


def give_of(ask: Ask, stages: list[Stage]) -> float | None:
    """How far the hook gives under the robot at rest, m: as measured at the top, less the ruler's
    uncertainty. Without that the member that stretches alone, at its shortest free length."""
    taken = ask.site.measured.of("", "deflection")
    found = ask.note("deflection", GIVE, "length", ask.site.table.deflection, taken, min)
    if found is None:
        return _member_alone(ask, stages)
    ruler = ask.site.robot.instruments.get("ruler", RULER)
    ask.inputs.append(PathInput("ruler", "ruler's uncertainty", ruler, "m"))
    if found <= ruler:
        ask.lack("deflection", f"a {GIVE} that a ruler can tell from nothing", "m")
        return None
    return found - ruler


def _member_alone(ask: Ask, stages: list[Stage]) -> float | None:
    """The give of the first rope, cord, chain or belt of the path."""
    ask.inputs.append(PathInput("deflection", GIVE, None, "m", NOT_STATED))
    stage = next((stage for stage in stages if stage.part and stage.part.kind in STRETCHING), None)
    pull = _least_pull(ask, stages, stage)
    if stage is None or pull is None or pull.value is None:
        ask.lack("deflection", GIVE, "m")
        return None
    member = Ask(ask.site, stage.step, stage.part)
    taken = ask.site.measured.of("", "free_length")
    length = member.note(
        "free_length",
        "shortest free length",
        "length",
        ask.site.table.free_length,
        taken,
        min,
        needed=True,
    )
    shared = (stage.step.lines or 1) * (stage.step.sides or 1)
    stretch = None if length is None else _stretch(member, length, pull.value / shared)
    ask.inputs += member.inputs
    ask.needs += member.needs
    # by virtual work: how far the hook goes for all that the member stretches, in all its falls
    return (
        None
        if stretch is None
        else stretch * pull.value * (stage.step.falls or 1) / ask.site.weight
    )


def _least_pull(ask: Ask, stages: list[Stage], stage: Stage | None) -> Carried | None:
    """The smallest pull that the numbers before this step allow: it stretches the least."""
    if stage is None:
        return None
    least = list(walk(ask.site, stages[0].before, LeastAsk))
    return least[stages.index(stage)].of_kind(FORCE)


def _stretch(member: Ask, length: float, pull: float) -> float | None:
    kind = member.part.kind if member.part else ""
    try:
        if kind == "wire-rope":
            return _wire(member, length, pull)
        if kind == "cord":
            return _cord(member, length, pull)
    except PitcrewError as error:
        member.needs.append(f"{member.label}: {error.sentence}")
        return None
    stiffness = member.number(
        "stiffness", "stiffness", "force", stated=_belt_rate(member), needed=True
    )
    return None if stiffness is None else pull * length / stiffness


def _wire(member: Ask, length: float, pull: float) -> float:
    """Of a wire rope, m. The planning table, the stiffest source for some makes, names no metal, so
    a stainless rope counts as no softer than a carbon one."""
    diameter = member.number("diameter", "diameter", "length", worse=max)
    make, metal = member.word("construction", "construction"), member.word("material", "material")
    said = {"diameter": diameter, "length": length, "load": pull, "construction": make}
    found = [figure("rope-stretch", material=one, **said).value for one in (metal, "carbon")]
    return min(found)


def _belt_rate(member: Ask) -> float | None:
    """The stiffer of what a belt's maker states and what a catalogue has, N; None for the sheet's
    own."""
    specs = member.specs
    try:
        rate = figure(
            "belt-strength",
            profile=specs["profile"],
            width=specs["width"],
            cord=specs["cords"],
            teeth=1,
        ).extras["spring_rate"]
    except (PitcrewError, KeyError):
        return None
    return max(float(rate), float(specs.get("stiffness", 0.0)))


def _cord(member: Ask, length: float, pull: float) -> float | None:
    fiber = member.word("fiber", "fiber", needed=True)
    # the stronger cord of the same stretch at its breaking force gives less
    strength = member.number(
        "strength", "breaking force by its maker", "force", worse=max, needed=True
    )
    if fiber is None or strength is None:
        return None
    return figure("cord-stretch", fiber=fiber, strength=strength, length=length, load=pull).value
