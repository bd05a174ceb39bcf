"""One line of the log file: a JSON list of a checksum and a record, so a line is readable alone and
damage shows.

    ["9f3a01bc",{"id":"0195…","kind":"reading",…}]

The checksum is the CRC-32 (ISO-HDLC, as in zlib) of the record's bytes as they are in the line,
in eight hex digits.
"""

import zlib
from typing import Any

import msgspec

_START = len('["12345678",')
_decode = msgspec.json.Decoder().decode  # it shares the names of fields between records


def encode_line(record: dict[str, Any]) -> bytes:
    """A record as one line, with its newline (JSON has none inside). Raises TypeError for what JSON
    cannot say."""
    text = msgspec.json.encode(record)
    return b'["%08x",%b]\n' % (zlib.crc32(text), text)


def decode_line(line: bytes) -> dict[str, Any] | None:
    """The record of a line with its newline, or None where the line is torn or damaged."""
    if line[:_START] != b'["%08x",' % zlib.crc32(line[_START:-2]) or line[-2:] != b"]\n":
        return None
    try:
        record = _decode(line[_START:-2])
    except (msgspec.DecodeError, UnicodeDecodeError):
        return None
    return record if isinstance(record, dict) else None
