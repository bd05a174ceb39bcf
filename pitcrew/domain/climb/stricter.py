"""The stricter of two definitions of one check, which counts until two people approve what a
program update changes.
"""

from typing import Any

import msgspec

from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.limitshape import (
    Limit,
    limit_as_dict,
    limit_from_dict,
    range_text,
    window_texts,
    write_sentences,
)
from pitcrew.domain.checks.readings import RANK

BECAUSE = (
    "the stricter of the limits before and after a program update, until two people approve it"
)

INSTRUMENT = "the instrument can be off by as much"


def stricter_check(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    """The old check as a stored fact, with the stricter limit of both, due by the words of either,
    asking what either asks.
    """
    due = [*old["due"], *(rule for rule in new["due"] if rule not in old["due"])]
    asks = {name for fact in (old, new) for name, value in fact.items() if value is True}
    limits = old["limit"], new["limit"]
    both = (
        limit_as_dict(stricter_limit(*map(limit_from_dict, limits))) if all(limits) else limits[0]
    )
    whole = {
        **old["whole"],
        **dict.fromkeys(asks, True),
        "due": [{"word": word, "every": every} for word, every in due],
    }
    return {**old, **dict.fromkeys(asks, True), "due": due, "limit": both, "whole": whole}


def stricter_limit(old: Limit, new: Limit) -> Limit:
    """A limit by which only what both call ok is ok; where they judge another number of other
    inputs, the old one.

    Of each bound the tighter, of each guard band the wider, of each answer the worse verdict; what
    either cannot judge is unjudged.
    """
    if (old.unit, old.result, set(old.inputs)) != (new.unit, new.result, set(new.inputs)):
        return old
    bounds = _in_order(
        {name: _tighter(name, getattr(old, name), getattr(new, name)) for name in BOUNDS}
    )
    guards = {
        name: max(old.guards.get(name, 0.0), new.guards.get(name, 0.0))
        for name in BOUNDS
        if bounds[name] is not None
    }
    mixed = msgspec.structs.replace(
        old,
        **bounds,
        guards=guards,
        answers=_answers(old.answers, new.answers),
        because=BECAUSE,
        unjudged_when=[
            *old.unjudged_when,
            *(rule for rule in new.unjudged_when if rule not in old.unjudged_when),
        ],
        unjudged_because=old.unjudged_because or new.unjudged_because,
    )
    mixed = msgspec.structs.replace(mixed, good=list(window_texts(mixed)))
    if range_text(mixed) == range_text(old):
        return msgspec.structs.replace(mixed, because=old.because)
    return msgspec.structs.replace(
        mixed, sentences=write_sentences(mixed, lambda bound: INSTRUMENT)
    )


def _tighter(name: str, one: float | None, other: float | None) -> float | None:
    given = [bound for bound in (one, other) if bound is not None]
    return (max if name.endswith("low") else min)(given) if given else None


def _in_order(bounds: dict[str, float | None]) -> dict[str, float | None]:
    """The bounds with none beyond its stop: a watch bound of one limit that is outside the stop
    bound of the other moves there.
    """
    low, high = bounds["stop_low"], bounds["stop_high"]
    if low is not None and bounds["watch_low"] is not None:
        bounds = {**bounds, "watch_low": max(bounds["watch_low"], low)}
    if high is not None and bounds["watch_high"] is not None:
        bounds = {**bounds, "watch_high": min(bounds["watch_high"], high)}
    return bounds


def _answers(
    old: dict[str, dict[str, str]], new: dict[str, dict[str, str]]
) -> dict[str, dict[str, str]]:
    """Every answer of either, with the worse of its verdicts."""
    found: dict[str, dict[str, str]] = {}
    for table in (old, new):
        for name, verdicts in table.items():
            mine = found.setdefault(name, {})
            for answer, verdict in verdicts.items():
                mine[answer] = max(mine.get(answer, verdict), verdict, key=lambda word: RANK[word])
    return found
