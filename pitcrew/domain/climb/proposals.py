"""The changed definitions that wait for two names, told to those who decide: what changes, before
and after, and which factors of the hold path change with it.
"""

from collections.abc import Iterator, Mapping

from pitcrew.base.units import number_text
from pitcrew.domain.climb.approved import with_facts
from pitcrew.domain.climb.changewords import change_text, title
from pitcrew.domain.climb.critical import FACTOR
from pitcrew.domain.climb.hold import measured_by
from pitcrew.domain.climb.lowered import factor_is_lowered
from pitcrew.domain.climb.waiting import Pending, folded, wants_mentor
from pitcrew.domain.holding.links import HoldPath, Link
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.secondnames import Wanted, approvers

IN_FILES = "Changed in the files; the old stays in force until two people approve."
BY_UPDATE = (
    "A program update changes what the climb hangs on; "
    "the stricter of old and new counts until two people approve."
)
BY_MENTOR = "One of the two is a mentor: the factor is far below the lifting rule."


def definitions_wanted(moment: Moment) -> list[Wanted]:
    """The loads of definitions that wait for two names, each with its changes in words and the
    factors before and after.
    """
    loads: dict[str, list[Pending]] = {}
    for item in folded(moment)[1].values():
        loads.setdefault(item.load, []).append(item)
    return [_wanted(moment, load, items) for load, items in loads.items()]


def _wanted(moment: Moment, load: str, items: list[Pending]) -> Wanted:
    head = BY_UPDATE if any(item.update for item in items) else IN_FILES
    if any(map(wants_mentor, items)):
        head = f"{head} {BY_MENTOR}"
    checks = [item for item in items if item.id.startswith("check:")]
    first = [pending_text(moment, item) for item in items if item not in checks]
    others = [pending_text(moment, item) for item in checks]
    lines = (*first, *factor_changes(moment, items), *others)
    text = " ".join([head, *(f"{line}." for line in lines)])
    return Wanted(load, text, "", tuple(approvers(moment.state, load)), head, lines)


def pending_text(moment: Moment, item: Pending) -> str:
    """What one pending change changes: `Climb rope: sheave 32 mm → 28 mm`."""
    return change_text(item.id, item.in_force, item.wanted, _labels(moment))


def pending_title(moment: Moment, item: Pending) -> str:
    """What one pending change is about: `Climb rope`."""
    return title(item.id, item.wanted or item.in_force or {}, _labels(moment))


def _labels(moment: Moment) -> dict[str, str]:
    robot = moment.definitions.robot
    return {part.id: part.label for part in robot.parts.values()} if robot else {}


def factor_changes(moment: Moment, items: list[Pending]) -> list[str]:
    """The links that would have or need another factor, the weakest first: `Climb rope: factor
    5.2 → factor 3.9, needs 7`.
    """
    before, after = (_by_name(path) for path in _paths(moment, items))
    names = sorted({**before, **after}, key=lambda name: after[name].share if name in after else -1)
    pairs = [(name, before.get(name), after.get(name)) for name in names]
    return [
        f"{name}: {_arrow(_said(old), _said(new))}{_needs(old, new)}"
        for name, old, new in pairs
        if (_said(old), _needs(old, old)) != (_said(new), _needs(new, new))
    ]


def _paths(moment: Moment, items: list[Pending]) -> Iterator[HoldPath]:
    """The hold path in force and the one with the changes, both by the same readings."""
    definitions, measured = moment.definitions, measured_by(moment)
    lowered = factor_is_lowered(moment)
    yield hold_path(definitions.robot, definitions.settings, measured, lowered)
    wanted = {item.id: item.wanted for item in items if item.wanted is not None}
    then = with_facts(definitions, wanted)
    lowered = lowered or any(item.id.startswith(FACTOR) for item in items)
    yield hold_path(then.robot, then.settings, measured, lowered)


def _by_name(path: HoldPath) -> Mapping[str, Link]:
    return {link.name: link for link in path.links}


def _said(link: Link | None) -> str:
    if link is None:
        return "no such link"
    return f"factor {number_text(link.factor)}" if link.factor is not None else "not computed"


def _needs(before: Link | None, after: Link | None) -> str:
    """Which factor the link needs, where there is one; both where that changes as well."""
    wanted = [
        number_text(link.required) for link in (before, after) if link and link.required is not None
    ]
    return f", needs {_arrow(wanted[0], wanted[-1])}" if wanted else ""


def _arrow(before: str, after: str) -> str:
    return before if before == after else f"{before} → {after}"
