"""Judging a logbook's readings again: a verdict that does not follow from its own limit and inputs names its entry.

Whoever holds the pit's key can seal a changed verdict, but not make it follow from the numbers that stand beside it.
"""

from collections.abc import Iterable
from typing import Any

from pitcrew.domain.limitshape import Limit, limit_from_dict
from pitcrew.domain.readings import judge
from pitcrew.entries import canonical
from pitcrew.errors import BadInput


def first_wrong_verdict(records: Iterable[dict[str, Any]]) -> str | None:
    """A sentence naming the first reading whose verdict does not follow from its limit and inputs; None if all do."""
    limits: dict[bytes, Limit | None] = {}
    for record in records:
        if record.get("kind") != "reading":
            continue
        body, judged = record.get("body", {}), record.get("judged") or {}
        found = _wrong(judged, body, limits) if judged else _wrong(body, body, limits)
        if found:
            return f"Entry {record.get('seq')} (reading, {record.get('id')}): {found}"
    return None


def _wrong(stated: dict[str, Any], body: dict[str, Any], limits: dict[bytes, Limit | None]) -> str:
    """What is wrong with a stated verdict and limit over a reading's inputs; empty where it follows, or nothing was stated."""
    verdict, limit = stated.get("verdict"), stated.get("limit")
    if verdict is None or not isinstance(limit, dict):
        return ""
    read = _limit(limit, limits)
    if read is None:
        return ""
    again = judge(read, body.get("inputs", {})).verdict
    return "" if again == verdict else f"its verdict {verdict} does not follow from its limit and inputs; judged again it is {again}."


def _limit(limit: dict[str, Any], limits: dict[bytes, Limit | None]) -> Limit | None:
    """A limit as read, each one once; None where it cannot be read (such a reading counts as unjudged everywhere)."""
    key = canonical(limit)
    if key not in limits:
        try:
            limits[key] = limit_from_dict(limit)
        except BadInput:
            limits[key] = None
    return limits[key]
