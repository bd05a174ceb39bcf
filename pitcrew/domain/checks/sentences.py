"""The sentences of a limit, written once in Python; the phone only puts the reading's own number in.

A sentence is the number against its limit, then why, then what to do: it has to fit a phone.
"""

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal

from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.limitshape import Limit

DEFAULT_SAY: Mapping[str, str] = {
    "ok": "", "watch": "Look again after the next match.", "stop": "Do not play with it: report a fault.",
}
CANNOT_TELL = "This can't be judged. Look again when it can be seen."


def decimal_text(value: float, decimals: int) -> str:
    """A number rounded half away from zero, as the phone does it, without trailing zeros."""
    rounded = Decimal(value).quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    text = f"{rounded:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def shown_number(limit: Limit, si: float, decimals: int | None = None) -> str:
    """An SI number in the limit's screen unit, without the unit's name."""
    return decimal_text((si - limit.offset) / limit.scale, limit.decimals if decimals is None else decimals)


def shown_quantity(limit: Limit, si: float, decimals: int | None = None) -> str:
    """An SI number in the limit's screen unit, with the unit's name."""
    number = shown_number(limit, si, decimals)
    return f"{number} {limit.shown_name}" if limit.shown_name else number


def range_text(limit: Limit) -> str:
    """What is right, in words: `8.2 to 12.4 mm`, `12.7 V or more`; empty where there is no bound."""
    low = limit.stop_low if limit.watch_low is None else limit.watch_low
    high = limit.stop_high if limit.watch_high is None else limit.watch_high
    if low is not None and low == high:
        return f"exactly {shown_quantity(limit, low)}"
    if low is not None and high is not None:
        return f"{shown_number(limit, low)} to {shown_quantity(limit, high)}"
    if low is not None:
        return f"{shown_quantity(limit, low)} or more"
    return "" if high is None else f"{shown_quantity(limit, high)} or less"


def write_sentences(limit: Limit, reach: str) -> dict[str, str]:
    """The templates of a limit by outcome. `reach` is the instrument with its uncertainty, `the ruler's ±1 mm`, or empty."""
    say = {**DEFAULT_SAY, **limit.say}
    right = range_text(limit)
    because = "" if right else limit.because
    sentences = {f"answer_{word}": _join("{label}: {answer}.", because if word != "ok" else "", say[word]) for word in DEFAULT_SAY}
    sentences["answer_unjudged"] = _join("{label}: {answer}.", "", say.get("unjudged", CANNOT_TELL))
    if not right:
        return sentences
    sentences["ok"] = _join(f"{{result}} is right ({right})", limit.because, say["ok"])
    for name in (name for name in BOUNDS if getattr(limit, name) is not None):
        verdict, side = name.split("_")
        word = "below" if side == "low" else "above"
        sentences[name] = _join(f"{{result}} is {word} {{limit}}", limit.because, say.get(name, say[verdict]))
        if reach:
            near = f"{{result}} is so near {{limit}} that {reach} reaches past it"
            sentences[f"near_{name}"] = _join(near, "", say.get(f"watch_{side}", say["watch"]))
    return sentences


def _join(head: str, because: str, do: str) -> str:
    """What was found, why, and what to do, each with its full stop; a reason that is no sentence follows a colon."""
    if because and not because[0].isupper() and head[-1] != ".":
        head, because = f"{head}: {because}", ""
    return " ".join(part if part[-1] in ".!?" else part + "." for part in map(str.strip, (head, because, do)) if part)
