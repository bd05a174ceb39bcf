"""The text of a robot's log as it comes: encodings and line ends made one, and its layout found
from its first lines."""

import codecs
import csv
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pitcrew.base.errors import BadInput
from pitcrew.robotlog.numbers import PLAIN, has_decimal_comma, number
from pitcrew.robotlog.words import UNITS, Heading, heading, score

LONGEST_LINE = 1_000_000
_SAMPLE_LINES = 200
_MOST_BROKEN = 20
"""Only so near the top may a heading hold a line break; a stray quote further down breaks
nothing."""
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


@dataclass(frozen=True)
class Layout:
    """How the rows stand: `delimiter`; whether a comma is the decimal mark; the headings; the usual
    number of fields; how many lines stand before the first row of numbers; the first rows as
    numbers (nan for what is none) and as text.
    """

    delimiter: str
    decimal_comma: bool
    heads: tuple[Heading, ...]
    fields: int
    skip: int
    sample: tuple[tuple[float, ...], ...]
    shown: tuple[tuple[str, ...], ...]

    @property
    def header_text(self) -> str:
        """The headings as one text, by which a confirmed choice of columns is remembered."""
        return "\x1f".join(f"{head.text}\x1e{head.unit}" for head in self.heads)

    def cells(self, line: str) -> list[str]:
        """The fields of one line, without outer blanks."""
        return [
            cell.strip()
            for cell in next(
                csv.reader([line], delimiter=self.delimiter, skipinitialspace=True), []
            )
        ]


def line_blocks(blocks: Iterable[bytes]) -> Iterator[bytes]:
    """The same text in blocks of whole lines, in UTF-8 or as it was, each line ended by a line feed
    but maybe the last."""
    rest, decoder, first = b"", None, True
    for block in blocks:
        if first:
            block, decoder, first = *_begin(block), False
        block = rest + (decoder.decode(block).encode() if decoder else block)
        tail = b"\r" if block.endswith(b"\r") else b""
        if b"\r" in block:
            block = block[: len(block) - len(tail)].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        cut = block.rfind(b"\n") + 1
        rest = block[cut:] + tail
        if len(rest) > LONGEST_LINE:
            raise BadInput(
                f"A line of the log has over {LONGEST_LINE} characters. This is not a CSV of rows;"
                " export it again."
            )
        if cut:
            yield block[:cut]
    if rest.strip():
        yield rest.rstrip(b"\r")


def _begin(block: bytes) -> tuple[bytes, codecs.IncrementalDecoder | None]:
    """The first block without its mark, and the decoder of UTF-16 where it is that."""
    encoding = next((name for mark, name in _MARKS if block.startswith(mark)), "")
    if not encoding and len(block) > 3 and (block[0] == 0) != (block[1] == 0):
        encoding = "utf-16-be" if block[0] == 0 else "utf-16-le"
    elif not encoding and b"\x00" in block[:1000]:
        raise BadInput("This is not a text file. Export the log as CSV.")
    block = block.removeprefix(codecs.BOM_UTF8) if encoding == "utf-8" else block
    if encoding.startswith("utf-16"):
        block = block.removeprefix(
            codecs.BOM_UTF16_LE if encoding.endswith("le") else codecs.BOM_UTF16_BE
        )
        return block, codecs.getincrementaldecoder(encoding)("replace")
    return block, None


def decode(line: bytes) -> str:
    """One line as text: UTF-8, else Latin-1."""
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode("latin-1")


def layout_of(head: bytes) -> Layout:
    """The layout of a log from its first lines. Raises BadInput where it has no rows of numbers."""
    lines, numbers_of = _logical([decode(line) for line in head.split(b"\n")[: _SAMPLE_LINES + 1]])
    delimiter = _delimiter(lines)
    rows = [
        [
            cell.strip()
            for cell in next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
        ]
        for line in lines
    ]
    begin = _first_numbers(rows)
    decimal_comma = has_decimal_comma(cell for row in rows[begin:] for cell in row)
    header, units = _header(rows[:begin])
    width = len(rows[begin])
    names = rows[header] if header is not None else [str(at + 1) for at in range(width)]
    below = rows[units] if units is not None else []
    heads = [heading(name, below[at] if at < len(below) else "") for at, name in enumerate(names)]
    usual = Counter(len(row) for row in rows[begin:] if any(row))
    numbers = [
        tuple(number(cell, decimal_comma) for cell in row) for row in rows[begin:] if any(row)
    ]
    return Layout(
        delimiter,
        decimal_comma,
        tuple(heads),
        usual.most_common(1)[0][0],
        numbers_of[begin],
        tuple(numbers),
        tuple(tuple(row) for row in rows[begin : begin + 5]),
    )


def _logical(lines: list[str]) -> tuple[list[str], list[int]]:
    """Lines but the last, which may be cut, with each line break inside quotes made a blank; and
    how many lines stand before each."""
    found: list[str] = []
    before: list[int] = []
    open_quote = False
    for at, line in enumerate(lines[:-1] if len(lines) > 1 else lines):
        if open_quote:
            found[-1] += f" {line}"
        else:
            found.append(line)
            before.append(at)
        open_quote ^= line.count('"') % 2 == 1 and len(found) <= _MOST_BROKEN
    return found, before


def _delimiter(lines: list[str]) -> str:
    """The mark that parts most lines into about as many fields."""
    full = [line for line in lines if line.strip()]
    for mark in ("\t", ";", "|", ","):
        counts = Counter(len(next(csv.reader([line], delimiter=mark), [])) for line in full)
        usual = counts.most_common(1)[0][0] if counts else 1
        if usual > 1 and sum(
            times for count, times in counts.items() if abs(count - usual) <= 1
        ) >= 0.6 * len(full):
            return mark
    raise BadInput(
        "The log has no columns: no comma, semicolon or tab stands alike in its lines. Export it as"
        " CSV."
    )


def _first_numbers(rows: list[list[str]]) -> int:
    """The first line that holds a row of numbers, below the heading where one is recognised."""
    known = next((at for at, row in enumerate(rows) if _recognised(row) >= 2), -1)
    usual = Counter(len(row) for row in rows if len(row) > 1).most_common(1)[0][0]
    for at, row in enumerate(rows):
        if at > known and abs(len(row) - usual) <= 1 and sum(map(_is_number, row)) >= 2:
            return at
    raise BadInput("The log holds no rows of numbers. Export it as CSV with one row a moment.")


def _is_number(cell: str) -> bool:
    """Whether a cell is a number by one or the other decimal mark."""
    return any(not math.isnan(number(cell, comma)) for comma in (False, True))


def _recognised(row: list[str]) -> int:
    heads = [heading(cell) for cell in row if not PLAIN.fullmatch(cell)]
    return sum(
        any(score(role, head) > 0 for head in heads) for role in ("time", "voltage", "current")
    )


def _header(before: list[list[str]]) -> tuple[int | None, int | None]:
    """Which of the lines before the numbers hold the headings and the units."""
    full = [at for at, row in enumerate(before) if len(row) > 1 and any(row)]
    units = next((at for at in full[1:] if _are_units_below(before, full, at)), None)
    named = [at for at in full if at != units]
    header = max(
        named, key=lambda at: (_recognised(before[at]), len(before[at]), -at), default=None
    )
    return header, units if header is not None and units is not None and units > header else None


def _are_units_below(before: list[list[str]], full: list[int], at: int) -> bool:
    """Whether a line holds units, and a line above it the headings: `time,Volts,Amps` below the
    title of a file is no line of units."""
    row = before[at]
    named = any(
        cell.casefold() not in UNITS and score("time", heading(cell)) > 0 for cell in row if cell
    )
    wide = any(abs(len(before[above]) - len(row)) <= 1 for above in full if above < at)
    return wide and not named and _are_units(row)


def _are_units(row: list[str]) -> bool:
    cells = [cell.strip("[]()").strip().casefold() for cell in row if cell]
    known = sum(cell in UNITS for cell in cells)
    return (
        bool(known)
        and (known >= 2 or known > len(cells) / 2)
        and sum(len(cell) <= 10 for cell in cells) > len(cells) / 2
    )
