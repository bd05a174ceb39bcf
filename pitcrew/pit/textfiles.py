"""Text files that people bring, whatever program wrote them."""

from pathlib import Path

from pitcrew.base.errors import BadInput, Missing

LARGEST_TEXT = 5_000_000
"""Bytes."""


def read_text_file(path: Path) -> str:
    """A text file in UTF-8 (with or without BOM), UTF-16 with BOM, or Latin-1. Raises Missing and
    BadInput."""
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise Missing(f"{path} cannot be read ({error.strerror}). Check the name.") from None
    return decode(raw, path.name)


def decode(raw: bytes, name: str) -> str:
    """Bytes of a text file as text, by their mark or, without one, UTF-8 and then Latin-1. Raises
    BadInput."""
    if len(raw) > LARGEST_TEXT:
        raise BadInput(f"{name} has {len(raw)} bytes; at most {LARGEST_TEXT} are read.")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw:
        raise BadInput(f"{name} is not a text file. Export the list as CSV.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("latin-1")
