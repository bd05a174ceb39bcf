"""What a robot's log says, as the fields of its entry and as commands answer it."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from pitcrew.robotlog.clocks import Expected
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.doubts import doubts_of

COVERS = (
    "the scatter of the rows, and volts and amps told some rows or a part of a row apart; not the "
    "meters' own errors, nor a battery that warms"
)
"""What the interval of a log's resistance covers."""


def measured(
    data: LogData, brown_out: float, expected: Expected | None = None, tied: bool = False
) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a log says: the fields of its entry, and what is shown once: bad rows, gaps, episodes,
    the course.

    `expected`: what a log of this robot is like, for its doubts; `tied`: it is said to be of one
    match.
    """
    import numpy as np

    from pitcrew.robotlog import power

    data, out_of_order = _in_order(data)
    time = power.run_time(data.clock)
    at, middle = int(data.voltage.argmin()), float(np.median(data.voltage))
    episodes = power.brown_outs(time.elapsed, data.voltage, brown_out)
    below = power.seconds_below(time, data.voltage, (*power.LEVELS, brown_out))
    body = {
        "rows": len(data.clock),
        "bad_rows": data.bad_rows,
        **_columns(data),
        "duration": float(time.elapsed[-1]),
        "lowest_voltage": float(data.voltage[at]),
        "lowest_at": float(time.elapsed[at]),
        "seconds_below": {f"{level:g}": seconds for level, seconds in below.items()},
        "brownouts": len(episodes),
        "overruns": data.overruns,
    }
    current = data.current
    if current is not None:
        # a meter may count what flows out as negative
        current = -current if current.mean() < 0 else current
        body |= _currents(time.elapsed, data.voltage, current, data.means)
    body["doubts"] = doubts_of(body, time, middle, expected or Expected(), tied, data)
    phases = [(float(time.elapsed[row]), word) for row, word in data.phases]
    marks = phases or [(float(time.elapsed[row]), "clock reset") for row in time.restarts]
    course = power.course(time.elapsed, data.voltage, current)
    more = {
        "bad": [asdict(row) for row in data.bad],
        "headers_again": data.headers_again,
        "middle_voltage": middle,
        "gaps": {"count": time.gaps, "seconds": time.gap_seconds},
        "clock_restarts": len(time.restarts),
        "out_of_order": out_of_order,
        "brownout_episodes": [asdict(episode) for episode in episodes],
        "course": {**course, "phases": marks[:20], "duration": body["duration"]},
    }
    return {name: value for name, value in body.items() if value is not None}, more


def _in_order(data: LogData) -> tuple[LogData, int]:
    """The log with its rows in order of time, and how many rows were out of it."""
    from pitcrew.robotlog import power

    order = power.rows_in_order(data.clock)
    if order is None:
        return data, 0
    current = None if data.current is None else data.current[order]
    ordered = replace(data, clock=data.clock[order], voltage=data.voltage[order], current=current)
    return ordered, int((order[1:] < order[:-1]).sum())


def _columns(data: LogData) -> dict[str, Any]:
    """`columns`: role -> heading as it was read, the clock's with the unit that a person named; and
    that unit by itself."""
    if not data.clock_unit:
        return {"columns": dict(data.names)}
    clock = f"{data.names['time']}:{data.clock_unit}"
    return {"columns": {**data.names, "time": clock}, "clock_unit": data.clock_unit}


def _currents(
    elapsed: Any, voltage: Any, current: Any, means: Mapping[str, float]
) -> dict[str, Any]:
    """The fields of a log's entry that need a current."""
    from pitcrew.robotlog import loadlines, power

    charge, total = power.charge_drawn(elapsed, current), sum(abs(mean) for mean in means.values())
    found = {
        "charge": charge,
        "peak_current": float(current.max()),
        "mean_current": charge * 3600 / float(elapsed[-1]),
        "sustained_current": power.sustained_current(elapsed, current),
        "channels": {name: abs(mean) / total for name, mean in means.items()} if total > 0 else {},
    }
    line = loadlines.load_line(elapsed, voltage, current)
    if line is not None:
        found |= {
            "resistance": line.resistance,
            "resistance_low": line.low,
            "resistance_high": line.high,
            "open_circuit": line.open_circuit,
            "charge_slope": line.charge_slope,
        }
    return found


def answer_of(body: Mapping[str, Any]) -> dict[str, Any]:
    """An entry's numbers as commands answer them: `resistance` with its interval in one piece, null
    where there is none."""
    numbers = dict.fromkeys(
        (
            "charge",
            "peak_current",
            "mean_current",
            "sustained_current",
            "open_circuit",
            "charge_slope",
            "overruns",
        )
    )
    plain = {name: value for name, value in body.items() if not name.startswith("resistance")}
    if unit := body.get("clock_unit"):
        clock = body["columns"]["time"].removesuffix(f":{unit}")
        plain["columns"] = {**body["columns"], "time": clock}
    value = body.get("resistance")
    line = None
    if value is not None:
        low, high = body["resistance_low"], body["resistance_high"]
        line = {"value": value, "low": low, "high": high, "share": 0.95, "covers": COVERS}
    return {"doubts": [], **numbers, **plain, "resistance": line}
