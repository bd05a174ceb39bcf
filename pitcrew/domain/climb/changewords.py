"""What a waiting change of climb-critical definitions changes, in words and with units, for the
people who approve it.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from pitcrew.base.units import show
from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.limitshape import Limit, limit_from_dict, shown_quantity
from pitcrew.domain.climb.critical import FACTOR, PROGRAM, WHOLE, CriticalFact
from pitcrew.domain.climb.rules import NEW_IN

LONGEST = 160
LIKE = 2
"""Decimals at least, so that a bound that only a new rounding shows otherwise reads the same."""
UNITS = {
    "chassis": "kg",
    "bumpers": "kg",
    "battery": "kg",
    "latency": "s",
    "speed": "m/s",
    "radius": "mm",
    "strength": "N",
    "torque_strength": "N*m",
    "slip": "mm",
    "free_length": "mm",
    "deflection": "mm",
    "fall_speed": "m/s",
    "swing": "deg",
    "hold_time": "s",
    "stall_torque": "N*m",
}
"""Screen units of the masses, the settings and the hold path; a part's specification is shown as it
was typed.
"""
BOUND_WORDS = {
    "stop_low": "stop below",
    "watch_low": "watch below",
    "watch_high": "watch above",
    "stop_high": "stop above",
}
NOTHING = "nothing"
REMOVED = "removed or not marked any more"
PLAIN = {"settings": "Settings of the climb", PROGRAM: "How the program judges a climb"}


def change_text(
    name: str,
    before: CriticalFact | None,
    after: CriticalFact | None,
    labels: Mapping[str, str] | None = None,
) -> str:
    """`Climb rope: sheave 32 mm → 28 mm`, from the name of a fact, what is in force, and what the
    file says; `labels` by part id.
    """
    if name == PROGRAM:
        return f"{PLAIN[PROGRAM]}: {rules_text(before, after)}"
    said = REMOVED
    if after is not None:
        said = _differences(before or {}, after, labels or {}) or "the same numbers in other words"
    return f"{title(name, after or before or {}, labels or {})}: {said}"


def title(name: str, fact: CriticalFact, labels: Mapping[str, str]) -> str:
    """What a fact is about, by the label of its part or check."""
    kind, _, rest = name.partition(":")
    label = fact.get(WHOLE, {}).get("label", "")
    if name == PROGRAM:
        return PLAIN[PROGRAM]
    if kind == "check":
        part = rest.partition("@")[2]
        return f"{label or rest.partition('@')[0]} ({labels.get(part, part)})"
    named = {"robot": f"Robot {rest}", FACTOR: f"The team's own lower factor, robot {rest}"}
    return label or PLAIN.get(name) or named.get(kind, name)


def rules_text(before: CriticalFact | None, after: CriticalFact | None) -> str:
    """What the rules of a program's climb become, one sentence a step."""
    old, new = ((fact or {}).get("rules", 0) for fact in (before, after))
    news = [text for number, text in sorted(NEW_IN.items()) if old < number <= new]
    return " ".join([f"rules {old} → {new}", *(f"({text})" for text in news)])


def _differences(before: CriticalFact, after: CriticalFact, labels: Mapping[str, str]) -> str:
    old, new = dict(_leaves(before, labels)), dict(_leaves(after, labels))
    texts = [
        f"{name} {old.get(name, NOTHING)} → {new.get(name, NOTHING)}"
        for name in {**old, **new}
        if old.get(name) != new.get(name)
    ]
    return ", ".join(texts)


def _leaves(fact: CriticalFact, labels: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """All that a fact judges by, as names and texts; the limit, the longest, at the end."""
    typed = fact.get(WHOLE, {}).get("typed", {})
    for name, value in sorted(fact.items(), key=lambda item: item[0] == "limit"):
        if name == "specs":
            yield from (
                (_words(spec), _short(typed.get(spec, held))) for spec, held in value.items()
            )
        elif name == "limit":
            yield from _of_limit(limit_from_dict(value) if value else Limit())
        elif name == "due":
            yield (
                "due",
                ", ".join(
                    word if every == 1 else word.replace("N", str(every)) for word, every in value
                ),
            )
        elif name != WHOLE:
            yield from _flat(name, _with_unit(name, value), labels)


def _of_limit(limit: Limit) -> Iterator[tuple[str, str]]:
    """The bounds with their unit, and whatever else decides a verdict."""
    for name in BOUNDS:
        if (bound := getattr(limit, name)) is not None:
            yield BOUND_WORDS[name], shown_quantity(limit, bound, max(limit.decimals, LIKE))
    yield from _flat("answer", limit.answers)
    for number, (formula, sign, bound, _) in enumerate(limit.unjudged_when, 1):
        yield f"cannot be compared when ({number})", _short(f"{formula} {sign} {bound:g}")
    for number, (formula, sign, bound, _) in enumerate(limit.stop_when, 1):
        yield f"stop when ({number})", _short(f"{formula} {sign} {bound:g}")
    yield "what is judged", _short(limit.result)
    yield "why it cannot be judged", _short(limit.unjudged_because or None)
    for name, width in limit.guards.items():
        yield (
            f"margin for the gauge before {BOUND_WORDS[name]}",
            f"{width / limit.scale:.3g} {limit.shown_name}".strip(),
        )


def _flat(
    name: str, value: Any, labels: Mapping[str, str] = MappingProxyType({})
) -> Iterator[tuple[str, str]]:
    """The single values within tables and lists, each with its way there as name."""
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from _flat(f"{name} {key}", _with_unit(key, item), labels)
    elif isinstance(value, list):
        for number, item in enumerate(value, 1):
            yield from _flat(f"{name} {_place(number, item, labels)}", item, labels)
    else:
        yield _words(name), _short(value)


def _place(number: int, item: Any, labels: Mapping[str, str]) -> str:
    """What an item of a list is called: its part, else its name, with how it hands on or holds."""
    called = (item.get("part") or item.get("name")) if isinstance(item, Mapping) else None
    if not called:
        return str(number)
    word = item.get("holds") or item.get("hands_on") or item.get("carries") or ""
    return " ".join(filter(None, (labels.get(called, called), word and f"({word})")))


def _with_unit(name: str, value: Any) -> Any:
    return show(value, UNITS[name]) if name in UNITS and isinstance(value, int | float) else value


def _words(name: str) -> str:
    return name.replace("_", " ")


def _short(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = f"{value:.4g}" if isinstance(value, float) else NOTHING if value is None else str(value)
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
