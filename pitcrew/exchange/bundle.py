"""Bundles: what one phone holds, as a file or as codes, for when no link is to be had.

    {"pitcrew": "bundle", "version": 1, "device", "person", "log", "made_at", "entries": […],
    "proof", "sha256"}

`sha256` is taken over the canonical JSON of the rest (names sorted, no blanks, numbers as the phone
wrote them), so a file that was cut or changed on its way shows. `proof` is HMAC-SHA-256 over the
canonical JSON without both, keyed by the hash of the device's token: only that device and this
laptop can make it. Without it anyone may have written the file, so that it counts for no more than
its bringer may; with it, for no more than its device and its bringer.
"""

import hashlib
import hmac
import json
from dataclasses import dataclass
from typing import Any

from pitcrew.base.entries import HALF_LETTER
from pitcrew.base.errors import BadInput
from pitcrew.base.kinds import SIGNED_KINDS
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.pit.roster import CODE_LETTERS, ROLES, Device, hash_of

LARGEST = 8_000_000
CHUNK = 200


class Number(float):
    """A number that remembers how it was written."""

    text: str


@dataclass(frozen=True)
class Bundle:
    """A read bundle whose hash holds. `log`: the id of the log that the phone knew, or empty."""

    device: str
    person: str
    log: str
    entries: list[Any]
    sha256: str
    proof: str = ""
    text: str = ""
    """What `proof` was made over."""


@dataclass(frozen=True)
class HandedIn:
    """What became of a bundle: how many entries are new, how many were known, and which were
    refused, with why.

    `unproven`: what another laptop had written itself (signatures, changes of its files) and
    nothing proves here. The receipt is empty where something of the phone's was refused: typed
    there, it would mark all of the bundle as handed over.
    """

    person: str
    new: int
    known: int
    refused: list[dict[str, Any]]
    unproven: int
    receipt: str


def read_bundle(raw: bytes) -> Bundle:
    """The bundle in a file. Raises BadInput where it is none, was changed, or is of another
    version."""
    try:
        if len(raw) > LARGEST:
            raise ValueError
        text = raw.decode("utf-8-sig")
        data, written = json.loads(text), json.loads(text, parse_float=_number, parse_int=_number)
        stated = _canonical({name: value for name, value in written.items() if name != "sha256"})
        bare = _canonical(
            {name: value for name, value in written.items() if name not in ("sha256", "proof")}
        )
    except (ValueError, AttributeError, RecursionError):
        raise BadInput(
            "This is not a hand-over file of a phone, or it was cut on its way. Make it again on"
            " the phone.",
            "file",
        ) from None
    if data.get("pitcrew") != "bundle" or data.get("version") != 1:
        raise BadInput(
            "This file is not a hand-over of a phone. Wanted: the file that the phone's hand-over"
            " page makes.",
            "file",
        )
    if hashlib.sha256(stated.encode()).hexdigest() != data.get("sha256"):
        raise BadInput(
            "This hand-over was changed or cut on its way: its entries and its hash do not fit, so"
            " nothing was stored. Everything is still on the phone; make the file again there.",
            "file",
        )
    device, person, log = (data.get(name) or "" for name in ("device", "person", "log"))
    entries = data.get("entries")
    if not all(
        isinstance(item, str) and not HALF_LETTER.search(item) for item in (device, person, log)
    ) or not isinstance(entries, list):
        raise BadInput(
            "This hand-over lacks its device, person or entries. Make it again on the phone.",
            "file",
        )
    return Bundle(device, person, log, entries, data["sha256"], str(data.get("proof", "")), bare)


def make_bundle(
    device: str, person: str, log: str, made_at: str, entries: list[Any], token: str = ""
) -> bytes:
    """A bundle as a file, with the proof of the device whose token is given."""
    rest = {
        "pitcrew": "bundle",
        "version": 1,
        "device": device,
        "person": person,
        "log": log,
        "made_at": made_at,
        "entries": entries,
    }
    if token:
        rest["proof"] = _proof(hash_of(token), _canonical(rest))
    return json.dumps(
        {**rest, "sha256": hashlib.sha256(_canonical(rest).encode()).hexdigest()},
        ensure_ascii=False,
    ).encode()


def hand_in(
    pit: Pit, bundle: Bundle, bringer: str, stranger: str = "crew", by: Author | None = None
) -> HandedIn:
    """Store what a bundle brings; twice is harmless. `bringer`: the role of who brings it, beyond
    which nothing counts; `by`: who.

    Entries keep device and person. Those of a device that is not known here, was withdrawn, or does
    not prove that the file is its own, are unverified; a lead who brings it vouches for that.
    `stranger`: the role up to which they count where no one knows the device; more than crew for a
    rebuild alone, where no one is known yet.
    """
    listed = next((item for item in pit.roster.devices() if item.id == bundle.device), None)
    known = listed if listed and not listed.withdrawn_at else None
    author = _author(
        bundle, known, min("crew" if listed else stranger, bringer, key=ROLES.index), bringer
    )
    sure = known is not None and (
        bringer == "lead" or hmac.compare_digest(_proof(known.token, bundle.text), bundle.proof)
    )
    entries = bundle.entries if sure else [_as_stranger(item, bundle) for item in bundle.entries]
    taken = [
        answer
        for start in range(0, len(entries), CHUNK)
        for answer in pit.take(
            entries[start : start + CHUNK], author, None, by or Author("", "", bringer)
        )
    ]
    lost = [
        item
        for item, offered in zip(taken, bundle.entries, strict=True)
        if item.error and _is_of_a_laptop(offered)
    ]
    refused = [
        {"id": item.id, "error": item.error, "field": item.field}
        for item in taken
        if item.error and item not in lost
    ]
    repeated = sum(item.known for item in taken)
    new = len(taken) - len(refused) - len(lost) - repeated
    return HandedIn(
        author.person,
        new,
        repeated,
        refused,
        len(lost),
        "" if refused else receipt_of(bundle.sha256),
    )


def _proof(token_hash: str, text: str) -> str:
    """What a device that holds the token with that hash makes of a bundle's text."""
    return hmac.new(
        token_hash.encode(), text.encode("utf-8", "surrogatepass"), hashlib.sha256
    ).hexdigest()


def receipt_of(sha256: str) -> str:
    """The short code, such as `K7M-Q4R`, by which a person sees on the phone that the laptop has
    this very bundle."""
    digest = hashlib.sha256(b"receipt" + bytes.fromhex(sha256)).digest()
    letters = "".join(CODE_LETTERS[byte % len(CODE_LETTERS)] for byte in digest[:6])
    return f"{letters[:3]}-{letters[3:]}"


def _author(bundle: Bundle, known: Device | None, unknown_role: str, bringer: str) -> Author:
    if known is None:
        return Author(bundle.device, bundle.person, unknown_role)
    return Author(known.id, known.person, min(known.role, bringer, key=ROLES.index))


def _as_stranger(item: Any, bundle: Bundle) -> Any:
    """An entry of a device that no one here knows: it says whose it is, and nothing proves it."""
    if not isinstance(item, dict) or "origin" in item:
        return item
    return {
        "device": bundle.device,
        "person": bundle.person,
        **item,
        "origin": {"log": bundle.log, "seq": 0, "seal": ""},
    }


def _is_of_a_laptop(item: Any) -> bool:
    """Whether a phone can only have read it: it makes no entries of such a kind."""
    return isinstance(item, dict) and item.get("kind") in SIGNED_KINDS and "origin" in item


def _number(text: str) -> Number:
    number = Number(text)
    number.text = text
    return number


def _canonical(value: Any) -> str:
    """Canonical JSON as JavaScript makes it: names sorted, no blanks, letters as they are, numbers
    as they were written."""
    if isinstance(value, dict):
        return (
            "{"
            + ",".join(f"{_text(name)}:{_canonical(value[name])}" for name in sorted(value))
            + "}"
        )
    if isinstance(value, list | tuple):
        return "[" + ",".join(map(_canonical, value)) + "]"
    return value.text if isinstance(value, Number) else _text(value)


def _text(value: Any) -> str:
    """As `JSON.stringify` writes it: half a letter alone is escaped."""
    return HALF_LETTER.sub(
        lambda found: f"\\u{ord(found[0]):04x}", json.dumps(value, ensure_ascii=False)
    )


def sentence_of(handed: HandedIn) -> str:
    """What a person reads after a hand-over."""
    told = (
        f"From {handed.person or 'an unnamed phone'}: {handed.new} new entries, {handed.known}"
        " known before."
    )
    if handed.unproven:
        told += (
            f" {handed.unproven} of the lost laptop's own, signatures and changes of its files, are"
            " left out: nothing proves them here."
        )
    if handed.refused:
        told += (
            f" {len(handed.refused)} refused, which stay on the phone, so there is no receipt yet:"
            f" {handed.refused[0]['error']}"
        )
    return told
