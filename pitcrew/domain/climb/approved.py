"""Which climb-critical definitions are in force: those of the logbook (`waiting.py`), not those of
the files.

A changed definition stays as it was until two people approve. Of what a program update changes, the
stricter of the old and the new limit counts until then. What the files say and the laptop has not
loaded yet counts as a mistake of them.
"""

from dataclasses import fields, replace

import msgspec

from pitcrew.base.settings import Settings
from pitcrew.domain.checks.checklists import Check, Input
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.duewords import DueRule
from pitcrew.domain.checks.limitrules import LimitRule
from pitcrew.domain.checks.limits import PartCheck, limit_from_dict
from pitcrew.domain.climb.critical import (
    FACTOR,
    PROGRAM,
    WHOLE,
    CriticalFact,
    changes_since,
    critical_facts,
    is_unsafe,
    same,
)
from pitcrew.domain.climb.stricter import stricter_check
from pitcrew.domain.climb.waiting import Pending, fold_definitions
from pitcrew.domain.logbook.state import State
from pitcrew.domain.robot.buildsheet import Part, Robot, bare_robot
from pitcrew.domain.robot.climbparts import ClimbParts
from pitcrew.domain.robot.hold_path import HoldPathTable
from pitcrew.domain.robot.mistakes import Mistake
from pitcrew.domain.robot.translation import translated

UNREADABLE = Mistake(
    "logbook.jsonl",
    "definitions",
    "climb-critical definitions of an older form",
    "a log begun with this version of pitcrew",
    climb=True,
)
"""What did not load counts as missing: a logbook whose held definitions cannot be read blocks the
climb.
"""
CHECK_NAMES = frozenset(item.name for item in fields(Check))
UNLOADED = "a change that the laptop has not loaded yet"
NEW_PROGRAM = "the rules of an earlier program, not yet of this one"
SHOWN = 3
LOAD_IT = "the pit's pages to be opened, which loads it"


def in_force(definitions: Definitions, state: State) -> Definitions:
    """The definitions of the files, with every climb-critical one as the logbook has it in
    force."""
    robot = definitions.robot
    if robot is None:
        return definitions
    now = critical_facts(definitions)
    held, waiting = fold_definitions(state)
    if mistake := _unloaded(now, held, waiting, robot.file):
        definitions = replace(definitions, mistakes=[*definitions.mistakes, mistake])
    before = {
        name: _meanwhile(fact, waiting.get(name))
        for name, fact in held.items()
        if fact is not None and not same(now.get(name), fact)
    }
    try:
        return _with_held(definitions, robot, before, f"{robot.name}/") if before else definitions
    except (KeyError, TypeError, msgspec.ValidationError):
        return replace(definitions, mistakes=[*definitions.mistakes, UNREADABLE])


def _unloaded(
    now: dict[str, CriticalFact],
    held: dict[str, CriticalFact | None],
    waiting: dict[str, Pending],
    file: str,
) -> Mistake | None:
    """What the files or a newer program say and no load of the laptop has noted, where it has
    noted anything: no signer can have seen it.
    """
    known = {**held, **{name: item.wanted for name, item in waiting.items()}}
    names = [change["id"] for change in changes_since(known, now)] if held else []
    if not names:
        return None
    if PROGRAM in names:
        return Mistake("logbook.jsonl", "climb", NEW_PROGRAM, LOAD_IT, climb=True)
    places = [name.partition("/")[2] or name for name in names[:SHOWN]]
    more = [f"{len(names) - SHOWN} more"] if len(names) > SHOWN else []
    return Mistake(file, ", ".join([*places, *more]), UNLOADED, LOAD_IT, climb=True)


def _meanwhile(held: CriticalFact, pending: Pending | None) -> CriticalFact:
    """What counts until two people approve: the old, and of a limit that a program update changes
    the stricter.
    """
    if pending is None or not pending.update or pending.wanted is None or "limit" not in held:
        return held
    return stricter_check(held, pending.wanted)


def definitions_at(files: Definitions, state: State, seq: int, name: str) -> Definitions:
    """What the climb of the robot `name` hung on at entry `seq`: as the logbook had it in force,
    with the mistakes of that load.

    Of today's files it takes only what judges nothing of the climb, such as labels and zones.
    """
    held = {key: fact for key, fact in fold_definitions(state, seq)[0].items() if fact is not None}
    base = files.robots.get(name) or bare_robot(name)
    robot = replace(
        base, parts={part.id: part for part in base.parts.values() if not part.climb_critical}
    )
    loads = [load for load in state.loads if load.entry.origin is None and load.seq <= seq]
    try:
        mistakes = (
            [msgspec.convert(item, Mistake) for item in loads[-1].body.mistakes] if loads else []
        )
        bare = Definitions(files.settings, {**files.robots, name: robot}, robot, (), {}, mistakes)
        return _with_held(bare, robot, held, f"{name}/")
    except (KeyError, TypeError, msgspec.ValidationError):
        return Definitions(files.settings, files.robots, robot, (), {}, [UNREADABLE])


def with_facts(definitions: Definitions, facts: dict[str, CriticalFact]) -> Definitions:
    """The definitions with these climb-critical facts in place of their own; as they are where the
    facts cannot be read.
    """
    if definitions.robot is None:
        return definitions
    try:
        return _with_held(definitions, definitions.robot, facts, f"{definitions.robot.name}/")
    except (KeyError, TypeError, msgspec.ValidationError):
        return definitions


def _with_held(
    definitions: Definitions, robot: Robot, before: dict[str, CriticalFact], mine: str
) -> Definitions:
    """The definitions with what is held in force in the place of what the files say. Raises
    KeyError for facts of an older form.
    """
    parts = {
        name.partition("/")[2]: fact
        for name, fact in before.items()
        if name.startswith(f"part:{mine}")
    }
    robot = _robot(robot, before.get(f"robot:{robot.name}"), parts)
    if (lower := before.get(f"{FACTOR}:{robot.name}")) and robot.hold_path:
        robot = replace(robot, hold_path=replace(robot.hold_path, **lower))
    checks = dict(definitions.part_checks)
    for name, fact in before.items():
        if name.startswith(f"check:{mine}") and not is_unsafe(name):
            key = name.partition("/")[2]
            checks[key] = _part_check(key, fact, robot)
    settings = definitions.settings
    if held := before.get("settings"):
        settings = Settings({**settings.values, **held}, settings.sources)
    return replace(
        definitions,
        robot=robot,
        robots={**definitions.robots, robot.name: robot},
        part_checks=checks,
        settings=settings,
    )


def _robot(robot: Robot, held: CriticalFact | None, parts: dict[str, CriticalFact]) -> Robot:
    kept = {name: msgspec.convert(fact[WHOLE], Part) for name, fact in parts.items()}
    robot = replace(robot, parts={**robot.parts, **kept})
    if held is None:
        return robot
    climb = msgspec.convert(held.get("climb"), ClimbParts | None)
    path = msgspec.convert(held.get("hold_path"), HoldPathTable | None) or (
        translated(climb, robot.parts) if climb else None
    )
    mass = held["mass"]
    return replace(
        robot,
        mass_chassis=mass["chassis"],
        mass_bumpers=mass["bumpers"],
        mass_battery=mass["battery"],
        climb=climb,
        hold_path=path,
    )


def _part_check(key: str, fact: CriticalFact, robot: Robot) -> PartCheck:
    """The check of a stored fact; what a program of another time stored besides is left out, what
    it did not know has its default.
    """
    whole = {name: value for name, value in fact[WHOLE].items() if name in CHECK_NAMES}
    inputs = tuple(msgspec.convert(item, Input) for item in whole.pop("inputs"))
    due = tuple(msgspec.convert(item, DueRule) for item in whole.pop("due"))
    check = Check(
        **whole
        | {
            "inputs": inputs,
            "due": due,
            "cautions": tuple(whole["cautions"]),
            "limit_rule": LimitRule(),
        }
    )
    limit = limit_from_dict(fact["limit"]) if fact["limit"] else None
    part = key.partition("@")[2]
    return PartCheck(
        check,
        robot.parts.get(part) or Part(part, part, "", ""),
        limit,
        fact[WHOLE]["unjudged_because"],
    )
