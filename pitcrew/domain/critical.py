"""Climb-critical definitions as plain facts, so that a changed, un-marked or removed one is seen in the logbook."""

from typing import Any

from pitcrew.domain.definitions import Definitions
from pitcrew.domain.limits import limit_as_dict


def critical_facts(definitions: Definitions) -> dict[str, dict[str, Any]]:
    """`part:ID` and `check:KEY` of everything climb-critical, and `robot:mass`, each with what it is judged by."""
    facts: dict[str, dict[str, Any]] = {}
    for robot in definitions.robots.values():
        facts[f"robot:{robot.name}"] = {"mass": robot.mass}
        for part in robot.parts.values():
            if part.climb_critical:
                facts[f"part:{part.id}"] = {"kind": part.kind, "specs": dict(part.specs)}
    for key, item in definitions.part_checks.items():
        if item.part.climb_critical or any(rule.word == "before a climb" for rule in item.check.due):
            facts[f"check:{key}"] = {
                "limit": limit_as_dict(item.limit) if item.limit else None,
                "due": [[rule.word, rule.every] for rule in item.check.due],
                "must": item.check.must,
                "two_names": item.check.two_names,
            }
    return facts


def changes_since(before: dict[str, dict[str, Any] | None], now: dict[str, dict[str, Any]]) -> list[dict[str, Any]]:
    """The climb-critical things that differ, as `{id, before, after}`; a removed one has `after` null."""
    names = [*now, *(name for name in before if name not in now)]
    return [
        {"id": name, "before": before.get(name), "after": now.get(name)}
        for name in names
        if before.get(name) != now.get(name)
    ]
