"""Which climb-critical definitions are in force: those of the logbook, not those of the files.

What stands in a file for the first time is in force at once. A change of it waits for the approval of two people and the old
definition stays in force until then, a removed or un-marked one included; a file put back ends the waiting.
"""

from dataclasses import dataclass, replace
from typing import Any

import msgspec

from pitcrew.base.settings import Settings
from pitcrew.domain.checks.checklists import Check, Input
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.duewords import DueRule
from pitcrew.domain.checks.limitrules import LimitRule
from pitcrew.domain.checks.limits import PartCheck, limit_from_dict
from pitcrew.domain.climb.changewords import change_text
from pitcrew.domain.climb.critical import WHOLE, Fact, critical_facts, same
from pitcrew.domain.logbook.secondnames import Wanted, approvers
from pitcrew.domain.logbook.state import State
from pitcrew.domain.robot.buildsheet import Part, Robot, bare_robot
from pitcrew.domain.robot.climbparts import ClimbParts
from pitcrew.domain.robot.hold_path import HoldPathTable
from pitcrew.domain.robot.mistakes import Mistake
from pitcrew.domain.robot.translation import translated

NAMES_WANTED = 2
UNREADABLE = Mistake(
    "logbook.jsonl", "definitions", "climb-critical definitions of an older form", "a log begun with this version of pitcrew", climb=True
)
"""What did not load counts as missing: a logbook whose held definitions cannot be read blocks the climb."""


@dataclass(frozen=True)
class Pending:
    """A change that waits: the load that brought it, what is in force, and what the file says."""

    id: str
    load: str
    in_force: Fact | None
    wanted: Fact | None


def fold_definitions(state: State, up_to_seq: int | None = None) -> tuple[dict[str, Fact | None], dict[str, Pending]]:
    """The climb-critical facts in force by name (None: removed with two names), and the changes that wait for approval.

    `up_to_seq`: as it was at that entry; None for now.
    """
    held: dict[str, Fact | None] = {}
    waiting: dict[str, Pending] = {}
    loads = [load for load in state.loads if load.entry.origin is None]  # another log's files are not ours
    decisions = [fact for load in loads for fact in state.approvals.get(load.id, []) if fact.entry.origin is None]
    stand: dict[str, dict[str, str]] = {}
    for fact in sorted([*loads, *decisions], key=lambda fact: fact.seq):
        if up_to_seq is not None and fact.seq > up_to_seq:
            break
        if fact.entry.kind == "definitions":
            for change in fact.body.changes:
                _take(change, fact.id, held, waiting)
            continue
        names = stand.setdefault(fact.body.of, {})
        names[fact.person] = fact.body.decision
        if list(names.values()).count("approved") >= NAMES_WANTED:
            for name in [name for name, item in waiting.items() if item.load == fact.body.of]:
                held[name] = waiting.pop(name).wanted
    return held, waiting


def definitions_wanted(state: State) -> list[Wanted]:
    """The loads of definitions that wait for two names, each with its changes in words."""
    loads: dict[str, list[str]] = {}
    for item in fold_definitions(state)[1].values():
        loads.setdefault(item.load, []).append(change_text(item.id, item.in_force, item.wanted))
    return [
        Wanted(load, "Changed in the files, the old stays in force until two people approve. " + "; ".join(texts) + ".", "",
               tuple(approvers(state, load)))
        for load, texts in loads.items()
    ]


def in_force(definitions: Definitions, state: State) -> Definitions:
    """The definitions of the files, with every climb-critical one as the logbook has it in force."""
    robot = definitions.robot
    if robot is None:
        return definitions
    now, mine = critical_facts(definitions), f"{robot.name}/"
    before = {name: fact for name, fact in fold_definitions(state)[0].items() if fact is not None and not same(now.get(name), fact)}
    try:
        return _with_held(definitions, robot, before, mine) if before else definitions
    except (KeyError, TypeError, msgspec.ValidationError):
        return replace(definitions, mistakes=[*definitions.mistakes, UNREADABLE])


def definitions_at(files: Definitions, state: State, seq: int, name: str) -> Definitions:
    """What the climb of the robot `name` hung on at entry `seq`: as the logbook had it in force, with the mistakes of that load.

    Of today's files it takes only what judges nothing of the climb, such as labels and zones.
    """
    held = {key: fact for key, fact in fold_definitions(state, seq)[0].items() if fact is not None}
    base = files.robots.get(name) or bare_robot(name)
    robot = replace(base, parts={part.id: part for part in base.parts.values() if not part.climb_critical})
    loads = [load for load in state.loads if load.entry.origin is None and load.seq <= seq]
    try:
        mistakes = [msgspec.convert(item, Mistake) for item in loads[-1].body.mistakes] if loads else []
        bare = Definitions(files.settings, {**files.robots, name: robot}, robot, (), {}, mistakes)
        return _with_held(bare, robot, held, f"{name}/")
    except (KeyError, TypeError, msgspec.ValidationError):
        return Definitions(files.settings, files.robots, robot, (), {}, [UNREADABLE])


def _with_held(definitions: Definitions, robot: Robot, before: dict[str, Fact], mine: str) -> Definitions:
    """The definitions with what is held in force in the place of what the files say. Raises KeyError for facts of an older form."""
    parts = {name.partition("/")[2]: fact for name, fact in before.items() if name.startswith(f"part:{mine}")}
    robot = _robot(robot, before.get(f"robot:{robot.name}"), parts)
    checks = dict(definitions.part_checks)
    for name, fact in before.items():
        if name.startswith(f"check:{mine}"):
            key = name.partition("/")[2]
            checks[key] = _part_check(key, fact, robot)
    settings = definitions.settings
    if held := before.get("settings"):
        settings = Settings({**settings.values, **held}, settings.sources)
    return replace(definitions, robot=robot, robots={**definitions.robots, robot.name: robot}, part_checks=checks, settings=settings)


def _take(change: dict[str, Any], load: str, held_facts: dict[str, Fact | None], waiting: dict[str, Pending]) -> None:
    """One change of a load: in force at once where nothing was, gone from the waiting where it brings back what is in force."""
    name, after = change["id"], change.get("after")
    held = held_facts.get(name)
    if held is None:
        held_facts[name] = after
    elif same(held, after):
        waiting.pop(name, None)
    else:
        waiting[name] = Pending(name, load, held, after)


def _robot(robot: Robot, held: Fact | None, parts: dict[str, Fact]) -> Robot:
    kept = {name: msgspec.convert(fact[WHOLE], Part) for name, fact in parts.items()}
    robot = replace(robot, parts={**robot.parts, **kept})
    if held is None:
        return robot
    climb = msgspec.convert(held.get("climb"), ClimbParts | None)
    path = msgspec.convert(held.get("hold_path"), HoldPathTable | None) or (translated(climb, robot.parts) if climb else None)
    mass = held["mass"]
    return replace(
        robot, mass_chassis=mass["chassis"], mass_bumpers=mass["bumpers"], mass_battery=mass["battery"], climb=climb, hold_path=path
    )


def _part_check(key: str, fact: Fact, robot: Robot) -> PartCheck:
    whole = {name: value for name, value in fact[WHOLE].items() if name != "unjudged_because"}
    inputs = tuple(msgspec.convert(item, Input) for item in whole.pop("inputs"))
    due = tuple(msgspec.convert(item, DueRule) for item in whole.pop("due"))
    check = Check(**whole | {"inputs": inputs, "due": due, "cautions": tuple(whole["cautions"]), "limit_rule": LimitRule()})
    limit = limit_from_dict(fact["limit"]) if fact["limit"] else None
    part = key.partition("@")[2]
    return PartCheck(check, robot.parts.get(part) or Part(part, part, "", ""), limit, fact[WHOLE]["unjudged_because"])
