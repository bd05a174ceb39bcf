"""Numbers out of the bytes of many rows at once: where each field lies, and plain decimals read without a loop over rows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

WIDE = 16
"""bytes of a field that are looked at in bulk, up to its end; as many blanks stand before the first line"""
_LINE_FEED, _BLANK, _DOT, _MINUS, _ZERO = 10, 32, 46, 45, 48
_MOST_DIGITS = 15  # below 2**53, so that digits / 10**decimals is the nearest float


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
        begin = self.ends[first - 1] + 1 if first else WIDE
        return self.content[begin : self.ends[first + self.counts[number] - 1]].tobytes()

    def bounds(self, lines: Array, column: int) -> tuple[Array, Array]:
        """Begin and end of one column's field in each of some lines, without outer blanks."""
        import numpy as np

        at = self.first[lines] + column
        begin, end = np.where(at > 0, self.ends[at - 1] + 1, WIDE), self.ends[at]
        while (lead := (begin < end) & (self.content[begin] == _BLANK)).any():
            begin = begin + lead
        while (trail := (begin < end) & (self.content[end - 1] == _BLANK)).any():
            end = end - trail
        return begin, end

    def letters(self, begin: Array, end: Array) -> tuple[Array, Array]:
        """The last 8 bytes (WIDE, where a field is longer) up to the end of each field as rows of a matrix, and which are the field's."""
        import numpy as np

        width = 8 if (end - begin).max(initial=0) <= 8 else WIDE
        rows = np.lib.stride_tricks.sliding_window_view(self.content, width)[end - width]
        return rows, np.arange(width, 0, -1) <= (end - begin)[:, None]


def find_fields(block: bytes, delimiter: str) -> Fields:
    """The fields of a block of lines, which ends with a line feed."""
    import numpy as np

    content = np.frombuffer(b" " * WIDE + block, np.uint8)
    ends = np.flatnonzero((content == ord(delimiter)) | (content == _LINE_FEED))
    last = np.flatnonzero(content[ends] == _LINE_FEED)
    first = np.concatenate([[0], last[:-1] + 1])
    return Fields(content, ends, first, last - first + 1)


def read_column(fields: Fields, lines: Array, column: int, slow: Callable[[bytes], float]) -> Array:
    """One column of some lines as numbers. What is no plain decimal goes through `slow`, which gives nan for what is none."""
    import numpy as np

    begin, end = fields.bounds(lines, column)
    values, plain = _decimals(fields, begin, end)
    for at in np.flatnonzero(~plain):
        values[at] = slow(fields.content[begin[at] : end[at]].tobytes()) if end[at] > begin[at] else np.nan
    return values


def _decimals(fields: Fields, begin: Array, end: Array) -> tuple[Array, Array]:
    """Fields such as `-12.345` as numbers, exactly as Python reads them, and which of them were such."""
    import numpy as np

    negative = fields.content[begin] == _MINUS
    rows, inside = fields.letters(begin + negative, end)
    figures = rows - np.uint8(_ZERO)
    digit, dot = inside & (figures < 10), inside & (rows == _DOT)
    width = rows.shape[1]
    places = np.arange(width, dtype=np.float32)
    dots, place = (dot.astype(np.float32) @ np.column_stack([np.ones_like(places), places])).T
    length = end - begin - negative
    strange = (inside & ~(digit | dot)).view(np.uint64).any(axis=1)
    plain = ~strange & (dots < 2) & (length > dots) & (length - dots <= _MOST_DIGITS) & (length <= WIDE)
    figures = np.where(digit, figures, 0).astype(float)
    values = np.empty(len(begin))
    place = np.where(dots > 0, place, width).astype(int)  # of the dot; behind the last place where there is none
    for at in np.flatnonzero(np.bincount(place, minlength=width + 1)):
        same = place == at
        right = 10.0 ** np.arange(width - 1, -1, -1)
        if at < width:
            right[:at] /= 10
        values[same] = (figures if same.all() else figures[same]) @ right / 10.0 ** max(width - 1 - at, 0)
    return np.where(negative, -values, values), plain
