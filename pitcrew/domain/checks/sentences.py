"""The sentences of a limit, written once in Python; the phone only puts the reading's own number
in.

A sentence is the number against its limit, then why, then what to do: it has to fit a phone.
"""

from collections.abc import Callable, Mapping
from decimal import ROUND_HALF_UP, Decimal

from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.limitshape import Limit, accept_window, has_bounds, undecided

DEFAULT_SAY: Mapping[str, str] = {
    "ok": "",
    "watch": "Look again after the next match.",
    "stop": "Do not play with it: report a fault.",
}
EDGE = 1e-9  # of a number, as judging rounds
MOST_MORE = 4
CANNOT_TELL = "This can't be judged. Look again when it can be seen."


def decimal_text(value: float, decimals: int) -> str:
    """A number rounded half away from zero, as the phone does it, without trailing zeros."""
    rounded = Decimal(value).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    text = f"{rounded:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def shown_number(limit: Limit, si: float, decimals: int | None = None) -> str:
    """An SI number in the limit's screen unit, without the unit's name."""
    return decimal_text(
        (si - limit.offset) / limit.scale, limit.decimals if decimals is None else decimals
    )


def shown_quantity(limit: Limit, si: float, decimals: int | None = None) -> str:
    """An SI number in the limit's screen unit, with the unit's name."""
    number = shown_number(limit, si, decimals)
    return f"{number} {limit.shown_name}" if limit.shown_name else number


def range_text(limit: Limit) -> str:
    """The accept window in words: `8.3 to 12.3 mm`, `12.8 V or more`; empty where there is no
    bound."""
    if undecided(limit):
        return "no reading: the instrument cannot tell"
    least, most = window_texts(limit)
    name = f" {limit.shown_name}" if limit.shown_name else ""
    if least and most:
        return f"exactly {least}{name}" if least == most else f"{least} to {most}{name}"
    return f"{least}{name} or more" if least else f"{most}{name} or less" if most else ""


def window_texts(limit: Limit) -> tuple[str, str]:
    """The two ends of the accept window as numbers of the screen unit, empty for no end.

    Each is rounded into the window, so that a number read off here is really ok, with as many
    decimals as it takes to lose no more than the instrument can tell.
    """
    ends = accept_window(limit)
    most = limit.decimals + MOST_MORE
    decimals = next(
        (found for found in range(limit.decimals, most) if _close_enough(limit, ends, found)), most
    )
    low, high = ends
    least = "" if low is None else inward(limit, low, 1, decimals)
    greatest = "" if high is None else inward(limit, high, -1, decimals)
    return least, greatest


def _close_enough(limit: Limit, ends: tuple[float | None, float | None], decimals: int) -> bool:
    """Whether rounding takes no more than 3 of 10 parts of the guard band, or a hundredth of the
    number."""
    shown = []
    for end, side, guard in zip(ends, (1, -1), _guards(limit), strict=True):
        if end is None:
            continue
        exact = (end - limit.offset) / limit.scale
        shown.append(float(inward(limit, end, side, decimals)))
        allowed = 0.3 * guard / limit.scale if guard else 0.01 * abs(exact)
        if abs(shown[-1] - exact) > allowed:
            return False
    return shown == sorted(shown)


def _guards(limit: Limit) -> tuple[float, float]:
    """The guard band of the stop at either side, SI."""
    return limit.guards.get("stop_low", 0.0), limit.guards.get("stop_high", 0.0)


def inward(limit: Limit, si: float, side: int, decimals: int) -> str:
    """An end of the window in the screen unit, rounded into it: up for `side` 1 (its low end), down
    for -1.

    What lies within the rounding of one calculation of a round number is that number.
    """
    shown = (si - limit.offset) / limit.scale * (side if limit.scale > 0 else -side)
    places = Decimal(1).scaleb(-decimals)
    plain = Decimal(shown).quantize(places, ROUND_HALF_UP)
    slack = Decimal(EDGE) * max(abs(Decimal(shown)), places)
    number = plain if plain >= Decimal(shown) - slack else plain + places
    return decimal_text(float(number * (side if limit.scale > 0 else -side)), decimals)


def write_sentences(
    limit: Limit, reach: Callable[[float], str] = lambda bound: ""
) -> dict[str, str]:
    """The templates of a limit by outcome.

    `reach` says how far the instrument may be off at a bound, `the ruler can be off by ±1 mm`, or
    nothing.
    """
    say = {**DEFAULT_SAY, **limit.say}
    numbered = has_bounds(limit)
    because = "" if numbered else limit.because
    sentences = {
        f"answer_{word}": _join("{label}: {answer}.", because if word != "ok" else "", say[word])
        for word in DEFAULT_SAY
    }
    sentences["answer_unjudged"] = _join("{label}: {answer}.", "", say.get("unjudged", CANNOT_TELL))
    if not numbered:
        return sentences
    sentences["ok"] = _join(f"{{result}} is good ({range_text(limit)})", limit.because, say["ok"])
    for name in (name for name in BOUNDS if getattr(limit, name) is not None):
        verdict, side = name.split("_")
        word = "below" if side == "low" else "above"
        sentences[name] = _join(
            f"{{result}} is {word} {{limit}}", limit.because, say.get(name, say[verdict])
        )
        if limit.guards.get(name) and (off := reach(getattr(limit, name))):
            near = f"{{result}} is too close to {{limit}} to be sure: {off}"
            sentences[f"near_{name}"] = _join(near, "", say.get(f"watch_{side}", say["watch"]))
    return sentences


def _join(head: str, because: str, do: str) -> str:
    """What was found, why, and what to do, each with its full stop; a reason that is no sentence
    follows a colon."""
    if because and not because[0].isupper() and head[-1] != ".":
        head, because = f"{head}: {because}", ""
    return " ".join(
        part if part[-1] in ".!?" else part + "."
        for part in map(str.strip, (head, because, do))
        if part
    )
