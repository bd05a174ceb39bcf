"""The hold path as people see it: a row for each link, from the bar down, for screens and paper."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from pitcrew.base.clock import day_time
from pitcrew.base.units import dimension_of, number_text, screen_unit, show
from pitcrew.domain.climb.hold import PROOF, Inspection, hold_path_of, inspection_of
from pitcrew.domain.climb.lifting import beyond_lifting
from pitcrew.domain.climb.lowered import below_rule
from pitcrew.domain.climb.pathlacks import why_not_inspected
from pitcrew.domain.holding.links import (
    ASSUMED,
    MEASURED,
    NOT_STATED,
    STATED,
    HoldPath,
    Link,
    PathInput,
)
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.robot.buildsheet import Robot

AT_REST = ("hold", "bending", "size")
"""Kinds of link that carry the robot while it hangs still; the rest is in a list below it."""
DEVICES = {
    "ratchet": "ratchet and pawl",
    "one-way": "one-way bearing",
    "worm": "worm gear",
    "over-center": "linkage past its center",
    "motor-brake": "motor in brake mode",
    "none": "nothing",
}
MASS = "mass"
THE_PATH = "hold path"
"""What the path's own numbers are named by where they are not stated."""
SEEN = {"ok": "whole", "watch": "look again", "stop": "something", "unjudged": "cannot see"}
PROVED = "proof-loaded"
AGAIN = "look again"
Say = Callable[[datetime], str]
"""Writes an instant in the event's time."""
LastLook = Callable[[Link], Inspection | None]
"""Finds the last inspection of a link."""


@dataclass(frozen=True)
class Pen:
    """What a picture is drawn with: the robot, the last inspection of a link, the event's time,
    the team's system of units, and why an inspection no longer counts (empty where it does)."""

    robot: Robot | None
    look: LastLook
    say: Say
    units: str
    stale: Callable[[Link], str] = lambda link: ""


@dataclass(frozen=True)
class Looked:
    """The last inspection of a link: its verdict, what was seen, by whom and when; `stale` says
    why it no longer counts."""

    verdict: str
    words: str
    by: str
    when: str
    stale: str = ""


@dataclass(frozen=True)
class PathRow:
    """One link in words.

    `factor` is empty where none was computed; then `instead` or the inspection stands in its
    place (`looks`: it has one). `share` is the factor over the one it needs; `rule` is the
    lifting rule's where the team's own lower one counts; `size`: a rule of size judges it, which
    says nothing of its strength; `facts` are its inputs with their numbers, one a sentence.
    """

    name: str
    sign: str
    href: str
    factor: str = ""
    needs: str = ""
    rule: str = ""
    share: float = 0.0
    holds: bool = False
    weakest: bool = False
    size: bool = False
    instead: str = ""
    measured: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    not_stated: tuple[str, ...] = ()
    looks: bool = False
    looked: Looked | None = None
    carries: str = ""
    because: str = ""
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class PathPicture:
    """The rows of the path at rest, those of what else can load it, and what stands around them."""

    rows: tuple[PathRow, ...] = ()
    more: tuple[PathRow, ...] = ()
    robot: str = "The robot hangs here"
    robot_said: str = ""
    why: str = ""
    device: str = ""
    sinks: str = ""
    below: str = ""
    beyond: str = ""

    @property
    def all(self) -> tuple[PathRow, ...]:
        """Every row."""
        return self.rows + self.more

    @property
    def weakest(self) -> PathRow | None:
        """The row with the smallest share."""
        return next((row for row in self.all if row.weakest), None)

    @property
    def failing(self) -> tuple[PathRow, ...]:
        """The rows with numbers that have less than they need, rules of size among them."""
        return tuple(row for row in self.all if row.factor and row.share < 1 - 1e-9)

    @property
    def unknown(self) -> tuple[PathRow, ...]:
        """The rows that can't be computed and that looking at them does not answer."""
        return tuple(row for row in self.all if row.instead)

    @property
    def to_look_at(self) -> tuple[PathRow, ...]:
        """The rows that are on the inspection card and no one has looked at, or not since."""
        return tuple(
            row for row in self.all if row.looks and (row.looked is None or row.looked.stale)
        )

    @property
    def only_stated(self) -> tuple[str, ...]:
        """What no one has measured, link by link, the weakest first: `Climb rope: ends, knot`."""
        rows = sorted(self.all, key=lambda row: not row.weakest)
        return tuple(
            f"{row.name}: {', '.join((*row.stated, *row.assumed))}"
            for row in rows
            if row.stated or row.assumed
        )

    @property
    def spoken(self) -> str:
        """The picture in one sentence, for those who hear it."""
        weakest = self.weakest
        told = (
            f"; the weakest is {weakest.name}, factor {weakest.factor}, needs {weakest.needs}"
            if weakest
            else ""
        )
        return f"Hold path of {len(self.all)} links from the bar to the floor{told}"


def picture_now(moment: Moment) -> PathPicture:
    """The picture of a moment: by the last readings and inspections, times in the event's zone."""
    definitions = moment.definitions
    pen = Pen(
        definitions.robot,
        lambda link: inspection_of(moment, link),
        lambda at: day_time(at, moment.state.zone, moment.now),
        definitions.settings["units"],
        lambda link: why_not_inspected(moment, link),
    )
    return picture_of(hold_path_of(moment), pen)


def picture_of(path: HoldPath, pen: Pen) -> PathPicture:
    """The picture of a path."""
    told: set[tuple[str, object]] = set()
    rows = [(link.kind in AT_REST, _row(link, path, pen, told)) for link in path.links]
    mass = next((item for link in path.links for item in link.inputs if item.name == MASS), None)
    weight = f"The robot, {_number(mass, pen.units)}," if mass and mass.value else "The robot"
    return PathPicture(
        rows=tuple(row for at_rest, row in rows if at_rest),
        more=tuple(row for at_rest, row in rows if not at_rest),
        robot=f"{weight} hangs here",
        robot_said=_mass_said(mass, pen),
        why=path.why,
        device=DEVICES.get(path.device, path.device),
        sinks=path.sinks,
        below=capital(below_rule(path)),
        beyond=beyond_lifting(path.loads.mass if path.loads else None),
    )


def _row(link: Link, path: HoldPath, pen: Pen, told: set[tuple[str, object]]) -> PathRow:
    """The row of a link; what `told` holds stood on a row above and is not said again."""
    found, own, size = pen.look(link), _own_inputs(link, told), link.kind == "size"
    return PathRow(
        name=capital(link.name),
        sign=_sign(link, pen.robot),
        href=_href(link),
        factor="" if link.factor is None else f"{link.factor:.{2 if size else 1}f}",
        needs=number_text(link.required) if link.required else "",
        rule=number_text(link.rule) if link.lowered and link.rule else "",
        share=link.share,
        holds=link.holds,
        weakest=link == path.weakest,
        size=size,
        instead="" if link.computed or link.inspection_key else "can't be computed",
        measured=_labels(own, MEASURED),
        stated=_labels(own, STATED),
        assumed=_labels(own, ASSUMED),
        not_stated=() if link.inspection_key else _lacks(link, pen.robot),
        looks=bool(link.inspection_key),
        looked=_looked(found, link, pen) if found else None,
        carries=_carries(link, pen.units),
        because=link.because,
        facts=tuple(_fact(item, pen) for item in link.inputs),
    )


def _own_inputs(link: Link, told: set[tuple[str, object]]) -> list[PathInput]:
    """What a link's number rests on and no row above has told; all of it where that is nothing."""
    if link.inspection_key:
        return []
    every = [item for item in link.inputs if item.name != MASS]
    fresh = [item for item in every if (item.label, item.value) not in told]
    told.update((item.label, item.value) for item in fresh)
    return fresh or every


def _href(link: Link) -> str:
    if link.inspection_key:
        return f"/walk?check={link.inspection_key}"
    return f"/parts/{link.part}" if link.part else ""


def _lacks(link: Link, robot: Robot | None) -> tuple[str, ...]:
    """What is not stated, part by part; a part is named where it is not the row's own."""
    own = robot.parts[link.part].label if robot and link.part in robot.parts else ""
    parts: dict[str, list[str]] = {}
    for need in link.needs:
        part, _, what = need.rpartition(": ")
        parts.setdefault("" if part in (own, THE_PATH) else part, []).append(what)
    return tuple(
        f"{part}: {', '.join(names)}" if part else ", ".join(names) for part, names in parts.items()
    )


def _looked(found: Inspection, link: Link, pen: Pen) -> Looked:
    words = SEEN[found.verdict]
    if found.verdict == "ok" and found.key.startswith(PROOF):
        words = PROVED
    stale = pen.stale(link) if found.verdict == "ok" else ""
    verdict, words = ("due", AGAIN) if stale else (found.verdict, words)
    return Looked(verdict, words, found.by, pen.say(found.at), stale)


def capital(text: str) -> str:
    """A text with its first letter as a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


def _sign(link: Link, robot: Robot | None) -> str:
    """What the row is drawn as: what loads it, else the kind of its part, else its name."""
    if link.kind not in ("hold", "size"):
        return link.kind
    part = robot.parts.get(link.part) if robot else None
    return part.kind if part else link.name


def _labels(inputs: Iterable[PathInput], origin: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item.label for item in inputs if item.origin == origin))


def _carries(link: Link, units: str) -> str:
    """Load and strength in the team's units."""
    if link.load is None:
        return ""
    unit = screen_unit(dimension_of(link.unit), units)
    if link.unit == "m" and link.strength is not None:
        return f"{show(link.load, unit)} over {show(link.strength, unit)}"
    return (
        f"{show(link.load, unit)} of {show(link.strength, unit)}"
        if link.strength is not None
        else show(link.load, unit)
    )


def _number(item: PathInput, units: str) -> str:
    """The value of an input that counts, in the team's units; a word as it is."""
    if not isinstance(item.value, int | float) or isinstance(item.value, bool):
        return str(item.value or "")
    if item.unit in ("", "1"):
        return number_text(item.value)
    return show(item.value, screen_unit(_dimension(item.unit), units))


def _dimension(unit: str) -> str:
    """What a number of a hold path is: its only pressures are stresses in metal."""
    found = dimension_of(unit)
    return "stress" if found == "pressure" else found


def _fact(item: PathInput, pen: Pen) -> str:
    """One input with its number and where it comes from."""
    if item.origin == NOT_STATED:
        return f"{item.label}: not stated"
    return f"{item.label} {_number(item, pen.units)}: {_origin(item, pen)}"


def _origin(item: PathInput, pen: Pen) -> str:
    if item.origin != MEASURED:
        return "only stated" if item.origin == STATED else item.origin
    by = ", ".join(
        filter(
            None,
            (
                " ".join(filter(None, (item.by, pen.say(item.when) if item.when else ""))),
                *item.marks,
            ),
        )
    )
    read = _number(replace(item, value=item.read), pen.units)
    if item.read is not None and read != _number(item, pen.units):
        return f"from the build sheet, which is worse; {read} measured{f' by {by}' if by else ''}"
    text = f"measured by {by}" if by else "measured"
    if item.stated is None or item.stated == item.value:
        return text
    return f"{text}; the build sheet says {_number(replace(item, value=item.stated), pen.units)}"


def _mass_said(mass: PathInput | None, pen: Pen) -> str:
    if mass is None or mass.origin == NOT_STATED:
        return "Its weight is not stated."
    return f"Weight {_origin(mass, pen)}."
