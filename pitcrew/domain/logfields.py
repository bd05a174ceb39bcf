"""Numbers out of the bytes of many rows at once: where each field lies, and plain decimals read digit column by digit column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

WIDEST = 40
"""bytes of a field that are looked at in bulk"""
_LINE_FEED, _BLANK, _DOT, _MINUS = 10, 32, 46, 45


@dataclass(frozen=True)
class Fields:
    """Where the fields of a block of lines lie: its bytes, the ends of all fields, for each line its first field and their number."""

    content: Array
    ends: Array
    first: Array
    counts: Array

    def line(self, number: int) -> bytes:
        """One line without its line feed."""
        first = self.first[number]
        begin = self.ends[first - 1] + 1 if first else 0
        return self.content[begin : self.ends[first + self.counts[number] - 1]].tobytes()

    def bounds(self, lines: Array, column: int) -> tuple[Array, Array]:
        """Begin and end of one column's field in each of some lines, without outer blanks."""
        import numpy as np

        at = self.first[lines] + column
        begin, end = np.where(at > 0, self.ends[at - 1] + 1, 0), self.ends[at].copy()
        while (lead := (begin < end) & (self.content[begin] == _BLANK)).any():
            begin += lead
        while (trail := (begin < end) & (self.content[end - 1] == _BLANK)).any():
            end -= trail
        return begin, end


def find_fields(block: bytes, delimiter: str) -> Fields:
    """The fields of a block of lines, which ends with a line feed."""
    import numpy as np

    content = np.frombuffer(block, np.uint8)
    ends = np.flatnonzero((content == ord(delimiter)) | (content == _LINE_FEED))
    last = np.flatnonzero(content[ends] == _LINE_FEED)
    first = np.concatenate([[0], last[:-1] + 1])
    return Fields(content, ends, first, last - first + 1)


def letters(fields: Fields, begin: Array, end: Array) -> Array:
    """The bytes of fields as rows of a matrix, filled up with zeros."""
    import numpy as np

    width = min(int((end - begin).max(initial=1)), WIDEST)
    places = begin[:, None] + np.arange(max(width, 1))
    return np.where(places < end[:, None], fields.content[np.minimum(places, len(fields.content) - 1)], 0)


def read_column(fields: Fields, lines: Array, column: int, slow: Callable[[bytes], float]) -> Array:
    """One column of some lines as numbers. What is no plain decimal goes through `slow`, which gives nan for what is none."""
    import numpy as np

    begin, end = fields.bounds(lines, column)
    values, plain = _decimals(letters(fields, begin, end), end - begin)
    for at in np.flatnonzero(~plain):
        values[at] = slow(fields.content[begin[at] : end[at]].tobytes()) if end[at] > begin[at] else np.nan
    return values


def _decimals(rows: Array, lengths: Array) -> tuple[Array, Array]:
    """Fields such as `-12.345` as numbers, exactly, and which of them were such."""
    import numpy as np

    whole = np.zeros(len(rows), np.int64)
    digits, decimals, dots = (np.zeros(len(rows), np.int8) for _ in range(3))
    plain = lengths <= WIDEST
    negative = rows[:, 0] == _MINUS
    for place, column in enumerate(np.ascontiguousarray(rows.T)):
        figure = column - np.uint8(48)
        is_digit, is_dot = figure < 10, column == _DOT
        whole = np.where(is_digit & (digits < 16), whole * 10 + figure, whole)
        decimals += is_digit & (dots > 0)
        digits += is_digit
        dots += is_dot
        plain &= is_digit | is_dot | (column == 0) | (negative if place == 0 else False)
    plain &= (digits > 0) & (digits < 16) & (dots < 2)
    values = whole / 10.0 ** np.clip(decimals, 0, 22)
    return np.where(negative, -values, values), plain
