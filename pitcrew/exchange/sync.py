"""The exchange: what a phone offers goes in, what it lacks comes out. Repeating it is harmless.

One request carries at most 200 entries; each bad entry is refused by itself, with its field, and
never blocks the rest. The phone's clock error is measured here (`sent_at` against now) and stored
with each of its entries.
"""

from dataclasses import dataclass
from typing import Any

from pitcrew.base.clock import format_instant, parse_instant
from pitcrew.base.entries import as_stored, check_texts, from_dict
from pitcrew.base.errors import BadInput, Conflict, PitcrewError
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.pit.relay import is_genuine
from pitcrew.pit.roster import Device

MOST_ENTRIES = 200
MOST_BYTES = 256 * 1024
PULL = 500


class TooMany(BadInput):
    """The request holds more than one exchange may; the phone halves it and tries again."""


class Restored(Conflict):
    """The phone has seen more of this log than the laptop holds: the laptop's log was restored from
    a copy."""


@dataclass(frozen=True)
class Request:
    """A read and checked request of the exchange."""

    log: str | None
    after: int
    entries: list[Any]
    offset: float | None
    unsent: int
    seal: str | None
    proof: dict[str, Any] | None
    previous: str


def exchange(pit: Pit, device: Device, data: Any) -> dict[str, Any]:
    """Answer one exchange of a joined device. Raises BadInput, TooMany and Restored before anything
    is stored."""
    request = _read_request(pit, data)
    if _has_lost_what_was_seen(pit, device, request):
        if not _is_proven(pit, request):
            raise Restored(
                f"Your entries are safe on this phone. It has seen entry {request.after}, which"
                f" this laptop's log does not hold (its head is {pit.journal.head()[0]}): it was"
                " restored from an older copy. Keep the phone as it is and tell the pit lead.",
                "after",
            )
        pit.continuity.lost(
            "restored", held=request.after, here=pit.journal.head()[0], by=device.person
        )
        pit.journal.renew(pit.journal.log)
        pit.continuity.keep()
    after = request.after if request.log == pit.journal.log else 0
    pit.continuity.spoke(device, after, request.seal)
    author = Author(device.id, device.person, device.role)
    taken = pit.take(request.entries, author, request.offset)
    pit.roster.heard(device.id, max(0, request.unsent - len(taken)), request.offset)
    records = pit.journal.after(after, PULL)
    head = pit.journal.head()[0]
    return {
        "log": pit.journal.log,
        "now": format_instant(pit.clock()),
        "head": head,
        "more": bool(records) and records[-1]["seq"] < head,
        "accepted": [{"id": item.id, "seq": item.seq} for item in taken if not item.error],
        "refused": [
            {"id": item.id, "error": item.error, "field": item.field}
            for item in taken
            if item.error
        ],
        "entries": records,
    }


def _read_request(pit: Pit, data: Any) -> Request:
    if not isinstance(data, dict):
        raise BadInput(
            "The exchange wants a JSON object with log, after, sent_at and entries.", "body"
        )
    entries, after, log = data.get("entries", []), data.get("after", 0), data.get("log")
    if not isinstance(entries, list):
        raise BadInput("entries must be a list of entries.", "entries")
    if len(entries) > MOST_ENTRIES:
        raise TooMany(
            f"{len(entries)} entries arrived; at most {MOST_ENTRIES} fit in one exchange. Send half"
            " of them.",
            "entries",
        )
    if isinstance(after, bool) or not isinstance(after, int) or after < 0:
        raise BadInput(
            f"after is {after!r}; wanted the number of the last entry that the phone knows, 0 for"
            " none.",
            "after",
        )
    if log is not None and not isinstance(log, str):
        raise BadInput("log must be the id of the log that the phone knows, or null.", "log")
    unsent = data.get("unsent", 0)
    offset = _offset(pit, data.get("sent_at"))
    seal, proof, previous = data.get("seal"), data.get("proof"), data.get("previous")
    return Request(
        log,
        after,
        entries,
        offset,
        unsent if isinstance(unsent, int) else 0,
        seal if isinstance(seal, str) else None,
        proof if isinstance(proof, dict) else None,
        previous if isinstance(previous, str) else "",
    )


def _has_lost_what_was_seen(pit: Pit, device: Device, request: Request) -> bool:
    """Whether the phone has seen an entry of this very log that is not in it: the log ends before
    it, or has forked."""
    if request.log != pit.journal.log or request.after == 0:
        return False
    held = pit.journal.after(request.after - 1, 1)
    if pit.continuity.cannot_have_seen(device, request.after):
        return True
    return not held or (request.seal is not None and held[0]["seal"] != request.seal)


def _is_proven(pit: Pit, request: Request) -> bool:
    """Whether the phone's last entry was sealed by this pit: `proof` is that entry, `previous` the
    seal before it.

    Who lacks the key can make neither, so a made-up number changes nothing.
    """
    if request.proof is None or request.proof.get("seq") != request.after:
        return False
    try:
        check_texts(request.proof, "proof")
        entry = from_dict(request.proof)
    except PitcrewError:
        return False
    return is_genuine(
        as_stored(entry), entry.seal, pit.key, request.previous or pit.journal.head()[1]
    )


def _offset(pit: Pit, sent_at: Any) -> float | None:
    """Seconds to add to the phone's times; None where the phone did not say when it sent."""
    if sent_at is None:
        return None
    try:
        return round((pit.clock() - parse_instant(sent_at)).total_seconds(), 3)
    except PitcrewError as error:
        raise BadInput(error.sentence, "sent_at") from None
    except OverflowError:
        raise BadInput(
            f"sent_at is {sent_at!r}, which no clock shows. Set the phone's clock.", "sent_at"
        ) from None
