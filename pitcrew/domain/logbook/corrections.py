"""Corrections: a later entry that replaces the whole body of an earlier one, at the earlier one's
place.

The author, which is a person on a device, or the lead may make one. The door refuses the others
(`people.py`); what it could not check is checked here: a correction that came before its entry, and
one that nothing proves. Of several that count the last by `seq` wins; a null body takes the entry
out of the lists while the original stays readable. Entries signed on the laptop (clearance,
approval, definitions) stand as they are.
"""

from collections.abc import Callable, Iterable
from typing import Any

import msgspec

from pitcrew.base.entries import Entry, read_body
from pitcrew.base.errors import PitcrewError
from pitcrew.base.kinds import KINDS, a_spoken, spoken

UNCORRECTABLE = frozenset(name for name, kind in KINDS.items() if not kind.correctable)
RoleOf = Callable[[str], str | None]
"""The role of a person by name; empty or None where the person is not known (any more)."""


def why_not_counted(original: Entry, correction: Entry, role_of: RoleOf | None) -> str:
    """Why a correction of an entry does not count, in one sentence; empty if it counts."""
    if sentence := why_not_correctable(original):
        return sentence
    kind = spoken(original.kind)
    if not _may_correct(original, correction, role_of):
        maker, author = correction.person or "Nobody named", original.person or "nobody named"
        return (
            f"{maker} corrected {a_spoken(original.kind)} of {author}; only its author or the lead"
            " may."
        )
    if not _brought_rightly(original, correction):
        bringer = (brought_by(correction) or {}).get("person") or "somebody"
        return (
            f"A correction of {a_spoken(original.kind)} was brought by {bringer} and nothing proves"
            f" it; it counts for no more than {bringer} could do."
        )
    match = correction.body.get("match")
    if match and len(match.split("/")) != 3:
        return f"The match {match!r} names no run. Correct it with event/match/run."
    body = correction.body["body"]
    if body is None:
        return ""
    try:
        read_body(original.kind, body)
    except PitcrewError as error:
        return f"The corrected {kind} cannot be read: {error.sentence}"
    return ""


def author_of(entry: Entry) -> tuple[str, str]:
    """Who made an entry: the device and the person. A name alone is anyone's who joins under
    it."""
    return entry.device, entry.person


def brought_by(entry: Entry) -> dict[str, str] | None:
    """Who brought an entry that nothing proves: its device, person and role there; None for any
    other entry, and for those that were taken before bringers were noted."""
    origin = entry.origin or {}
    found = None if origin.get("proven") else origin.get("by")
    return found if isinstance(found, dict) else None


def _may_correct(original: Entry, correction: Entry, role_of: RoleOf | None) -> bool:
    """Whether the author of a correction, as it names itself, may correct the entry."""
    if author_of(correction) == author_of(original):
        return True
    checked_at_the_door = correction.origin is not None or correction.seq > original.seq
    if brought_by(correction) is None and not checked_at_the_door:
        return False
    is_lead = role_of is not None and role_of(correction.person) == "lead"
    return is_lead or (correction.person == original.person and brought_by(correction) is None)


def _brought_rightly(original: Entry, correction: Entry) -> bool:
    """Whether whoever brought an unproven correction could have made it: as the author, as the
    lead, or having brought the entry itself just so."""
    by = brought_by(correction)
    if by is None or by.get("role") == "lead":
        return True
    return (by.get("device"), by.get("person")) == author_of(original) or by == brought_by(original)


def in_force(
    original: Entry, corrections: Iterable[Entry], role_of: RoleOf | None
) -> tuple[Entry | None, list[tuple[str, str]]]:
    """The entry as corrected (None: taken out), and (entry id, sentence) of each correction that
    does not count.

    `corrections` come in order of `seq`.
    """
    entry: Entry | None = original
    conflicts = []
    for correction in corrections:
        if sentence := why_not_counted(original, correction, role_of):
            conflicts.append((correction.id, sentence))
        else:
            entry = _replaced(original, correction)
    return entry, conflicts


def why_not_correctable(original: Entry) -> str:
    """Why no one can correct an entry, in one sentence; empty if it can be corrected."""
    if original.kind not in UNCORRECTABLE:
        return ""
    return f"{a_spoken(original.kind).capitalize()} cannot be corrected; it stands as it was made."


def versions(
    original: Entry, corrections: Iterable[Entry], role_of: RoleOf | None
) -> list[tuple[Entry | None, Entry | None]]:
    """Each way in which an entry stood, the first as it was made, with the correction that made it
    so (None for the first)."""
    found: list[tuple[Entry | None, Entry | None]] = [(original, None)]
    for correction in corrections:
        if not why_not_counted(original, correction, role_of):
            found.append((_replaced(original, correction), correction))
    return found


def _replaced(original: Entry, correction: Entry) -> Entry | None:
    body = correction.body["body"]
    if body is None:
        return None
    if original.kind == "reading" and not body.get("limit"):
        body = _with_first_limit(original, body)
    told = correction.body.get("match")
    match = original.match if told is None else told or None
    return msgspec.structs.replace(original, body=body, judged=correction.judged, match=match)


def _with_first_limit(original: Entry, body: dict[str, Any]) -> dict[str, Any]:
    """A corrected reading without a limit is judged by the one that the original was judged by."""
    limit = original.body.get("limit") or (original.judged or {}).get("limit")
    same = (body["check"], body["part"]) == (original.body.get("check"), original.body.get("part"))
    return {**body, "limit": limit} if same and limit else body
