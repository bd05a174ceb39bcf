"""The hold path of a robot, computed: every link with its load, its strength, the factor between
the two and the one it needs.

What cannot be computed is put in words, never guessed. The worse of build sheet and last
reading counts.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, takewhile

from pitcrew.base.errors import PitcrewError
from pitcrew.base.settings import Settings
from pitcrew.domain.holding.asking import (
    FORCE,
    TORQUE,
    Ask,
    Carried,
    Site,
    Stage,
    input_read,
    own_part,
)
from pitcrew.domain.holding.devices import SINKING, device_links
from pitcrew.domain.holding.factors import factors_of
from pitcrew.domain.holding.joints import bolts, load_beside, own, stated_too, tried
from pitcrew.domain.holding.links import HoldPath, Link, Loads, Measured, PathInput
from pitcrew.domain.holding.ropes import PULLING
from pitcrew.domain.holding.rows import Fall, catch_of, least_moved, more_rows, turn_at
from pitcrew.domain.holding.shafts import idler, lever, pin, pull_of, shaft
from pitcrew.domain.holding.stretch import STRETCHING
from pitcrew.domain.holding.transfers import ROPES, walk
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.hold_path import Beside, HoldPathTable
from pitcrew.engineering.chainsizes import chain
from pitcrew.engineering.constants import GRAVITY

NO_SHEET = "No build sheet is loaded for the robot that plays."
NO_TABLE = "The build sheet has no [hold_path] table, so nothing says what holds the robot up."
NO_MASS = "The mass as it climbs is not known: correct [robot.mass]."
OPEN = "Nothing that the robot hangs on is computed from what is not known or only assumed: "
NO_DEVICE = "what holds without power"


def hold_path(
    robot: Robot | None, settings: Settings, measured: Measured | None = None, lowered: bool = False
) -> HoldPath:
    """The path of a robot as it climbs. `lowered`: two people have approved the table's own lower
    factor."""
    if robot is None:
        return HoldPath(why=NO_SHEET)
    if robot.hold_path is None or not robot.hold_path.steps:
        return HoldPath(why=NO_TABLE)
    if found := open_on_path(robot):
        why = f"{OPEN}{'; '.join(found)}."
        return HoldPath(why=why, device=robot.hold_path.device, not_stated=found)
    mass = _mass(robot, measured or Measured())
    if mass is None or not isinstance(mass.value, float | int):
        return HoldPath(why=NO_MASS, device=robot.hold_path.device)
    table = robot.hold_path
    weight = float(mass.value) * GRAVITY.value
    here = _share(table, weight)
    site = Site(robot, table, measured or Measured(), factors_of(table, settings, lowered), here)
    stages = list(walk(site, Carried(FORCE, here, (mass,))))
    device = _step_links(site, stages, len(stages) - 1)
    links = [
        link for number in range(len(stages) - 1) for link in _step_links(site, stages, number)
    ]
    links += [*device, *_beside_links(site, stages)]
    fall, caught = catch_of(site, stages, links)
    rows = [*([caught] if caught else []), *more_rows(site, stages, links, device)]
    loads = _loads(site, float(mass.value), weight, stages, fall, links)
    return HoldPath(
        (*links, *rows),
        loads,
        device=table.device,
        not_stated=_not_stated(table, links, rows, _unlike(stages)),
        sinks=SINKING.get(table.device, ""),
    )


def open_on_path(robot: Robot) -> tuple[str, ...]:
    """What the climb rests on and no one has stated, each by name: it could only flatter."""
    on_path = robot.hold_path.parts if robot.hold_path else ()
    parts = [robot.parts[name] for name in on_path if name in robot.parts]
    fields = [
        f"{part.label}, {name.replace('_', ' ')}: {how}"
        for part in parts
        for name, how in part.open.items()
    ]
    return (*fields, *robot.open)


def _share(table: HoldPathTable, weight: float) -> float:
    """What hangs on this path of several: all of it, or its part through an equalizer."""
    second = table.second
    return weight / second.count if second and second.equaliser and second.count else weight


def _not_stated(
    table: HoldPathTable, links: list[Link], rows: list[Link], unlike: list[str]
) -> tuple[str, ...]:
    device = [] if table.device else [NO_DEVICE]
    device += unlike
    device += _alike(table)
    return tuple(
        dict.fromkeys([*device, *(need for link in (*links, *rows) for need in link.needs)])
    )


def _unlike(stages: list[Stage]) -> list[str]:
    """Sprockets beside a chain of another pitch: one of the two is not what it says."""
    found = []
    for one, other in pairwise(stages):
        parts = [stage.part for stage in (one, other) if stage.part is not None]
        if {part.kind for part in parts} == {"roller-chain", "sprocket"} and len(parts) == 2:
            pitches = {_pitch(part) for part in parts} - {None}
            if len(pitches) > 1:
                labels = " and ".join(part.label for part in parts)
                sizes = " and ".join(str(part.specs["size"]) for part in parts)
                found.append(f"one chain size for {labels}, not {sizes}")
    return found


def _pitch(part: Part) -> float | None:
    """Pitch of a chain or sprocket in m, None for a size that the tables lack."""
    try:
        return chain(str(part.specs.get("size"))).pitch
    except PitcrewError:
        return None


def _alike(table: HoldPathTable) -> list[str]:
    """Links whose names read alike: one look would count for both."""
    by_id: dict[str, set[str]] = {}
    for item in table.items:
        if not item.part and item.name:
            by_id.setdefault(own_part(item.name), set()).add(item.name)
    return [
        f"a name of its own for each of {', '.join(sorted(names))}"
        for names in by_id.values()
        if len(names) > 1
    ]


def _mass(robot: Robot, measured: Measured) -> PathInput | None:
    """The robot as it climbs, kg: the larger of the build sheet and the last weighing."""
    taken, stated = measured.of("", "mass"), robot.mass
    label = "robot as it climbs"
    if taken is None:
        return None if stated is None else PathInput("mass", label, stated, "kg")
    value = taken.value if stated is None else max(stated, taken.value)
    return input_read(PathInput("mass", label, value, "kg"), stated, taken)


def _step_links(site: Site, stages: list[Stage], number: int) -> list[Link]:
    """The links of one step, or one to inspect that says why nothing can be computed."""
    stage = stages[number]
    ask = Ask(site, stage.step, stage.part)
    links = tried(ask, stage.own, _links_of(ask, stage, stages, number))
    both = [found for kind in (FORCE, TORQUE) if (found := stage.of_kind(kind)) is not None]
    return [*links, *stated_too(ask, links, both)]


def _links_of(ask: Ask, stage: Stage, stages: list[Stage], number: int) -> Iterator[Link]:
    kind = stage.part.kind if stage.part else ""
    if stage.step.holds:
        yield from device_links(ask, stage.own, stage.step.holds)
    elif kind in PULLING:
        pull = stage.own if stage.own.kind == FORCE else stage.of_kind(FORCE)
        if pull is None:
            ask.lack("hands_on", "a drum, sprocket or pulley before it: a torque arrives")
            yield ask.inspected(stage.own)
            return
        if kind in ROPES:
            _name_unsized(ask, _turns(stages, number))
        yield from PULLING[kind](ask, pull, _bent_over(stages, number))
    elif kind == "bolted-joint":
        yield from bolts(ask, stage.own, across=None)
    elif kind == "shaft":
        beside = [stages[at] for at in (number - 1, number + 1) if 0 <= at < len(stages)]
        yield from shaft(
            ask, stage, [pull for item in beside if (pull := pull_of(item)) is not None]
        )
    elif kind == "pin":
        yield from pin(ask, stage.own)
    elif kind == "pulley" and not stage.step.hands_on:
        yield from idler(ask, stage)
    else:
        yield from lever(ask, stage)


def _bent_over(stages: list[Stage], number: int) -> float | None:
    """The smallest pulley or bare drum that the rope of a step bends over, by their own sizes, m:
    pulleys beside it on the path, and what it winds on."""
    return min((size for stage in _turns(stages, number) for size in _treads(stage)), default=None)


def _turns(stages: list[Stage], number: int) -> list[Stage]:
    """What the rope of a step runs over, and what it winds on."""
    before = takewhile(_only_turns, reversed(stages[:number]))
    after = list(takewhile(_only_turns, stages[number + 1 :]))
    wound = [
        stage
        for stage in stages[number + 1 + len(after) :][:1]
        if stage.step.hands_on in ("drum", "pulley")
    ]
    return [*before, *after, *wound]


def _name_unsized(ask: Ask, turns: list[Stage]) -> None:
    """Name the pulleys that turn a rope and state no size: one of them may be the smallest."""
    for stage in turns:
        idle = stage.part if not stage.step.hands_on else None
        if idle is not None and idle.kind == "pulley" and not any(_treads(stage)):
            ask.lack("sheave", f"diameter of {idle.label}", "m")


def _only_turns(stage: Stage) -> bool:
    """Whether a step lets a rope run on: a pulley that turns it, or a link of another kind that
    hands on what arrives."""
    kind = stage.part.kind if stage.part else ""
    return kind not in PULLING and stage.step.hands_on in ("", "lines", "falls", "ratio")


def _treads(stage: Stage) -> Iterator[float]:
    """The diameters that a pulley or drum states on its part or its step, m."""
    turns = stage.step.hands_on in ("drum", "pulley")
    if stage.part is not None and (turns or stage.part.kind == "pulley"):
        yield from (
            float(stage.part.specs[key])
            for key in ("diameter", "drum")
            if stage.part.specs.get(key) is not None
        )
    if turns and stage.step.radius:
        yield 2 * stage.step.radius


def _beside_links(site: Site, stages: list[Stage]) -> Iterator[Link]:
    for item in site.table.beside:
        part = site.robot.parts.get(item.part)
        ask = Ask(site, item, part)
        stage = next(
            (
                stage
                for stage in stages
                if item.step and item.step in (stage.step.part, stage.step.name)
            ),
            None,
        )
        if stage is None:
            ask.lack("with", "the step whose load it carries")
            yield ask.inspected(Carried(FORCE, None))
            continue
        carried = load_beside(ask, item, stage)
        links = tried(ask, carried, _link_beside(ask, item, carried, part))
        yield from (*links, *stated_too(ask, links, [carried]))


def _link_beside(ask: Ask, item: Beside, carried: Carried, part: Part | None) -> Iterator[Link]:
    kind = part.kind if part is not None else ""
    if kind == "bolted-joint":
        yield from bolts(ask, carried, across=item.carries != "pull")
    elif kind == "pin":
        yield from pin(ask, carried)
    elif kind in PULLING and (item.carries != "pull" or carried.kind != FORCE):
        ask.lack("carries", "a pull: nothing else hangs on it")
        yield ask.inspected(carried)
    elif kind in PULLING:
        yield from PULLING[kind](ask, carried, None)
    else:
        yield from own(ask, carried)


def _loads(
    site: Site,
    mass: float,
    weight: float,
    stages: list[Stage],
    fall: Fall | None,
    links: list[Link],
) -> Loads:
    member = next(
        (stage.own.value for stage in stages if stage.part and stage.part.kind in STRETCHING), None
    )
    loads = Loads(mass, weight, member, turn_at(stages), stages[-1].own.value)
    if fall is None:
        return loads
    weakest = least_moved(site, links)
    spare = (weakest.factor or 0.0) / site.factors.moved(weakest.material) if weakest else None
    return replace(
        loads,
        drop_per_tooth=fall.drop,
        fall=fall.height,
        deflection=fall.give,
        impact=fall.peak,
        drop_most=None if spare is None else fall.drop_most(spare),
    )
