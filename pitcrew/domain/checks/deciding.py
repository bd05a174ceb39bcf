"""What decides a check: which number alone is a stop, and whether an instrument can tell at all."""

import msgspec

from pitcrew.base.units import dimension_of, show
from pitcrew.domain.checks.limitshape import Limit, accept_window
from pitcrew.domain.checks.sentences import shown_quantity
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.engineering.measurement import guard_width


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
