"""In which order batteries are taken: one criterion after the other, each with the sentence that
says what the later battery lost by."""

from collections.abc import Callable, Sequence
from typing import Any

from pitcrew.base.units import show
from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.logbook.runs import natural

MARGIN, OHMS = 0.3, 0.002
"""V of forecast margin and ohm of resistance within which two batteries count as alike."""

Key = Callable[[Battery], Any]
Contrast = Callable[[Battery, Battery], str]


def preference(battery: Battery) -> tuple[Any, ...]:
    """A sort key, the battery to take first."""
    return tuple(key(battery) for key, _ in _CRITERIA)


def chosen_of(batteries: Sequence[Battery]) -> Battery | None:
    """The battery whose checks matter now: the first of those not retired."""
    usable = [battery for battery in batteries if battery.place != "retired"]
    return min(usable, key=preference, default=None)


def offered_of(batteries: Sequence[Battery]) -> Battery | None:
    """The battery for the next run; None where none can be offered."""
    chosen = chosen_of(batteries)
    return chosen if chosen and chosen.offered else None


def why_later(battery: Battery, first: Battery) -> str:
    """What a battery lost by against the first one: the first criterion in which they differ."""
    for key, words in _CRITERIA:
        if key(battery) != key(first):
            return words(battery, first)
    return ""


def tie_words(battery: Battery, first: Battery) -> str:
    """That two batteries are alike in all that counts, and what decided."""
    return (
        f"As good as {first.part.label} (charge, margin within {MARGIN:g} V, resistance within "
        f"{show(OHMS, 'mohm')}, age, matches)"
    )


def _charged_words(battery: Battery, first: Battery) -> str:
    known = first.part.label
    if battery.record.lacks > 0 and battery.charge is not None:
        said = f"It has {battery.charge.low:.0f} to {battery.charge.high:.0f} %"
    else:
        said = f"Its charge is not known. {battery.record.estimate.unknown}".rstrip(".")
    return f"{said}; {known} is known to be charged."


def _margin(battery: Battery) -> int:
    return round(-battery.forecast.margin / MARGIN) if battery.forecast else 99


def _margin_words(battery: Battery, first: Battery) -> str:
    if battery.forecast is None or first.forecast is None:
        return "Nothing forecasts its sag: no load test that counts."
    more = first.forecast.margin - battery.forecast.margin
    return f"{first.part.label} has {more:.1f} V more margin."


def _ohms(battery: Battery) -> int:
    return round(battery.usual_ohms / OHMS) if battery.usual_ohms is not None else 999


def _shown_ohms(battery: Battery, first: Battery) -> str:
    """The first one's resistance; that it was brought to the usual pair of loads where one of the
    two was measured with another."""
    text = show(first.usual_ohms or 0.0, "mohm")
    if battery.to_usual == first.to_usual == 1.0:
        return text
    own = show(battery.usual_ohms or 0.0, "mohm")
    return f"{text} to its {own}, both brought to the usual pair of loads by the pairs' limits"


def _ohms_words(battery: Battery, first: Battery) -> str:
    if battery.ohms is None or first.ohms is None:
        return "It has no load test that counts."
    return f"{first.part.label} has less resistance, {_shown_ohms(battery, first)}."


def _finer_words(battery: Battery, first: Battery) -> str:
    if battery.ohms is None or first.ohms is None:
        return "It has no load test that counts."
    return (
        f"{tie_words(battery, first)}; {first.part.label} has less, {_shown_ohms(battery, first)}."
    )


_CRITERIA: tuple[tuple[Key, Contrast], ...] = (
    (lambda item: not item.offered, lambda item, first: item.why),
    (lambda item: not item.charged, _charged_words),
    (
        lambda item: not item.ready_in_robot,
        lambda item, first: f"{first.part.label} is in the robot already.",
    ),
    (lambda item: item.place == "channel", lambda item, first: f"It is on channel {item.where}."),
    (
        lambda item: item.charge_rank,
        lambda item, first: f"{first.part.label} is fuller by what is known.",
    ),
    (
        lambda item: item.kept_back,
        lambda item, first: "It is the best one, kept back for the eliminations.",
    ),
    (
        lambda item: item.condition in ("cooling", "resting"),
        lambda item, first: f"It is {item.condition}: {item.condition_more or 'not ready'}.",
    ),
    (_margin, _margin_words),
    (_ohms, _ohms_words),
    (
        lambda item: -(item.bought or 0),
        lambda item, first: f"{first.part.label} is younger, bought in {first.bought}.",
    ),
    (
        lambda item: len(item.record.matches),
        lambda item, first: f"{first.part.label} played less.",
    ),
    (
        lambda item: item.usual_ohms if item.usual_ohms is not None else float("inf"),
        _finer_words,
    ),
    (
        lambda item: natural(item.name),
        lambda item, first: f"{tie_words(item, first)}; taken in order of name.",
    ),
)
