"""The hold path of a robot, computed: every link with its load, its strength, the factor between the two and the one it needs.

What cannot be computed is said in a sentence, never guessed. The worse of build sheet and last reading counts.
"""

from collections.abc import Iterator
from dataclasses import replace

from pitcrew.base.settings import Settings
from pitcrew.domain.holding.asking import FORCE, TORQUE, Ask, Carried, Site, Stage
from pitcrew.domain.holding.devices import SINKING, device_links, ratchet_drop
from pitcrew.domain.holding.factors import factors_of
from pitcrew.domain.holding.joints import bolts, load_beside, own, tried
from pitcrew.domain.holding.links import MEASURED, HoldPath, Link, Loads, Measured, PathInput
from pitcrew.domain.holding.ropes import cord, wire_rope
from pitcrew.domain.holding.rows import Fall, catch, fall_of
from pitcrew.domain.holding.transfers import ROPES, hand_on
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.hold_path import SINKS, Beside
from pitcrew.engineering.constants import GRAVITY

NO_SHEET = "No build sheet is loaded for the robot that plays."
NO_TABLE = "The build sheet has no [hold_path] table, so nothing says what holds the robot up."
NO_MASS = "The mass as it climbs is not known: correct [robot.mass]."
NO_DEVICE = "what holds without power"


def hold_path(robot: Robot | None, settings: Settings, measured: Measured | None = None, lowered: bool = False) -> HoldPath:
    """The path of a robot as it climbs. `lowered`: two people have approved the table's own lower factor."""
    if robot is None:
        return HoldPath(why=NO_SHEET)
    if robot.hold_path is None or not robot.hold_path.steps:
        return HoldPath(why=NO_TABLE)
    mass = _mass(robot, measured or Measured())
    if mass is None or not isinstance(mass.value, float | int):
        return HoldPath(why=NO_MASS, device=robot.hold_path.device)
    table = robot.hold_path
    weight = float(mass.value) * GRAVITY.value
    site = Site(robot, table, measured or Measured(), factors_of(table, settings, lowered), weight)
    stages = list(_walk(site, Carried(FORCE, weight, (mass,))))
    links = [*_path_links(site, stages), *_beside_links(site, stages)]
    return _told(site, float(mass.value), stages, links)


def _mass(robot: Robot, measured: Measured) -> PathInput | None:
    """The robot as it climbs, kg: the larger of the build sheet and the last weighing."""
    taken, stated = measured.of("", "mass"), robot.mass
    label = "robot as it climbs"
    if taken is None:
        return None if stated is None else PathInput("mass", label, stated, "kg")
    value = taken.value if stated is None else max(stated, taken.value)
    return PathInput("mass", label, value, "kg", MEASURED, taken.at, taken.by, stated)


def _walk(site: Site, carried: Carried) -> Iterator[Stage]:
    """Every step with what arrives at it and what it hands on."""
    rope: Part | None = None
    for step in site.table.steps:
        part = site.robot.parts.get(step.part)
        own_load, after = hand_on(Ask(site, step, part), carried, rope)
        yield Stage(step, part, carried, own_load, after)
        rope = part if part is not None and part.kind in ROPES else rope
        carried = after


def _path_links(site: Site, stages: list[Stage]) -> list[Link]:
    links: list[Link] = []
    for number, stage in enumerate(stages):
        ask = Ask(site, stage.step, stage.part)
        links += tried(ask, stage.own, _step_links(ask, stage, stages[number + 1:]))
    return links


def _step_links(ask: Ask, stage: Stage, rest: list[Stage]) -> Iterator[Link]:
    kind = stage.part.kind if stage.part else ""
    if stage.step.holds:
        yield from device_links(ask, stage.own, stage.step.holds)
    elif kind == "wire-rope":
        yield from wire_rope(ask, stage, _drum_after(rest))
    elif kind == "cord":
        yield from cord(ask, stage, _drum_after(rest))
    elif kind == "bolted-joint":
        yield from bolts(ask, stage.own, across=False)
    else:
        yield from own(ask, stage.own)


def _drum_after(rest: list[Stage]) -> float | None:
    """The bare drum that a rope winds on further down, m."""
    for stage in rest:
        if stage.step.hands_on == "drum":
            specs = stage.part.specs if stage.part else {}
            return specs.get("diameter", specs.get("drum", 2 * stage.step.radius if stage.step.radius else None))
    return None


def _beside_links(site: Site, stages: list[Stage]) -> Iterator[Link]:
    for item in site.table.beside:
        part = site.robot.parts.get(item.part)
        ask = Ask(site, item, part)
        stage = next((stage for stage in stages if item.step and item.step in (stage.step.part, stage.step.name)), None)
        if stage is None:
            ask.lack("with", "the step whose load it carries")
            yield ask.inspected(Carried(FORCE, None))
            continue
        carried = load_beside(ask, item, stage)
        yield from tried(ask, carried, _link_beside(ask, item, carried, part))


def _link_beside(ask: Ask, item: Beside, carried: Carried, part: Part | None) -> Iterator[Link]:
    if part is not None and part.kind == "bolted-joint":
        yield from bolts(ask, carried, across=item.carries != "pull")
    else:
        yield from own(ask, carried)


def _told(site: Site, mass: float, stages: list[Stage], links: list[Link]) -> HoldPath:
    """All of it with the rows of what is not at rest."""
    last = stages[-1]
    fall, rows = _catch_rows(site, last, links)
    device = site.table.device
    lacks = [need for link in (*links, *rows) for need in link.needs]
    if not device:
        lacks.insert(0, NO_DEVICE)
    every = tuple(_ordered(links, rows))
    return HoldPath(every, _loads(site, mass, stages, fall, links), device=device, not_stated=tuple(dict.fromkeys(lacks)),
                    sinks=SINKING.get(device, "") if device in SINKS else "")


def _ordered(links: list[Link], rows: list[Link]) -> Iterator[Link]:
    yield from links
    yield from rows


def _catch_rows(site: Site, last: Stage, links: list[Link]) -> tuple[Fall | None, list[Link]]:
    if site.table.device != "ratchet":
        return None, []
    ask = Ask(site, last.step, last.part)
    fall = fall_of(ask, ratchet_drop(ask, last.own, site.weight))
    weakest = least(links)
    return fall, [catch(ask, weakest, fall)] if weakest else []


def least(links: list[Link]) -> Link | None:
    """Of the computed links the one with the smallest factor."""
    return min((link for link in links if link.computed), key=lambda link: link.factor or 0.0, default=None)


def _loads(site: Site, mass: float, stages: list[Stage], fall: Fall | None, links: list[Link]) -> Loads:
    member = next((stage.own.value for stage in stages if stage.part and stage.part.kind in ROPES), None)
    torque = next((stage.after.value for stage in stages if stage.before.kind == FORCE and stage.after.kind == TORQUE), None)
    loads = Loads(mass, site.weight, member, torque, stages[-1].own.value)
    weakest = least(links)
    if fall is None:
        return loads
    most = None
    if weakest and weakest.factor and fall.give:
        spare = weakest.factor / site.factors.moving - 1
        most = max(fall.give / 2 * (spare * spare - 1) - fall.added, 0.0) if spare > 1 else 0.0
    return replace(loads, drop_per_tooth=fall.tooth, fall=fall.height, deflection=fall.give, impact=fall.peak, drop_most=most)


