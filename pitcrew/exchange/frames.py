"""A message as a series of frames for codes on a screen, any few more than enough of which give it
back.

A frame is `"PC"`, the version, the session (CRC-32 of the message), the count k of blocks and the
frame's number, then one block, then the CRC-32 of all that; numbers are big-endian. Frame n below k
carries block n; from k on it carries the sum (XOR) of the blocks that `mix_of(n, k)` names, so lost
frames need not come again: each further frame fills a gap. The message is the payload's length in
four bytes and the payload (raw DEFLATE, RFC 1951), padded with zeros to k blocks.

`static/js/lib/frames.js` does the same on the phone; `tests/data/frames.json` holds both to the
same bytes.
"""

import struct
import zlib

from pitcrew.base.errors import BadInput

MAGIC = b"PC"
VERSION = 1
HEADER = struct.Struct(">2sBIHI")
CHECK = struct.Struct(">I")
MOST_BLOCKS = 2000
LARGEST_PAYLOAD = 8_000_000
_WORD = 0xFFFFFFFF
_ODD = 0x9E3779B1


def mix_of(number: int, k: int) -> int:
    """The blocks summed in frame `number`, as a number whose bit i stands for block i: about half
    of the k.

    xorshift32 (Marsaglia 2003, shifts 13, 17, 5) with a product at the output: without it the rows
    would be linear in 32 bits of state, and no more than 32 of them independent.
    """
    state = (number + 1) * _ODD & _WORD or 1
    row = 0
    for place in range(0, k, 16):
        state ^= state << 13 & _WORD
        state ^= state >> 17
        state ^= state << 5 & _WORD
        row |= (state * _ODD & _WORD) >> 16 << place
    return row & (1 << k) - 1


class Sender:
    """The frames of one payload in blocks of `size` bytes."""

    def __init__(self, payload: bytes, size: int) -> None:
        """Raises BadInput where the payload needs more than 2000 blocks."""
        packer = zlib.compressobj(9, zlib.DEFLATED, -15)
        packed = packer.compress(payload) + packer.flush()
        self._cut(CHECK.pack(len(packed)) + packed, size)

    @classmethod
    def of_message(cls, message: bytes, size: int) -> "Sender":
        """The frames of a message that is packed already."""
        sender = cls.__new__(cls)
        sender._cut(message, size)
        return sender

    def _cut(self, message: bytes, size: int) -> None:
        self.k = -(-len(message) // size)
        if self.k > MOST_BLOCKS:
            raise BadInput(
                f"{len(message)} bytes in blocks of {size} make {self.k} codes; at most"
                f" {MOST_BLOCKS} are shown. Use the file."
            )
        self.session = zlib.crc32(message)
        padded = message.ljust(self.k * size, b"\0")
        self._size = size
        self._blocks = [
            int.from_bytes(padded[at : at + size], "big") for at in range(0, len(padded), size)
        ]

    def frame(self, number: int) -> bytes:
        """The frame of that number, 0 to 2³² − 1."""
        block = (
            self._blocks[number] if number < self.k else _sum(self._blocks, mix_of(number, self.k))
        )
        text = HEADER.pack(MAGIC, VERSION, self.session, self.k, number) + block.to_bytes(
            self._size, "big"
        )
        return text + CHECK.pack(zlib.crc32(text))


class Receiver:
    """Collects frames of one session until the payload is complete. A frame of another session
    starts over."""

    def __init__(self) -> None:
        self.session = -1
        self.k = 0
        self.payload: bytes | None = None
        self._size = 0
        self._rows: dict[int, tuple[int, int]] = {}

    @property
    def known(self) -> int:
        """How many independent frames are here; k of them are the message."""
        return len(self._rows)

    def add(self, frame: bytes) -> bool:
        """Take one frame as read; whether it brought something new. Raises BadInput for what is no
        whole frame."""
        session, k, number, block = read_frame(frame)
        if (session, k, len(block)) != (self.session, self.k, self._size):
            self.session, self.k, self._size, self.payload, self._rows = (
                session,
                k,
                len(block),
                None,
                {},
            )
        if self.payload is not None:
            return False
        new = self._reduce(
            1 << number if number < k else mix_of(number, k), int.from_bytes(block, "big")
        )
        if new and len(self._rows) == k:
            self.payload = self._solve()
        return new

    def _reduce(self, row: int, block: int) -> bool:
        """Keep a row under its highest block unless those at hand already say it (Gaussian
        elimination over GF(2))."""
        while row:
            top = row.bit_length() - 1
            if top not in self._rows:
                self._rows[top] = (row, block)
                return True
            row ^= self._rows[top][0]
            block ^= self._rows[top][1]
        return False

    def _solve(self) -> bytes:
        blocks: list[int] = []
        for top in range(self.k):
            row, block = self._rows[top]
            blocks.append(block ^ _sum(blocks, row & (1 << top) - 1))
        return unpack(b"".join(block.to_bytes(self._size, "big") for block in blocks), self.session)


def read_frame(frame: bytes) -> tuple[int, int, int, bytes]:
    """Session, k, number and block of a frame. Raises BadInput for what is no whole frame of this
    version."""
    if len(frame) <= HEADER.size + CHECK.size or frame[:2] != MAGIC:
        raise BadInput(
            "This code is not one of a hand-over. Show the moving codes of the phone's hand-over"
            " page.",
            "frame",
        )
    if CHECK.pack(zlib.crc32(frame[: -CHECK.size])) != frame[-CHECK.size :]:
        raise BadInput(
            "A code was read wrong. Hold the phone steady; the next ones make up for it.", "frame"
        )
    _, version, session, k, number = HEADER.unpack_from(frame)
    if version != VERSION or not 1 <= k <= MOST_BLOCKS:
        raise BadInput(
            f"The codes are of version {version} with {k} blocks; this laptop reads version"
            f" {VERSION}. Use the file.",
            "frame",
        )
    return session, k, number, frame[HEADER.size : -CHECK.size]


def unpack(padded: bytes, session: int) -> bytes:
    """The payload of a padded message. Raises BadInput where it is not whole, or would be larger
    than 8 MB."""
    (length,) = CHECK.unpack_from(padded.ljust(CHECK.size, b"\0"))
    message = padded[: CHECK.size + length]
    opener = zlib.decompressobj(-15)
    try:
        payload = opener.decompress(message[CHECK.size :], LARGEST_PAYLOAD)
    except zlib.error:
        payload = b""
    if zlib.crc32(message) != session or not opener.eof:
        raise BadInput(
            "The codes do not fit together. Start the hand-over on the phone again.", "frame"
        )
    return payload


def _sum(blocks: list[int], row: int) -> int:
    """The XOR of the blocks whose bits are in `row`."""
    total = 0
    for place, block in enumerate(blocks):
        if row >> place & 1:
            total ^= block
    return total
