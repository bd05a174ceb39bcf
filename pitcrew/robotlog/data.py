"""A robot's log as read: its columns as arrays, and what could not be read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray


@dataclass(frozen=True)
class BadRow:
    """A row that could not be used, or several below one another: `line` to `last` in the file,
    why, and how the first begins."""

    line: int
    why: str
    text: str
    last: int


@dataclass(frozen=True)
class LogData:
    """A log as read. `clock` in s as it stood; `voltage` in V; `current` in A, None without one;
    `means` of the single channels;
    `phases` as (row, word) where the phase column changed; `held`: volts or amps stand only where
    they changed, and held till then;
    `clock_unit`: as a person named it; `turned`: the newest row stood first, and all were turned
    around; `backward`: its clock runs down, which no heading explains; `numbered`: it counts by
    ones as row numbers do."""

    clock: Array
    voltage: Array
    current: Array | None
    means: Mapping[str, float]
    overruns: int | None
    phases: tuple[tuple[int, str], ...]
    bad_rows: int
    bad: tuple[BadRow, ...]
    headers_again: int
    names: Mapping[str, str]
    held: bool = False
    clock_unit: str = ""
    turned: bool = False
    backward: bool = False
    numbered: bool = False


def turned(data: LogData) -> LogData:
    """A log whose newest row stood first, with its rows in the order of time."""
    rows = len(data.clock)
    ends = [*(row for row, _ in data.phases[1:]), rows][: len(data.phases)]
    phases = [(rows - end, word) for end, (_, word) in zip(ends, data.phases, strict=True)]
    return replace(
        data,
        clock=data.clock[::-1],
        voltage=data.voltage[::-1],
        current=None if data.current is None else data.current[::-1],
        phases=tuple(reversed(phases)),
        turned=True,
    )
