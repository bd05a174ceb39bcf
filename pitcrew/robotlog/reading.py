"""Reading a robot's log: a stream of blocks of text in, columns of numbers out; what cannot be read
is counted and shown."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from pitcrew.base.errors import BadInput
from pitcrew.base.units import counted
from pitcrew.robotlog.clocks import (
    COUNTS_DOWN,
    Expected,
    are_times,
    clock_factor,
    counts_rows,
    runs_down,
)
from pitcrew.robotlog.columns import Columns, recognise
from pitcrew.robotlog.data import BadRow, LogData, turned
from pitcrew.robotlog.fields import Fields, find_fields, read_column
from pitcrew.robotlog.numbers import number
from pitcrew.robotlog.text import Layout, decode, layout_of, line_blocks

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

SUMMED = "sum of"
"""So begins the name of a whole current that no column holds."""
SHOWN = 20
"""stretches of bad rows that are shown, the others are counted"""
FEWEST = 2
KEPT_BYTES = 1 << 24
"""One array of this size, let go at once, has glibc keep as much for the blocks to come; else each
asks the system for pages again."""
DEAD = 1.0
"""V: under so little no controller writes a log, so the row says that nothing was measured."""
MOST_VOLTS, MOST_AMPS = 1000, 1000
"""No battery of a robot gives so much."""
MOST_PHASES = 50
"""A column that changes more often holds no match phases."""


@dataclass
class _Tally:
    bad_rows: int = 0
    bad: list[BadRow] = field(default_factory=list)
    headers_again: int = 0
    rows: int = 0
    phases: list[tuple[int, str]] = field(default_factory=list)

    def note(self, line: int, why: str, text: str) -> None:
        self.bad_rows += 1
        if self.bad and (self.bad[-1].why, self.bad[-1].last) == (why, line - 1):
            self.bad[-1] = replace(self.bad[-1], last=line)
        elif len(self.bad) < SHOWN:
            self.bad.append(BadRow(line, why, text[:80], line))


def look_at(blocks: Iterable[bytes]) -> tuple[Layout, Iterator[bytes]]:
    """The layout of a log, and its blocks of lines to be read on. Raises BadInput for what is no
    log."""
    stream = line_blocks(blocks)
    head = b""
    for block in stream:
        head += block
        if len(head) > 60_000:
            break
    if not head.strip():
        raise BadInput("The log is empty. Export it again.")
    return layout_of(head), _chained(head, stream)


def read_log(
    layout: Layout,
    blocks: Iterable[bytes],
    given: Mapping[str, str] | None = None,
    expected: Expected | None = None,
) -> LogData:
    """The columns of a log. `given`: role -> heading that a person named; `expected`: what a log of
    this robot is like. Raises BadInput where nothing can be read, or the clock's unit cannot be
    told.
    """
    import numpy as np

    columns, told = _told(layout, recognise(layout.heads, layout.sample, given))
    np.empty(KEPT_BYTES, np.uint8)
    reader = _Reader(layout, columns)
    pieces = [reader.read(block) for block in _after(blocks, layout.skip)]
    clock, voltage, current = np.concatenate(pieces, axis=1) if pieces else np.empty((3, 0))
    if len(clock) < FEWEST:
        raise _too_few(len(clock), reader.tally)
    names = {role: layout.heads[at].text for role, at in columns.roles.items()}
    if "current" not in columns.roles and columns.channels:
        names["current"] = f"{SUMMED} {len(columns.channels)} channels"
    tally = reader.tally
    volts, amps = _sizes(columns, voltage, current)
    drawn = current * amps if "current" in names else None
    head = layout.heads[columns.roles["time"]]
    heading, numbered = head.text, told is None and counts_rows(clock)
    clock = clock * clock_factor(clock, heading, told, drawn, expected or Expected())
    found = LogData(
        clock,
        voltage * volts,
        drawn,
        reader.means(),
        reader.overruns(),
        _phases(tally.phases),
        tally.bad_rows,
        tuple(tally.bad),
        tally.headers_again,
        names,
        reader.held,
        columns.clock_unit,
        numbered=numbered,
    )
    if not runs_down(clock):
        return found
    dated = told is not None and columns.roles["time"] not in columns.factors
    return turned(found) if dated else replace(found, backward=not head.words & COUNTS_DOWN)


def _too_few(rows: int, tally: _Tally) -> BadInput:
    shown = f" The first: line {tally.bad[0].line}, {tally.bad[0].why}." if tally.bad else ""
    return BadInput(
        f"Of the log {rows} rows can be read and {tally.bad_rows} cannot; at least"
        f" {FEWEST} are wanted.{shown}"
    )


def _told(layout: Layout, columns: Columns) -> tuple[Columns, float | None]:
    """The columns with the clock's factor as each row needs it, and 1 where the clock then counts
    seconds."""
    at = columns.roles["time"]
    if are_times([row[at] for row in layout.shown if at < len(row)]):
        factors = {column: size for column, size in columns.factors.items() if column != at}
        return replace(columns, factors=factors), 1.0
    return columns, 1.0 if at in columns.factors else None


class _Reader:
    """Reads block after block; keeps time, voltage and current, and of all else only sums, so that
    memory stays flat."""

    def __init__(self, layout: Layout, columns: Columns) -> None:
        import numpy as np

        self.layout, self.columns, self.tally = layout, columns, _Tally()
        self.line, self.mark = layout.skip, "," if layout.decimal_comma else "."
        self.sums = dict.fromkeys(columns.channels, 0.0)
        roles = columns.roles
        self.held = _only_changes(
            layout, [roles[role] for role in ("voltage", "current") if role in roles]
        )
        self.last = np.full(2, np.nan)
        self.always = [
            roles[role] for role in ("time", "voltage", "current", "overruns") if role in roles
        ]
        self.wanted = self.always
        self.blocks = self.looked = 0
        self.late = [0.0, 0.0, -math.inf]  # sum, first and last value of the overruns
        self.counts_up = True

    def read(self, block: bytes) -> Array:
        """The usable rows of a block: clock as it stands, V, A."""
        import numpy as np

        fields = find_fields(
            block if block.endswith(b"\n") else block + b"\n", self.layout.delimiter
        )
        usual = fields.counts == self.layout.fields
        self.blocks += 1
        self.wanted = self.always + (list(self.sums) if self._looks_at_channels else [])
        table = np.full((len(self.wanted), len(fields.counts)), np.nan)
        lines = slice(None) if usual.all() else np.flatnonzero(usual)
        for place, column in enumerate(self.wanted):
            if column < self.layout.fields:
                table[place, lines] = read_column(fields, lines, column, self._slow, self.mark)
        self._unusual(fields, np.flatnonzero(~usual), table)
        for place, column in enumerate(self.wanted):
            if (factor := self.columns.factors.get(column, 1.0)) != 1.0:
                table[place] *= factor
        if self.held:
            self._hold(table)
        good = np.isfinite(table[: 3 if "current" in self.columns.roles else 2]).all(axis=0) & (
            table[1] >= DEAD
        )
        self._note_bad(fields, np.flatnonzero(~good))
        self._note_phases(fields, good & usual, good)
        self.line += len(fields.counts)
        return self._rows(table if good.all() else table[:, good])

    @property
    def _looks_at_channels(self) -> bool:
        """The shares of the channels come from the first megabytes and then from one block of 32,
        unless they are the whole current."""
        return "current" not in self.columns.roles or self.blocks <= 4 or self.blocks % 32 == 0

    def means(self) -> dict[str, float]:
        """The mean current of each channel over the rows, by its heading."""
        return {
            self.layout.heads[at].text: total / max(self.looked, 1)
            for at, total in self.sums.items()
        }

    def overruns(self) -> int | None:
        """Late loops: the rise of a counter, else the rows that were marked."""
        if "overruns" not in self.columns.roles:
            return None
        total, first, last = self.late
        return round(last - first if self.counts_up and last > 1 else total)

    def _slow(self, text: bytes) -> float:
        return number(decode(text), self.layout.decimal_comma)

    def _unusual(self, fields: Fields, lines: Array, table: Array) -> None:
        """Lines with more or fewer fields: right where only empty fields are too many or a quoted
        field holds the delimiter."""
        for at in lines:
            cells = self.layout.cells(decode(fields.line(at)))
            extra = cells[self.layout.fields :]
            if len(cells) >= self.layout.fields and not any(extra):
                table[:, at] = [
                    number(cells[column], self.layout.decimal_comma) for column in self.wanted
                ]

    def _hold(self, table: Array) -> None:
        """Fill volts and amps with the value before, also that of the block before."""
        import numpy as np

        for place in range(2 if "current" in self.columns.roles else 1):
            row = np.concatenate([self.last[place : place + 1], table[place + 1]])
            row = row[np.maximum.accumulate(np.where(np.isfinite(row), np.arange(len(row)), 0))]
            table[place + 1], self.last[place] = row[1:], row[-1]

    def _note_bad(self, fields: Fields, lines: Array) -> None:
        headings = [head.text.strip() for head in self.layout.heads]
        for at in lines:
            text = decode(fields.line(at))
            cells = self.layout.cells(text)
            if not any(cells):
                continue
            if [cell for cell in cells if cell] == [name for name in headings if name]:
                self.tally.headers_again += 1
            elif fields.counts[at] < self.layout.fields:
                self.tally.note(
                    self.line + int(at) + 1,
                    f"{counted(len(cells), 'field')} instead of {self.layout.fields}",
                    text,
                )
            else:
                self.tally.note(self.line + int(at) + 1, self._why(cells), text)

    def _why(self, cells: list[str]) -> str:
        for role in ("time", "voltage", "current"):
            column = self.columns.roles.get(role, -1)
            if 0 <= column < len(cells) and not math.isfinite(
                number(cells[column], self.layout.decimal_comma)
            ):
                return f"no number for {role}: {cells[column][:20] or 'empty'}"
        volts = self.columns.roles["voltage"]
        if volts < len(cells) and len(cells) >= self.layout.fields:
            return f"{cells[volts][:20]} for voltage, under which no controller runs"
        return f"{counted(len(cells), 'field')} instead of {self.layout.fields}"

    def _note_phases(self, fields: Fields, lines: Array, good: Array) -> None:
        import numpy as np

        column = self.columns.roles.get("phase")
        at = np.flatnonzero(lines)
        if column is None or not len(at) or len(self.tally.phases) > MOST_PHASES:
            return
        begin, end = fields.bounds(at, column)
        words = np.stack([word & inside for word, inside in fields.words(begin, end)])
        place = np.cumsum(good) - 1
        for change in np.concatenate(
            [[0], np.flatnonzero((words[:, 1:] != words[:, :-1]).any(axis=0)) + 1]
        ):
            word = self._phase(
                decode(fields.content[begin[change] : end[change]].tobytes()).strip('"')
            )
            if not self.tally.phases or self.tally.phases[-1][1] != word:
                self.tally.phases.append((self.tally.rows + int(place[at[change]]), word))

    def _phase(self, word: str) -> str:
        """The word of a phase; with its heading where it is a number or true or false."""
        if math.isnan(number(word)):
            return word[:24]
        name = self.layout.heads[self.columns.roles["phase"]].text.strip().rpartition("/")[2]
        return f"{name[:18]} {word[:5]}"

    def _rows(self, table: Array) -> Array:
        """Add the sums of a block's usable rows, and keep clock, volts and amps of them."""
        import numpy as np

        channels = np.nan_to_num(table[len(self.always) :])
        for column, values in zip(self.sums, channels, strict=False):
            self.sums[column] += float(values.sum())
        count = table.shape[1]
        self.looked += count if len(channels) else 0
        self.tally.rows += count
        roles = self.columns.roles
        if "overruns" in roles and count:
            self._add_late(np.nan_to_num(table[len(self.always) - 1]))
        current = table[2] if "current" in roles else channels.sum(axis=0)
        return np.stack([table[0], table[1], current])

    def _add_late(self, values: Array) -> None:
        total, first, last = self.late
        if last == -math.inf:
            first = last = float(values[0])
        self.counts_up = (
            self.counts_up and values[0] >= last and bool((values[1:] >= values[:-1]).all())
        )
        self.late = [total + float((values != 0).sum()), first, float(values[-1])]


def _only_changes(layout: Layout, columns: list[int]) -> bool:
    """Whether most of the first rows leave volts or amps empty, while each of them stands
    somewhere."""
    rows = [[row[at] if at < len(row) else math.nan for at in columns] for row in layout.sample]
    full = sum(all(math.isfinite(value) for value in row) for row in rows)
    known = all(any(math.isfinite(row[place]) for row in rows) for place in range(len(columns)))
    return known and full < len(rows) / 2


def _phases(found: list[tuple[int, str]]) -> tuple[tuple[int, str], ...]:
    return tuple(found) if len(found) <= MOST_PHASES else ()


def _sizes(columns: Columns, voltage: Array, current: Array) -> tuple[float, float]:
    """1 for volts and amps, or a thousandth where no unit stands and the volts can only be mV, and
    the amps beside them mA."""
    import numpy as np

    told = [columns.factors.get(columns.roles.get(role, -1)) for role in ("voltage", "current")]
    volts = 1e-3 if told[0] is None and float(np.median(voltage)) > MOST_VOLTS else 1.0
    small = volts == 1e-3 or told[0] == 1e-3
    return volts, (
        1e-3
        if small and told[1] is None and float(np.quantile(np.abs(current), 0.9)) > MOST_AMPS
        else 1.0
    )


def _after(blocks: Iterable[bytes], skip: int) -> Iterator[bytes]:
    """The blocks without their first lines."""
    for block in blocks:
        while skip and block:
            cut = block.find(b"\n") + 1
            block, skip = (block[cut:], skip - 1) if cut else (b"", skip)
        if block:
            yield block


def _chained(head: bytes, stream: Iterator[bytes]) -> Iterator[bytes]:
    yield head
    yield from stream
