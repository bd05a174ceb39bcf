"""Climb-critical definitions as plain facts, so that a changed, un-marked or removed one is seen in
the logbook.

Each fact holds what is judged by, and under `whole` all that it takes to go on with it after the
file has changed (`approved.py`). Names carry the robot: `part:tern/climb.rope`,
`check:tern/rope-wires@climb.rope`, `robot:tern`, `settings`; `program` holds the rules by which the
program judges a climb, `factor:tern` the team's own lower factor.
"""

from typing import Any

import msgspec

from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.unsafe import UNSAFE
from pitcrew.domain.climb.rules import RULES
from pitcrew.domain.robot.buildsheet import Robot

PROGRAM, FACTOR = "program", "factor"
LOWER, REASON = "lower_factor", "lower_factor_reason"
SETTINGS = ("climb_factor", "catch_factor", "slip", "clearance_runs")
WHOLE = "whole"
LIMIT_WORDS = (
    "because",
    "source",
    "say",
    "sentences",
    "good",
    "shown",
    "shown_name",
    "scale",
    "offset",
    "decimals",
)
CriticalFact = dict[str, Any]


def critical_facts(definitions: Definitions) -> dict[str, CriticalFact]:
    """Everything climb-critical of the robot that plays, checks that want two names, and the
    settings of the climb.
    """
    facts: dict[str, CriticalFact] = {
        PROGRAM: {"rules": RULES},
        "settings": {name: definitions.settings[name] for name in SETTINGS},
    }
    robot = definitions.robot
    if robot is None:
        return facts
    masses = {
        "chassis": robot.mass_chassis,
        "bumpers": robot.mass_bumpers,
        "battery": robot.mass_battery,
    }
    facts[f"robot:{robot.name}"] = {"mass": masses, **_path(robot)}
    if lower := lower_factor_fact(robot):
        facts[f"{FACTOR}:{robot.name}"] = lower
    for part in robot.parts.values():
        if part.climb_critical:
            facts[f"part:{robot.name}/{part.id}"] = {
                "kind": part.kind,
                "specs": dict(part.specs),
                WHOLE: msgspec.to_builtins(part),
            }
    for key, item in definitions.part_checks.items():
        if item.part.climb_critical or item.check.for_climb or item.check.two_names:
            facts[f"check:{robot.name}/{key}"] = _check(item)
    # as they come back from the logbook
    plain: dict[str, dict[str, Any]] = msgspec.json.decode(msgspec.json.encode(facts))
    return plain


def lower_factor_fact(robot: Robot) -> CriticalFact | None:
    """The team's own lower factor with its reason, which counts only with two names; None where the
    build sheet has none.
    """
    path = robot.hold_path
    return (
        {LOWER: path.lower_factor, REASON: path.lower_factor_reason}
        if path and path.lower_factor is not None
        else None
    )


def _path(robot: Robot) -> CriticalFact:
    """The hold path as it is in the file: the older table keeps the older shape, so that
    nothing changes by reading it.
    """
    if robot.climb is None and robot.hold_path is not None:
        path = msgspec.to_builtins(robot.hold_path)
        return {
            "hold_path": {
                name: value for name, value in path.items() if name not in (LOWER, REASON)
            }
        }
    return {"climb": msgspec.to_builtins(robot.climb)}


def _check(item: PartCheck) -> CriticalFact:
    whole = msgspec.to_builtins(item.check)
    return (
        ({"witness": True} if item.check.witness else {})
        | ({"measures": item.check.measures} if item.check.measures else {})
        | {
            "limit": limit_as_dict(item.limit) if item.limit else None,
            "due": [[rule.word, rule.every] for rule in item.check.due],
            "must": item.check.must,
            "two_names": item.check.two_names,
            WHOLE: (
                {name: value for name, value in whole.items() if name != "limit_rule"}
                | {"unjudged_because": item.unjudged_because}
            ),
        }
    )


def same(one: CriticalFact | None, other: CriticalFact | None) -> bool:
    """Whether two facts judge alike; a label or the way to look may differ."""
    return _judging(one) == _judging(other)


def _judging(fact: CriticalFact | None) -> CriticalFact | None:
    if fact is None:
        return None
    found = {name: value for name, value in fact.items() if name != WHOLE}
    return found | {"limit": _numbers_of(found["limit"])} if found.get("limit") else found


def _numbers_of(limit: CriticalFact) -> CriticalFact:
    """A limit without its words: how a verdict is said may change with the program."""
    plain = {name: value for name, value in limit.items() if name not in LIMIT_WORDS}
    for conditions in ("unjudged_when", "stop_when"):
        if conditions in plain:
            plain[conditions] = [condition[:3] for condition in plain[conditions]]
    return plain


def changes_since(
    before: dict[str, CriticalFact | None], now: dict[str, CriticalFact]
) -> list[dict[str, Any]]:
    """The climb-critical things that differ, as `{id, before, after}`; a removed one of the same
    robot has `after` null.
    """
    mine = {_robot_of(name) for name in now} - {""}
    gone = (name for name in before if name not in now and not is_unsafe(name))
    names = [*now, *(name for name in gone if _robot_of(name) in mine)]
    return [
        {"id": name, "before": before.get(name), "after": now.get(name)}
        for name in names
        if not same(before.get(name), now.get(name))
    ]


def is_unsafe(name: str) -> bool:
    """Whether a fact is a check that no one may do: it is gone wherever it was, and no one has to
    let it go."""
    return name.startswith("check:") and name.partition("/")[2].partition("@")[0] in UNSAFE


def _robot_of(name: str) -> str:
    return name.partition(":")[2].partition("/")[0]
