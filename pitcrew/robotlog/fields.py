"""Numbers out of the bytes of many rows at once: where each field is, and plain decimals read
without a loop over rows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray

WIDE = 16
"""bytes of a field that are looked at in bulk, up to its end; as many stand before the first
line"""
_LINE_FEED, _BLANK, _QUOTE, _MINUS = b'\n "-'
_MOST_DIGITS = 15  # below 2**53, so that digits / 10**decimals is the nearest float
_EACH = 0x0101010101010101  # times a byte: that byte in all 8 places of a word


@dataclass(frozen=True)
class Fields:
    """Where the fields of a block of lines lie: its bytes; `stops`, the end of each field, with the
    start of the block before them; for each line the stop before its first field and the number of
    its fields; whether blanks or quotes may stand around fields.
    """

    content: Array
    stops: Array
    first: Array
    counts: Array
    padded: bool

    def line(self, number: int) -> bytes:
        """One line without its line feed."""
        first = self.first[number]
        return self.content[
            self.stops[first] + 1 : self.stops[first + self.counts[number]]
        ].tobytes()

    def bounds(self, lines: Array | slice, column: int) -> tuple[Array, Array]:
        """Begin and end of one column's field in each of some lines, without outer blanks and
        quotes."""
        at = self.first[lines] + column
        begin, end = self.stops[at] + 1, self.stops[at + 1]
        while self.padded and (lead := (begin < end) & self._pads(begin)).any():
            begin = begin + lead
        while self.padded and (trail := (begin < end) & self._pads(end - 1)).any():
            end = end - trail
        return begin, end

    def words(self, begin: Array, end: Array) -> list[tuple[Array, Array]]:
        """The last 8 bytes of each field as one number, and the 8 before them where a field is
        longer; with each a mask of the bytes that are the field's own. The first byte of a word is
        its lowest."""
        import numpy as np

        length = end - begin
        every_8 = np.ndarray((len(self.content) - 7,), "<u8", self.content, 0, (1,))
        found = []
        for before in range(0, WIDE if length.max(initial=0) > 8 else 8, 8):
            own = np.minimum(np.maximum(length - before, 0), 8).astype(np.uint64)
            found.append(
                (
                    every_8[end - 8 - before],
                    np.uint64(2**64 - 1) << (np.uint64(64) - np.uint64(8) * own),
                )
            )
        return found

    def _pads(self, at: Array) -> Array:
        return (self.content[at] == _BLANK) | (self.content[at] == _QUOTE)


def find_fields(block: bytes, delimiter: str) -> Fields:
    """The fields of a block of lines, which ends with a line feed."""
    import numpy as np

    content = np.frombuffer(b"\n".rjust(WIDE) + block, np.uint8)
    stops = np.flatnonzero((content == ord(delimiter)) | (content == _LINE_FEED))
    last = np.flatnonzero(content[stops] == _LINE_FEED)
    return Fields(content, stops, last[:-1], np.diff(last), b" " in block or b'"' in block)


def read_column(
    fields: Fields,
    lines: Array | slice,
    column: int,
    slow: Callable[[bytes], float],
    decimal_mark: str = ".",
) -> Array:
    """One column of some lines as numbers. What is no plain decimal goes through `slow`, which
    gives nan for what is none."""
    import numpy as np

    begin, end = fields.bounds(lines, column)
    values, plain = _decimals(fields, begin, end, ord(decimal_mark))
    for at in np.flatnonzero(~plain):
        values[at] = (
            slow(fields.content[begin[at] : end[at]].tobytes()) if end[at] > begin[at] else np.nan
        )
    return values


def _decimals(fields: Fields, begin: Array, end: Array, mark: int) -> tuple[Array, Array]:
    """Fields such as `-12.345` as numbers, exactly as Python reads them, and which of them were
    such.

    The decimal mark is first read as one more digit, a zero; then what stands before it, ten times
    too high, is put right.
    """
    import numpy as np

    negative = fields.content[begin] == _MINUS
    begin = begin + negative
    strange, digits = np.zeros((2, len(begin)), np.uint64)
    marks, decimals = np.zeros((2, len(begin)), np.uint8)
    for place, (word, inside) in enumerate(fields.words(begin, end)):
        marked = _zero_bytes(word ^ np.uint64(mark * _EACH)) & inside
        figures = ((word ^ np.uint64(ord("0") * _EACH)) & inside) - (
            marked >> np.uint64(7)
        ) * np.uint64(mark ^ ord("0"))
        strange |= _above_nine(figures)
        digits += _eight_digits(figures) * np.uint64(10 ** (8 * place))
        here = np.bitwise_count(marked)
        behind = (
            np.uint8(64) - np.bitwise_count(marked | (marked - np.uint64(1)))
        ) >> 3  # bytes; 0 without a mark
        marks += here
        decimals += behind + np.uint8(8 * place) * here
    length = end - begin
    plain = (
        (strange == 0)
        & (marks < 2)
        & (length > marks)
        & (length - marks <= _MOST_DIGITS)
        & (length <= WIDE)
    )
    scale = (np.uint64(10) ** np.arange(2 * WIDE, dtype=np.uint64))[decimals]
    digits -= digits // (np.uint64(10) * scale) * (np.uint64(9) * marks * scale)
    values = digits / scale
    return np.where(negative, -values, values), plain


def _zero_bytes(word: Array) -> Array:
    """The high bit of each byte that is zero."""
    import numpy as np

    low = np.uint64(0x7F * _EACH)
    return ~(((word & low) + low) | word | low)


def _above_nine(word: Array) -> Array:
    """The high bit of each byte that is above nine."""
    import numpy as np

    return (((word & np.uint64(0x7F * _EACH)) + np.uint64(0x76 * _EACH)) | word) & np.uint64(
        0x80 * _EACH
    )


def _eight_digits(word: Array) -> Array:
    """The number that eight bytes of 0 to 9 write, the highest digit in the lowest byte: pairs,
    fours, all eight in three steps."""
    import numpy as np

    pairs = (word * np.uint64(10) + (word >> np.uint64(8))) & np.uint64(0x00FF00FF00FF00FF)
    fours = (pairs * np.uint64(100) + (pairs >> np.uint64(16))) & np.uint64(0x0000FFFF0000FFFF)
    return (fours * np.uint64(10_000) + (fours >> np.uint64(32))) & np.uint64(0xFFFFFFFF)
