"""A limit: its shape, as it is stored with a reading and sent to phones; its window; the sentences
that it gives; and whether its instrument can tell at all.

The sentences are written once, here; the phone only puts the reading's own number in. Each is the
number against its limit, then why, then what to do: it has to fit a phone.
"""

from collections.abc import Callable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated, Any

import msgspec

from pitcrew.base.errors import BadInput
from pitcrew.base.units import dimension_of, scale_of, show
from pitcrew.base.unittable import UNITS
from pitcrew.domain.checks.checklists import Input
from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.engineering.measurement import guard_width

DEFAULT_SAY: Mapping[str, str] = {
    "ok": "",
    "watch": "Look again after the next match.",
    "stop": "Do not play with it: report a fault.",
}
EDGE = 1e-9  # of a number, as judging rounds
MOST_MORE = 4
CANNOT_TELL = "This can't be judged. Look again when it can be seen."


class InputLimit(msgspec.Struct, frozen=True, omit_defaults=True):
    """How an input's number becomes SI (SI = value * scale + offset), in each unit in which it may
    be given."""

    label: str
    kind: str
    unit: str = ""
    scale: float = 1.0
    offset: float = 0.0
    required: bool = True
    least: float | None = None
    most: float | None = None
    units: dict[str, tuple[float, float]] = {}


class Limit(msgspec.Struct, frozen=True):
    """What the phone needs to judge a check on one part without asking. Numbers are SI; `shown` is
    the unit on screen.

    `good` are the ends of the accept window as they are written, empty for no end; a limit from
    before has none. Beyond `stop_*` is stop; inside it by less than its guard is watch. `sentences`
    are templates for {result}, {limit}, {label} and {answer}. `unjudged_when` and `stop_when` hold
    [formula, operator, number, sentence].
    """

    unit: str = "1"
    shown: str = "1"
    shown_name: str = ""
    scale: Annotated[float, msgspec.Meta(gt=0)] = 1.0
    offset: float = 0.0
    decimals: Annotated[int, msgspec.Meta(ge=0, le=9)] = 2
    stop_low: float | None = None
    watch_low: float | None = None
    watch_high: float | None = None
    stop_high: float | None = None
    guards: dict[str, float] = {}
    because: str = ""
    source: str = ""
    say: dict[str, str] = {}
    sentences: dict[str, str] = {}
    unjudged_when: list[tuple[Any, str, float, str]] = []
    stop_when: list[tuple[Any, str, float, str]] = []
    result: Any = None
    answers: dict[str, dict[str, str]] = {}
    inputs: dict[str, InputLimit] = {}
    unjudged_because: str = ""
    good: list[str] = []


def input_limit(item: Input) -> InputLimit:
    """How the number or word of an input is read."""
    if item.kind != "number":
        return InputLimit(item.label, item.kind, required=item.required)
    scale, offset = scale_of(item.unit)
    wanted = dimension_of(item.unit)
    units = {name: scale_of(name) for name, (found, _) in UNITS.items() if found == wanted}
    least, most = (
        None if bound is None else bound * scale + offset for bound in (item.least, item.most)
    )
    return InputLimit(
        item.label, item.kind, item.unit, scale, offset, item.required, least, most, units
    )


def has_bounds(limit: Limit) -> bool:
    """Whether the limit judges a number."""
    return any(
        bound is not None
        for bound in (limit.stop_low, limit.watch_low, limit.watch_high, limit.stop_high)
    )


def accept_window(limit: Limit) -> tuple[float | None, float | None]:
    """From and to which number a reading is really ok, guard bands taken off, SI; None for no end.

    Where the ends have changed places, nothing is ok: the instrument cannot decide.
    """
    lows = [
        bound + limit.guards.get(name, 0.0)
        for name, bound in (("stop_low", limit.stop_low), ("watch_low", limit.watch_low))
        if bound is not None
    ]
    highs = [
        bound - limit.guards.get(name, 0.0)
        for name, bound in (("stop_high", limit.stop_high), ("watch_high", limit.watch_high))
        if bound is not None
    ]
    return max(lows, default=None), min(highs, default=None)


def undecided(limit: Limit) -> bool:
    """Whether no reading at all could be ok: the uncertainty is wider than what is allowed."""
    low, high = accept_window(limit)
    return low is not None and high is not None and low > high


def limit_as_dict(limit: Limit) -> dict[str, Any]:
    """A limit as plain data, as it is shipped and stored with a reading. One without `stop_when`
    looks as it always did, so that a newer program finds no difference in it."""
    plain: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(limit))
    if not plain["stop_when"]:
        del plain["stop_when"]
    return plain


def limit_from_dict(data: dict[str, Any]) -> Limit:
    """A stored limit. Raises BadInput where it has not the shape of one."""
    try:
        return msgspec.convert(data, Limit)
    except msgspec.ValidationError as error:
        raise BadInput(f"This limit cannot be read ({error}). Load the checks again.") from None


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

    What is within the rounding of one calculation of a round number is that number.
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


def stops_alone(limit: Limit) -> Limit:
    """The limit with its stop bounds as comparisons, too: those hold whatever else is answered or
    still missing."""
    named = limit.inputs[limit.result].label if isinstance(limit.result, str) else ""
    stops = list(limit.stop_when)
    for name, sign in (("stop_low", "<"), ("stop_high", ">")):
        if (bound := getattr(limit, name)) is not None:
            sentence = limit.sentences[name].replace("{limit}", shown_quantity(limit, bound))
            sentence = sentence.replace("{result}", named or "What comes out")
            stops.append((limit.result, sign, bound, sentence))
    return msgspec.structs.replace(limit, stop_when=stops)


def too_coarse(limit: Limit, owner: str, off: float) -> tuple[str, str] | None:
    """What `owner` (off by up to `off` SI, k = 2) cannot tell, and what could; None where it can.

    A window narrower than the instrument may be off by passes good parts by luck alone. A limit of
    one number only (a count) has no window.
    """
    low, high = accept_window(limit)
    if low is None or high is None:
        return _out_of_reach(limit, owner, off)
    if high - low >= off or limit.stop_low == limit.stop_high:
        return None
    wide, guarded = _bare_window(limit)
    enough = wide / (1 + guarded * guard_width(1.0))
    if enough <= 0:
        return None
    unit = limit.shown
    window = show(max(0.0, high - low), unit, 2)
    found = f"{owner}, ±{show(off, unit, 2)}, on a window of {window}"
    wanted = f"one good to {show(enough, unit, 1)} or better{_such_as(unit, high, enough)}"
    return found, f"{wanted}; until then hardly any reading is ok"


def _out_of_reach(limit: Limit, owner: str, off: float) -> tuple[str, str] | None:
    """The same for a limit with one end, which no number that can be typed is on the right side
    of."""
    low, high = accept_window(limit)
    typed = limit.inputs.get(limit.result) if isinstance(limit.result, str) else None
    least, most = (typed.least, typed.most) if typed else (None, None)
    if high is not None and least is not None and high < least:
        only = f"{shown_quantity(limit, high)} or less"
    elif low is not None and most is not None and low > most:
        only = f"{shown_quantity(limit, low)} or more"
    else:
        return None
    found = f"{owner}, ±{show(off, limit.shown, 2)}: only {only} is ok"
    return found, "a finer instrument, or other numbers on the sheet: no reading can be ok"


def _such_as(unit: str, reading: float, enough: float) -> str:
    """An instrument of the list that would do, the finest of them."""
    fitting = [
        (instrument.accuracy.at(reading), instrument.label.removeprefix("the "))
        for instrument in INSTRUMENTS.values()
        if instrument.dimension == dimension_of(unit) and instrument.accuracy.at(reading) <= enough
    ]
    return f", such as a {min(fitting)[1]}" if fitting else ""


def _bare_window(limit: Limit) -> tuple[float, int]:
    """The window before guard bands are taken off (SI), and at how many of its ends one is."""
    bounds = {
        name: getattr(limit, name) for name in ("stop_low", "watch_low", "watch_high", "stop_high")
    }
    known = {name: bound for name, bound in bounds.items() if bound is not None}
    low = max((bound, name) for name, bound in known.items() if name.endswith("low"))
    high = min((bound, name) for name, bound in known.items() if name.endswith("high"))
    return high[0] - low[0], sum(bool(limit.guards.get(name)) for _, name in (low, high))
