"""Entries: the facts of the logbook, made on a phone or laptop and never changed or removed.

An entry's body has one shape per kind (`kinds/`); `pitcrew schema entries` prints them as JSON
Schema and the server validates with the same structs.
"""

import re
import secrets
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import msgspec

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.base.kinds import BODIES

LONGEST_TEXT = 4000


class Entry(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One fact. The maker gives the first group of fields, the pit's sequencer the second.

    `judged` holds the server's own judgement of a reading (`verdict`, `sentence`, `result`,
    `limit`) where it is not exactly the phone's; `origin` is set on entries that came from another
    log (`log`, `seq`, `seal`).
    """

    id: str
    kind: str
    at: str
    device: str = ""
    person: str = ""
    robot: str | None = None
    match: str | None = None
    body: dict[str, Any]
    shape: int = 1

    seq: int = 0
    received_at: str = ""
    offset: float | None = None
    judged: dict[str, Any] | None = None
    origin: dict[str, Any] | None = None
    seal: str = ""


MAKER_FIELDS = ("id", "kind", "at", "device", "person", "robot", "match", "body", "shape")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
HALF_LETTER = re.compile(r"[\ud800-\udfff]")
_DEEPEST = 60
_MISSING = re.compile(r"Object missing required field `(\w+)`")
_EXACT = 2.0**53
_ID_LETTERS = frozenset("0123456789abcdef-")


def new_id(now: datetime, randbits: Callable[[int], int] = secrets.randbits) -> str:
    """A UUIDv7 (RFC 9562) for an entry made now: 48 bits of milliseconds, then bits from
    `randbits`."""
    milliseconds = int(now.astimezone(UTC).timestamp() * 1000) & ((1 << 48) - 1)
    value = milliseconds << 80 | 0x7 << 76 | randbits(12) << 64 | 0b10 << 62 | randbits(62)
    digits = f"{value:032x}"
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))


def canonical(value: Any) -> bytes:
    """The one JSON text of a value (keys sorted, no spaces), over which seals and digests are
    computed."""
    return msgspec.json.encode(value, order="deterministic")


def as_dict(entry: Entry) -> dict[str, Any]:
    """An entry as plain data with all its set fields, as stored and exchanged."""
    plain: dict[str, Any] = msgspec.to_builtins(entry)
    return plain


def as_stored(entry: Entry) -> dict[str, Any]:
    """An entry as the logbook keeps and seals it: as plain data, whole floats as integers (12.0 as
    12), as JavaScript writes them, so that a seal still holds after the way through a phone."""
    return {name: _plain_numbers(item) for name, item in as_dict(entry).items()}


def _plain_numbers(value: Any) -> Any:
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < _EXACT else value
    if isinstance(value, dict):
        return {name: _plain_numbers(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_plain_numbers(item) for item in value]
    return value


def from_dict(record: dict[str, Any]) -> Entry:
    """A stored or received record as an entry. Raises BadInput naming the field that is wrong."""
    try:
        return msgspec.convert(record, Entry)
    except msgspec.ValidationError as error:
        raise BadInput(*_explain(error, "entry")) from None


def read_body(kind: str, body: dict[str, Any]) -> Any:
    """A body as the struct of `kind`. Raises UnknownName for the kind and BadInput naming the
    field."""
    if kind not in BODIES:
        raise UnknownName("The entry kind", kind, BODIES, "kind")
    try:
        return msgspec.convert(body, BODIES[kind])
    except msgspec.ValidationError as error:
        raise BadInput(*_explain(error, "body")) from None


def check_maker_fields(entry: Entry) -> None:
    """Raise BadInput unless id, time, texts and body of a new entry are well formed."""
    from pitcrew.base.clock import parse_instant

    if len(entry.id) != 36 or not set(entry.id) <= _ID_LETTERS:
        raise BadInput(
            f"The id {entry.id[:60]!r} is not a UUID in lower case. Make one where the entry is"
            " made.",
            "id",
        )
    try:
        parse_instant(entry.at)
    except BadInput as error:
        raise BadInput(error.sentence, "at") from None
    if entry.match is not None and len(entry.match.split("/")) != 3:
        raise BadInput(
            f"The match {entry.match!r} does not name a run. Wanted: event/match/run, such as"
            " fjord/12/1.",
            "match",
        )
    read_body(entry.kind, entry.body)
    check_texts(entry.body, "body")


def schemas() -> dict[str, Any]:
    """The JSON Schema of every kind's body and of the entry itself, for `pitcrew schema
    entries`."""
    kinds, components = msgspec.json.schema_components(
        [*BODIES.values(), Entry], ref_template="#/$defs/{name}"
    )
    names = [*BODIES, "entry"]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "kinds": dict(zip(names, kinds, strict=True)),
        "$defs": components,
    }


def check_texts(value: Any, place: str, depth: int = _DEEPEST) -> None:
    """Refuse overlong texts, characters that no keyboard makes and deep nesting, wherever they sit.
    Raises BadInput."""
    if depth == 0:
        raise BadInput("This is nested too deeply. Send plain entries.", place.partition(".")[0])
    if isinstance(value, str):
        if len(value) > LONGEST_TEXT:
            raise BadInput(
                f"{place} has {len(value)} characters; at most {LONGEST_TEXT} are kept."
                " Shorten it.",
                place,
            )
        if _CONTROL.search(value):
            raise BadInput(f"{place} holds a control character. Type it again.", place)
        if HALF_LETTER.search(value):
            raise BadInput(
                f"{place} holds half a letter, as a cut emoji leaves it. Type it again.", place
            )
    elif isinstance(value, dict):
        for key, item in value.items():
            check_texts(key, f"a name in {place}", depth - 1)
            check_texts(item, f"{place}.{key}", depth - 1)
    elif isinstance(value, list):
        for number, item in enumerate(value):
            check_texts(item, f"{place}[{number}]", depth - 1)


def _explain(error: msgspec.ValidationError, root: str) -> tuple[str, str]:
    """A msgspec error as (sentence, field): `Expected int, got str - at $.seq` names
    `entry.seq`."""
    message, _, path = str(error).partition(" - at `")
    field = root + path.rstrip("`").removeprefix("$")
    missing = _MISSING.match(message)
    if missing:
        field = f"{field}.{missing[1]}"
    return (
        f"{field}: {message}. See `pitcrew schema entries` for what is wanted.",
        field.removeprefix("entry."),
    )
