"""Entries that come by way of someone else: another phone, a second laptop, a file, codes.

A relayed entry keeps its device and person and says where it stood: `origin {log, seq, seal}`. It
is *proven* when that seal holds behind the seal before it: only who has the pit's key can have made
it, so it was stored by this pit once. An entry without such proof is *unverified*: it counts for no
more than its bringer could write.
"""

import hmac
from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Annotated, Any

import msgspec

from pitcrew.base.entries import MAKER_FIELDS, Entry, as_stored, from_dict
from pitcrew.base.errors import BadInput
from pitcrew.base.seal import seal_of

LogPlace = tuple[str, int]
"""A log's id and a number in it."""


class Origin(msgspec.Struct, frozen=True):
    """Where an entry stood before, and what the server of that log had added to it."""

    log: str
    seq: Annotated[int, msgspec.Meta(ge=0, le=2**53)]
    seal: str
    received_at: str = ""
    offset: float | None = None
    judged: dict[str, Any] | None = None


def relayed(record: dict[str, Any], log: str) -> dict[str, Any]:
    """A record of a log as it is offered to another: the maker's fields, and where it stood
    first."""
    made = {name: record[name] for name in MAKER_FIELDS if name in record}
    stood = {
        name: record[name]
        for name in ("seq", "seal", "received_at", "offset", "judged")
        if name in record
    }
    return {**made, "origin": record.get("origin") or {"log": log, **stood}}


def seals_in(items: Iterable[Any]) -> dict[LogPlace, str]:
    """The seals that offered items state, by log and number: each may prove the one after it."""
    found = {}
    for item in items:
        origin = item.get("origin") if isinstance(item, dict) else None
        if (
            isinstance(origin, dict)
            and isinstance(origin.get("log"), str)
            and isinstance(origin.get("seq"), int)
        ):
            found[origin["log"], origin["seq"]] = str(origin.get("seal", ""))
    return found


def read_relayed(
    item: dict[str, Any], key: bytes, seals_before: Callable[[str, int], Iterable[str]]
) -> Entry:
    """A relayed item as an entry with its origin, `proven` or not. Raises BadInput.

    `seals_before(log, seq)`: what may be the seal of the entry before that one.
    """
    try:
        origin = msgspec.convert(item["origin"], Origin)
    except msgspec.ValidationError as error:
        raise BadInput(
            f"origin must say log, seq and seal ({error}). Hand over again from the phone itself.",
            "origin",
        ) from None
    entry = from_dict({name: item[name] for name in MAKER_FIELDS if name in item})
    stood = msgspec.structs.replace(
        entry,
        seq=origin.seq,
        received_at=origin.received_at,
        offset=origin.offset,
        judged=origin.judged,
    )
    proven = any(
        is_genuine(as_stored(stood), origin.seal, key, previous)
        for previous in seals_before(origin.log, origin.seq)
    )
    kept = {
        "log": origin.log,
        "seq": origin.seq,
        "seal": origin.seal,
        "received_at": origin.received_at,
        "proven": proven,
    }
    return msgspec.structs.replace(
        stood, seq=0, judged=origin.judged if proven else None, origin=kept
    )


def is_genuine(record: dict[str, Any], seal: str, key: bytes, previous: str) -> bool:
    """Whether `seal` is what the pit's key makes of a record behind the seal `previous`."""
    return hmac.compare_digest(seal_of(key, previous, record).encode(), seal.encode())


def adopted_lines(records: Iterable[dict[str, Any]]) -> list[str]:
    """What came from other logs, in a sentence for each: how much is proven, and which numbers
    no one has brought."""
    logs: dict[str, list[tuple[int, bool]]] = {}
    for record in records:
        if origin := record.get("origin"):
            logs.setdefault(origin["log"], []).append((origin["seq"], origin["proven"]))
    return [_line(log, found) for log, found in logs.items()]


def _line(log: str, found: list[tuple[int, bool]]) -> str:
    """`seq` 0: it was never numbered. A proven first one joins on to what this log holds itself, or
    it is number 1."""
    proven = sum(held for _, held in found)
    numbers = dict(sorted(found))
    numbers.pop(0, None)
    first = next(((number if held else 1) for number, held in numbers.items()), 1)
    gaps = [(low + 1, high - 1) for low, high in pairwise((first - 1, *numbers)) if high > low + 1]
    missing = ", ".join(f"{low}-{high}" if high > low else str(low) for low, high in gaps)
    lack = f"missing: {missing}" if missing else "none missing"
    name = f"log {log[:8]}" if log else "phones that knew no log"
    return (
        f"From {name}: {len(found)} entries, {proven} proven by their seal, {len(found) - proven}"
        f" unverified; {lack}."
    )
