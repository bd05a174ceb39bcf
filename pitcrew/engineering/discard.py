"""When a wire rope is discarded for broken wires. Rules differ, so one is always named."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from pitcrew.base.errors import BadInput, OutOfRange, UnknownName
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, plain, row
from pitcrew.engineering.parameters import Parameter, count, text

WHERE = {
    "in_lay": "in one lay",
    "in_strand": "in one strand of one lay",
    "in_6d": "in 6 diameters",
    "in_30d": "in 30 diameters",
    "at_end": "at an end",
}


@dataclass(frozen=True)
class Rule:
    """Broken wires at which a rope is discarded, by where they are counted; None where the rule
    counts nothing there.

    A count that the rule names only for standing ropes is `optional`: it discards, but need not be
    given.
    """

    source: str
    in_lay: int | None = None
    in_strand: int | None = None
    in_6d: int | None = None
    in_30d: int | None = None
    at_end: int | None = None
    optional: tuple[str, ...] = ()

    def limits(self) -> dict[str, int]:
        """The places that the rule counts, with their limits."""
        return {place: limit for place in WHERE if (limit := getattr(self, place)) is not None}


@dataclass(frozen=True)
class Make:
    """A rope's construction: wires in each strand, outer strands, all wires; Seale strands have
    their own row in ISO 4309."""

    per_strand: int
    outer_strands: int
    wires: int
    seale: bool


MAKES = ("7x19", "7x7", "6x19", "6x19 seale", "6x36", "3x7", "1x19")
_MAKE = re.compile(r"(\d{1,2})x(\d{1,3})[ -]?(s|seale|seal)?[ -]?(iwrc|fc|wsc|core)?")
# ISO 4309:2010, table 3, ordinary lay, M1 to M4 or unknown: load-bearing wires in the outer strands
# up to, in 6 d, in 30 d
_ISO_4309 = (
    (50, 2, 4),
    (75, 3, 6),
    (100, 4, 8),
    (120, 5, 10),
    (140, 6, 11),
    (160, 6, 13),
    (180, 7, 14),
    (200, 8, 16),
    (220, 9, 18),
    (240, 10, 19),
    (260, 10, 21),
    (280, 11, 22),
    (300, 12, 24),
)


def make(construction: str) -> Make:
    """The construction as written, `7x19`, `6x19 Seale`, `6x19 IWRC`. Raises UnknownName.

    A seventh strand is the core of six; only the outer strands are counted by ISO 4309.
    """
    match = _MAKE.fullmatch(plain(construction))
    strands, per_strand = (int(match[1]), int(match[2])) if match else (0, 0)
    if not match or not 1 <= strands <= 9 or per_strand < 3:
        raise UnknownName("The rope construction", construction, MAKES, "construction")
    return Make(per_strand, 6 if strands == 7 else strands, strands * per_strand, bool(match[3]))


def _iso_4309(rope: Make) -> Rule:
    bearing = rope.outer_strands * rope.per_strand
    at = next((index for index, step in enumerate(_ISO_4309) if bearing <= step[0]), None)
    if at is None:
        raise OutOfRange(
            f"broken-wires: {bearing} wires in the outer strands; ISO 4309 is read up to 300. Ask"
            " the maker.",
            "construction",
        )
    if rope.seale and rope.per_strand <= 19:
        at = max(0, at - 2)
    six, thirty = _ISO_4309[at][1:]
    return Rule(
        f"ISO 4309:2010, table 3, {bearing} outer wires, ordinary lay, M1 to M4",
        in_6d=six,
        in_30d=thirty,
        at_end=1,
    )


def _mine(rope: Make) -> Rule:
    """More than 5 % of all wires in one lay, or more than 15 % of the wires of one strand."""
    return Rule(
        "30 CFR 56.19024",
        in_lay=rope.wires * 5 // 100 + 1,
        in_strand=rope.per_strand * 15 // 100 + 1,
    )


def _asme(part: str, lay: int, strand: int, end: int | None = None) -> Rule:
    return Rule(
        f"ASME {part}, running rope", in_lay=lay, in_strand=strand, at_end=end, optional=("at_end",)
    )


_RUNNING = Rule(
    "OSHA 1926.1413, running rope", in_lay=6, in_strand=3, at_end=2, optional=("at_end",)
)
_STANDING = Rule("OSHA 1926.1413, standing rope", in_lay=3, at_end=2)
_ROTATION = Rule("OSHA 1926.1413, rotation-resistant rope", in_6d=2, in_30d=4)
RULES: dict[str, Rule | Callable[[Make], Rule]] = {
    "climb": Rule(
        "the rule for climb lines (ISO 4309's smallest class, and none at an end)",
        in_6d=2,
        in_30d=4,
        at_end=1,
    ),
    "iso-4309": _iso_4309,
    "osha": _RUNNING,
    "osha-standing": _STANDING,
    "osha-rotation-resistant": _ROTATION,
    "b30.2": _asme("B30.2", 12, 4, 2),
    "b30.3": _asme("B30.3", 12, 4, 2),
    "b30.4": _asme("B30.4", 6, 3),
    "b30.5": _asme("B30.5", 6, 3, 2),
    "b30.6": _asme("B30.6", 6, 3),
    "b30.7": _asme("B30.7", 6, 3),
    "b30.7-standing": Rule("ASME B30.7, standing rope", in_lay=3, at_end=2),
    "b30.8": _asme("B30.8", 6, 3),
    "b30.9": Rule("ASME B30.9, strand-laid sling", in_lay=10, in_strand=5),
    "b30.16": _asme("B30.16", 12, 4, 2),
    "b30.29": _asme("B30.29", 6, 3),
    "mine": _mine,
    "wac": replace(_asme("", 6, 3), source="WAC 296-874-30016"),
}
_OTHER_NAMES = other_names(
    {
        "climb": "climb line; climb lines; default; iso 4309 class 01",
        "iso-4309": "iso 4309; iso4309; iso 4309:2010; iso",
        "osha": "osha 1926.1413; 1926.1413; osha-running; osha running; osha/b30.5",
        "osha-standing": "osha standing; osha 1926.1413 standing; standing",
        "osha-rotation-resistant": (
            "osha rotation-resistant; rotation-resistant; rotation resistant"
        ),
        "b30.7-standing": "b30.7 standing",
        "b30.9": "sling; wire-rope sling; wire rope sling",
        "mine": "mining; 30 cfr 56.19024; 30 cfr; 30cfr; 56.19024",
        "wac": "wac 296-874-30016",
    }
)


def rule_for(name: object, construction: str | None) -> tuple[str, Rule]:
    """The rule as written, fitted to the construction where it counts by that. Raises UnknownName
    and BadInput."""
    key, rule = row("broken-wires: the rule", name, RULES, _OTHER_NAMES, ("asme",))
    if isinstance(rule, Rule):
        return key, rule
    if construction is None:
        raise BadInput(
            f"broken-wires: the rule {key} counts by the rope's construction. Add"
            " construction=7x19.",
            "construction",
        )
    return key, rule(make(construction))


def _wires(place: str) -> Parameter:
    return count(f"broken wires {WHERE[place]}", least=0, most=10_000, default=None)


@figure(
    "broken-wires",
    "1",
    value_is="1 keep, 0 discard",
    source=(
        "the named rule: ISO 4309:2010, ASME B30.2 to B30.29, OSHA 1926.1413, 30 CFR 56.19024, WAC"
        " 296-874-30016, or that for climb lines"
    ),
    range=(
        "wire rope; every place that the named rule counts must be counted; cord has no such rule"
    ),
    rule=text("whose rule", *RULES, default="climb"),
    construction=text("strands and wires", *MAKES, default=None),
    in_lay=_wires("in_lay"),
    in_strand=_wires("in_strand"),
    in_6d=_wires("in_6d"),
    in_30d=_wires("in_30d"),
    at_end=_wires("at_end"),
)
def broken_wires(rule: str, construction: str | None, **counts: int | None) -> Outcome:
    """1 to keep and 0 to discard a rope by its broken wires; extras `rule` and `limit_…` of each
    place that it counts.

    One count at its limit discards, whatever was not counted; otherwise a count that is missing
    raises BadInput, for nothing is guessed. Raises UnknownName for a rule or construction.

    Example: One broken wire within 6 rope diameters, one within 30, none at the end: the rule for
    climb lines lets a rope stay with fewer than 2, 4 and 1.

        pitcrew figure broken-wires rule=climb in_6d=1 in_30d=1 at_end=0
        broken-wires: 1
    """
    key, found = rule_for(rule, construction)
    if construction is not None:
        make(construction)
    limits = found.limits()
    over = [place for place, limit in limits.items() if (counts[place] or 0) >= limit]
    missing = [place for place in limits if counts[place] is None and place not in found.optional]
    if missing and not over:
        raise BadInput(
            f"broken-wires: {found.source} also counts {' and '.join(missing)}. Count broken wires"
            " there.",
            missing[0],
        )
    extras = {"rule": key} | {f"limit_{place}": limit for place, limit in limits.items()}
    return Outcome(0.0 if over else 1.0, _sentence(found, limits, over, counts), extras)


def _sentence(
    rule: Rule, limits: Mapping[str, int], over: list[str], counts: Mapping[str, int | None]
) -> str:
    if over:
        place = over[0]
        return (
            f"{counts[place]} broken wires {WHERE[place]}: {rule.source} discards at"
            f" {limits[place]}."
        )
    allowed = ", ".join(f"{limit} {WHERE[place]}" for place, limit in limits.items())
    ends = counts["at_end"] if "at_end" not in limits else None
    silent = f" It says nothing of the {ends} at an end: judge them apart." if ends else ""
    return f"Keep: {rule.source} discards at {allowed}, and fewer were found.{silent}"
