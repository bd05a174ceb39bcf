"""What of a log cannot well be: its duration against a match, its volts and amps against a battery.

A doubt is a question to a person. The log is kept; what it says is not built upon until the doubt
is settled by a correction.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from pitcrew.base.units import show
from pitcrew.robotlog.clocks import Expected
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.power import GAP, RunTime

OF_A_MATCH = 3.0
"""The log of one match lasts from a third of a match to three: it waits before and after."""
OF_ANY = 20.0
"""The log of no match in particular, practice say, may last so many times longer or shorter."""
USUAL_VOLTS = (7.0, 16.0)
"""V: a 12 V battery in use; chargers end below 15 V, robots cut out near 7 V (common practice)."""
LEAST_VOLTS = 4.0
"""V under which no controller runs (common practice)."""
LONG_GAP = 30.0
"""s without a row long enough to change the battery (common practice: half a minute)."""
RUN_ON = 1.25
"""A log whose clock starts over and that lasts so many matches may hold two runs."""
MOST_AMPS = 500.0
"""A: above it a battery of this size arcs (its maker's documentation)."""


def doubts_of(
    body: Mapping[str, Any],
    time: RunTime,
    middle_volts: float,
    expected: Expected,
    tied: bool,
    data: LogData,
) -> list[str]:
    """The doubts about a log's entry, each with what to do. `time`: its gaps and where its clock
    starts over; `tied`: it is known to be of one match; `middle_volts`: the median of its volts."""
    return [
        *_of_the_clock(body, data),
        *_of_the_duration(body, expected, tied, data.clock_unit),
        *_of_two_runs(time, expected),
        *_of_the_volts(body, middle_volts),
        *_of_the_amps(body, expected),
    ]


def _of_the_clock(body: Mapping[str, Any], data: LogData) -> Iterator[str]:
    """The order of the rows, where the clock runs down, and a clock that may only number them."""
    name = _heading(body, "time")
    if data.backward:
        yield (
            f"Its clock {name} runs down. Is it a countdown, or does the newest row stand first? "
            "If so, turn the rows around and import it again."
        )
    if data.numbered and not data.clock_unit:
        yield (
            f"Its clock {name} counts by ones from the first row on, as row numbers do. Does it "
            f"count time? Then name its unit: --columns time={name}:s; else name another column."
        )


def _of_the_duration(
    body: Mapping[str, Any], expected: Expected, tied: bool, clock_unit: str
) -> Iterator[str]:
    lasts, match = body["duration"], expected.match_length
    times = OF_A_MATCH if tied else OF_ANY
    if not match / times <= lasts <= match * times:
        asked = f"It lasts {show(lasts, 's')}, a match {show(match, 's')}."
        if clock_unit:
            name = repr(body["columns"]["time"].removesuffix(f":{clock_unit}"))
            yield f"{asked} Its clock {name} counts {clock_unit}, as you said. Is it one match?"
        else:
            name = _heading(body, "time")
            yield (
                f"{asked} Is it one match, and which unit does {name} count? Name it: "
                f"--columns time={name}:s, :ms, :us or :min."
            )


def _of_two_runs(time: RunTime, expected: Expected) -> Iterator[str]:
    """A long gap, or a clock that starts over: the charge of two batteries may stand in one sum."""
    steps = time.elapsed[1:] - time.elapsed[:-1]
    at, lasts = int(steps.argmax()), float(time.elapsed[-1])
    cut = "If so, cut the file there and import each part with its own battery."
    if steps[at] > max(LONG_GAP, GAP * time.step):
        yield (
            f"It has no rows for {show(float(steps[at]), 's')}, from "
            f"{show(float(time.elapsed[at]), 's')} on. Was the battery changed? {cut}"
        )
    if len(time.restarts) and lasts > RUN_ON * expected.match_length:
        yield (
            f"Its clock starts over after {show(float(time.elapsed[time.restarts[0]]), 's')}, and "
            f"it lasts {show(lasts, 's')} in all, a match {show(expected.match_length, 's')}. "
            f"Is it more than one run? {cut}"
        )


def _of_the_volts(body: Mapping[str, Any], middle: float) -> Iterator[str]:
    name = _heading(body, "voltage")
    if not USUAL_VOLTS[0] <= middle <= USUAL_VOLTS[1]:
        yield (
            f"The middle of {name} is {show(middle, 'V')}; a 12 V battery in use has "
            f"{USUAL_VOLTS[0]:g} to {USUAL_VOLTS[1]:g} V. Is that the battery's voltage, in volts?"
        )
    elif body["lowest_voltage"] < LEAST_VOLTS:
        yield (
            f"The lowest of {name} is {show(body['lowest_voltage'], 'V')}, where no controller "
            "runs. Was the plug pulled, or is it another voltage?"
        )


def _of_the_amps(body: Mapping[str, Any], expected: Expected) -> Iterator[str]:
    if body.get("charge") is None:
        return
    name = _heading(body, "current")
    if body["peak_current"] > MOST_AMPS:
        yield (
            f"{name} goes up to {show(body['peak_current'], 'A')}; a battery of this size arcs "
            f"above {MOST_AMPS:g} A. Is it the whole current, in amps?"
        )
    if body["charge"] > expected.capacity:
        yield (
            f"{show(body['charge'], 'A*h')} drawn are more than the battery holds, "
            f"{show(expected.capacity, 'A*h')}. Are {name} and the clock's unit what they seem?"
        )
    if body["charge"] <= 0:
        yield f"{name} drew nothing in all. Is it the whole current?"


def _heading(body: Mapping[str, Any], role: str) -> str:
    return repr(body.get("columns", {}).get(role, role))
