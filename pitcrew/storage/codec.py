"""One line of the log file: a JSON list of a checksum and a record, so a line is readable alone and damage shows.

    ["9f3a01bc",{"id":"0195…","kind":"reading",…}]

The checksum is the CRC-32 (ISO-HDLC, as in zlib) of the record's bytes as they stand in the line, in eight hex digits.
"""

import sys
import zlib
from typing import Any

import msgspec

_START = len('["12345678",')
_decode = msgspec.json.Decoder().decode


def encode_line(record: dict[str, Any]) -> bytes:
    """A record as one line, with its newline."""
    text = msgspec.json.encode(record)
    return b'["%08x",%b]\n' % (zlib.crc32(text), text)


def decode_line(line: bytes) -> dict[str, Any] | None:
    """The record of a line without its newline, or None where the line is torn or damaged."""
    text = line[_START:-1]
    if line[:2] != b'["' or line[-1:] != b"]" or line[10:_START] != b'",':
        return None
    if line[2:10] != b"%08x" % zlib.crc32(text):
        return None
    try:
        record = _decode(text)
    except msgspec.DecodeError:
        return None
    return {sys.intern(name): value for name, value in record.items()} if isinstance(record, dict) else None
