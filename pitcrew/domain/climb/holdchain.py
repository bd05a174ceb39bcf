"""The hold chain: from the robot's mass to the smallest margin of what it hangs on, computed from the build sheet.

Every link has its load, its strength, the factor between the two and the factor that the team wants. Efficiency counts as 1,
because friction cannot be counted on to hold; separate lines share the load only through a stated equaliser. A link without
numbers is listed as not computed: it is inspected, and never counts as good.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pitcrew.base.errors import PitcrewError
from pitcrew.base.settings import Settings
from pitcrew.base.units import mark, number_text
from pitcrew.domain.robot.buildsheet import Part, Robot
from pitcrew.domain.robot.climbparts import INSPECTED, ClimbBolts, ClimbOther, ClimbParts
from pitcrew.engineering import catalogue

NOT_COMPUTED = "not computed: inspect"
SHEAR = 0.577
"""Part of the proof load that a bolt bears across: distortion energy, as in Shigley."""
NO_TABLE = "The build sheet has no [climb] table, so no link is computed."


@dataclass(frozen=True)
class Link:
    """One link. `load` and `strength` in `unit` (N or N*m); `factor` is strength over load; None where nothing is computed."""

    name: str
    because: str
    part: str = ""
    load: float | None = None
    strength: float | None = None
    required: float | None = None
    unit: str = "N"

    @property
    def computed(self) -> bool:
        """Whether the build sheet has the numbers."""
        return self.load is not None and self.strength is not None

    @property
    def factor(self) -> float | None:
        """Strength over load."""
        return self.strength / self.load if self.strength is not None and self.load else None

    @property
    def margin(self) -> float:
        """The factor over the wanted one: below 1 the link is too weak."""
        return (self.factor or 0.0) / (self.required or 1.0)

    @property
    def holds(self) -> bool:
        """Whether a computed link has the factor that the team wants."""
        return self.margin >= 1 - 1e-9


@dataclass(frozen=True)
class Loads:
    """What the robot's mass puts on the chain, SI: forces in N, torques in N*m, lengths in m; `impact` is peak over load at rest."""

    mass: float
    weight: float
    lines: int
    shared: bool
    tension: float
    drum: float
    drum_torque: float
    tooth_force: float
    drop_per_tooth: float
    worst_drop: float
    impact: float
    because: tuple[str, ...] = ()


@dataclass(frozen=True)
class HoldChain:
    """All links in the order of the load; `loads` is None and `why` says so where nothing can be computed."""

    links: tuple[Link, ...] = ()
    loads: Loads | None = None
    why: str = ""

    @property
    def weakest(self) -> Link | None:
        """Of the computed links the one with the smallest margin to its wanted factor."""
        return min((link for link in self.links if link.computed), key=lambda link: link.margin, default=None)

    @property
    def too_weak(self) -> tuple[Link, ...]:
        """The computed links whose factor is below what the team wants."""
        return tuple(link for link in self.links if link.computed and not link.holds)


def hold_chain(robot: Robot | None, settings: Settings) -> HoldChain:
    """The chain of a robot as it climbs. What cannot be computed is said in a sentence, never guessed."""
    if robot is None:
        return HoldChain(why="No build sheet is loaded for the robot that plays.")
    if robot.climb is None:
        return HoldChain(_inspected(robot, ()), why=NO_TABLE)
    if robot.mass is None:
        return HoldChain(_inspected(robot, ()), why="The mass as it climbs is not known: correct [robot.mass].")
    try:
        loads = _loads(robot, robot.climb)
    except (PitcrewError, KeyError) as error:
        return HoldChain(_inspected(robot, ()), why=f"The loads cannot be computed. {_sentence(error)}")
    wanted = float(settings["climb_factor"])
    links = [
        _tried("rope", robot.parts[robot.climb.rope], _rope, loads, wanted),
        _tried("ratchet tooth", robot.parts[robot.climb.ratchet], _tooth, loads, wanted),
        *(_bolts(robot.parts[item.part], item, loads, wanted) for item in robot.climb.bolts),
        *(_other(item, loads, wanted) for item in robot.climb.other),
    ]
    links += _inspected(robot, tuple(links))
    return HoldChain((*links, *_catch(links, loads, float(settings["catch_factor"]))), loads)


def _loads(robot: Robot, climb: ClimbParts) -> Loads:
    winch = robot.parts[climb.ratchet].specs
    geometry = {name: winch[name] for name in ("drum", "rope", "ratio")}
    held = _figure("ratchet-hold", mass=robot.mass, lines=winch["lines"], pawl_radius=winch["pawl_radius"], parts=winch["parts"],
                   equalised=climb.equaliser, **geometry)
    drop = _figure("ratchet-drop", teeth=winch["teeth"], latency=climb.latency, speed=climb.speed, **geometry)
    impact = _figure("impact-factor", drop=drop.value, stretch=winch["stretch"])
    extras = held.extras
    return Loads(
        mass=robot.mass or 0.0, weight=extras["load"], lines=int(winch["lines"]), shared=climb.equaliser, tension=extras["tension"],
        drum=float(winch["drum"]), drum_torque=extras["drum_torque"], tooth_force=held.value, drop_per_tooth=drop.extras["per_tooth"],
        worst_drop=drop.value, impact=impact.value, because=(held.because, drop.because, impact.because),
    )


def _rope(part: Part, loads: Loads, wanted: float) -> Link:
    """The rope of one line, after its ends, its bend over the smaller of drum and sheave, and its knot."""
    specs = part.specs
    new = specs.get("strength")
    if new is None:
        new = _figure("rope-strength", **{name: specs[name] for name in ("diameter", "construction", "material")}).value
    bend = _figure("rope-bend", diameter=specs["diameter"], sheave=min(specs.get("sheave", loads.drum), loads.drum))
    left = _figure("rope-load", strength=new, termination=specs["termination"], bend=f"{bend.value} %", knot=specs["knot"], factor=wanted)
    return Link("rope", left.because, part.id, loads.tension, left.extras["reduced"], wanted)


def _tooth(part: Part, loads: Loads, wanted: float) -> Link:
    return Link("ratchet tooth", loads.because[0], part.id, loads.tooth_force, float(part.specs["tooth_strength"]), wanted)


def _bolts(part: Part, item: ClimbBolts, loads: Loads, wanted: float) -> Link:
    return _tried(part.label, part, lambda part, loads, wanted: _joint(part, item, loads, wanted), loads, wanted)


def _joint(part: Part, item: ClimbBolts, loads: Loads, wanted: float) -> Link:
    """A bolted joint: its bolts share the load evenly; along them the weaker of bolt and thread counts, across them the shank."""
    specs, count = part.specs, int(part.specs["count"])
    load = loads.drum_torque / (item.radius or 1.0) if item.carries == "torque" else loads.tension
    if item.carries == "pull":
        names = ("thread", "grade", "plate", "condition", "engagement")
        audit = _figure("bolt-audit", fraction=1.0, **{name: specs[name] for name in names if name in specs})
        each, way = audit.extras["pull"], f"the {audit.extras['gives_way']} gives way"
    else:
        each, way = SHEAR * _figure("bolt-proof", thread=specs["thread"], grade=specs["grade"]).value, "it gives way across"
    because = (
        f"{count} × {specs['thread']} grade {specs['grade']}: at {mark(each, 'force')} {way}; together they carry {mark(load, 'force')}"
        + (f", the drum's torque at {mark(item.radius or 1.0, 'length')}." if item.carries == "torque" else ".")
    )
    return Link(part.label, because, part.id, load, count * each, wanted)


def _other(item: ClimbOther, loads: Loads, wanted: float) -> Link:
    """A link whose strength the team found out: against the pull, or against the drum's torque."""
    if item.torque_strength is not None:
        because = f"It breaks at {mark(item.torque_strength, 'torque')}; the drum's torque is {mark(loads.drum_torque, 'torque')}."
        return Link(item.name, because, item.part, loads.drum_torque, item.torque_strength, wanted, "N*m")
    if item.strength is None:
        return Link(item.name, NOT_COMPUTED, item.part)
    load = loads.drum_torque / item.radius if item.radius else loads.tension
    because = f"It breaks at {mark(item.strength, 'force')} and carries {mark(load, 'force')}."
    return Link(item.name, because, item.part, load, item.strength, wanted)


def _inspected(robot: Robot, links: tuple[Link, ...]) -> tuple[Link, ...]:
    """What every climb hangs on and no link has told of, and the climb-critical parts that no link names."""
    named, parts = {link.name for link in links}, {link.part for link in links}
    rest = [part for part in robot.parts.values() if part.climb_critical and part.id not in parts]
    plain = [Link(name, NOT_COMPUTED) for name in INSPECTED if name not in named and not any(part.kind == name for part in rest)]
    return (*plain, *(Link(part.kind if part.kind in INSPECTED else part.label, NOT_COMPUTED, part.id) for part in rest
                      if part.kind not in named))


def _catch(links: list[Link], loads: Loads, wanted: float) -> tuple[Link, ...]:
    """The same load when a tooth catches the robot after the worst drop: what it does to the link with the smallest factor."""
    computed = [link for link in links if link.computed]
    if not computed:
        return ()
    weakest = min(computed, key=lambda link: link.factor or 0.0)
    peak = loads.impact * (weakest.load or 0.0)
    because = (
        f"Falling {mark(loads.worst_drop, 'length')} before a tooth catches loads all of it {number_text(loads.impact)} times; "
        f"{weakest.name} has the least to spare."
    )
    return (Link("catch at the worst drop", because, weakest.part, peak, weakest.strength, wanted, weakest.unit),)


def _tried(name: str, part: Part, compute: Callable[[Part, Loads, float], Link], loads: Loads, wanted: float) -> Link:
    """A link, or why it cannot be computed."""
    try:
        return compute(part, loads, wanted)
    except (PitcrewError, KeyError) as error:
        return Link(name, f"{NOT_COMPUTED}. {_sentence(error)}", part.id)


def _sentence(error: Exception) -> str:
    return error.sentence if isinstance(error, PitcrewError) else f"Its specification lacks {error}."


def _figure(name: str, **arguments: Any) -> Any:
    return catalogue.find(name).compute(arguments)
