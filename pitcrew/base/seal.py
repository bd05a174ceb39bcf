"""Seals: the keyed hash that ties an entry to all before it.

The seal of an entry is HMAC-SHA-256 over the seal before it and the canonical JSON of the entry as
stored (its own seal left out). Without the pit's key no one can make one; with it anyone can check
the whole chain.
"""

import hashlib
import hmac
import re
from collections.abc import Iterable
from typing import Any

from pitcrew.base.entries import canonical
from pitcrew.base.errors import BadInput

_NUMBER = re.compile(r"[0-9]{1,15}")


def seal_of(key: bytes, previous: str, record: dict[str, Any]) -> str:
    """The seal (64 hex digits) of a record that follows an entry with the seal `previous` ('' for
    the first)."""
    bare = {name: value for name, value in record.items() if name != "seal"}
    return hmac.new(key, previous.encode() + canonical(bare), hashlib.sha256).hexdigest()


def first_bad(key: bytes, records: Iterable[dict[str, Any]]) -> str | None:
    """A sentence naming the first entry that was altered, removed from the middle or reordered;
    None if all hold."""
    previous, wanted = "", 1
    for record in records:
        seq = record.get("seq")
        if seq != wanted:
            return f"Entry {wanted} is missing or out of order: {seq} stands in its place."
        if not hmac.compare_digest(str(record.get("seal", "")), seal_of(key, previous, record)):
            name = f"Entry {seq} ({record.get('kind')}, {record.get('id')})"
            return f"{name} does not hold its seal: it, or the order before it, was altered."
        previous, wanted = record["seal"], wanted + 1
    return None


def short(seal: str) -> str:
    """The form of a seal that is printed and typed: its first 12 digits in threes."""
    return "-".join(seal[start : start + 4] for start in (0, 4, 8)) if seal else ""


def head_text(seq: int, seal: str) -> str:
    """A head as printed on sheets and typed after `--head`: `131:9f3a-01bc-77de`."""
    return f"{seq}:{short(seal)}"


def read_head(text: str) -> tuple[int, str]:
    """A typed head as (seq, beginning of the seal without dashes). Raises BadInput."""
    number, mark, seal = text.partition(":")
    digits = seal.replace("-", "").strip().lower()
    if (
        not mark
        or not _NUMBER.fullmatch(number.strip())
        or len(digits) < 8
        or not set(digits) <= set("0123456789abcdef")
    ):
        raise BadInput(
            f"{text!r} is not a head. Wanted: the number and seal of a sheet, such as"
            " 131:9f3a-01bc-77de.",
            "--head",
        )
    return int(number), digits
