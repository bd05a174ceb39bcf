"""What a pit asks of an entry before it stores it: form, role, and names that exist.

A reading is also judged here once more, by the limit in force on the laptop.
"""

from dataclasses import dataclass
from typing import Any

from pitcrew.base.entries import (
    MAKER_FIELDS,
    Entry,
    check_maker_fields,
    check_texts,
    from_dict,
    read_body,
)
from pitcrew.base.errors import BadInput, PitcrewError, Refused, UnknownName
from pitcrew.base.kinds import SIGNED_KINDS
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.judging import by_limit_in_force, said_as_dict
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.people import why_refused
from pitcrew.domain.logbook.state import State


@dataclass(frozen=True)
class Author:
    """Who makes an entry: the device that it comes from, the person, and the role that the person
    holds there."""

    device: str
    person: str
    role: str


def plain_offer(item: Any) -> dict[str, Any]:
    """An offered item as an object whose texts can be kept. Raises BadInput."""
    if not isinstance(item, dict):
        raise BadInput(
            f"An entry is an object with id, kind, at and body; {type(item).__name__} arrived.",
            "entries",
        )
    for name, value in item.items():
        check_texts(name, "the name of a field")
        check_texts(value, name)
    return item


def own_entry(offer: dict[str, Any], author: Author, robot: str | None) -> Entry:
    """An entry that a phone made itself, on `robot` where it names none. Raises BadInput, and
    Refused for a kind that only the laptop makes."""
    extra = sorted(set(offer) - set(MAKER_FIELDS))
    if extra:
        raise BadInput(
            f"The field {extra[0]!r} is given by the laptop alone. Leave it out.", extra[0]
        )
    mine = {
        "device": author.device,
        "person": author.person,
        "robot": offer.get("robot") or robot,
    }
    entry = from_dict({**offer, **mine})
    if entry.kind in SIGNED_KINDS:
        raise Refused(
            f"Entries of the kind {entry.kind} are made on their page at the laptop, not sent"
            " by a phone.",
            "kind",
        )
    return entry


def check_entry(definitions: Definitions, state: State, entry: Entry, author: Author) -> None:
    """Form, role, and names that must exist. Raises the sentence."""
    check_maker_fields(entry)
    check_role(state, entry, author)
    if entry.kind in ("reading", "skipped"):
        check, part = entry.body["check"], entry.body["part"]
        key = f"{check}@{part}"
        if key not in definitions.part_checks and key not in state.readings:
            raise _unknown_check(definitions, check, part)


def check_role(state: State, entry: Entry, author: Author, bringer: Author | None = None) -> None:
    """Raise Refused unless the author's role may write the entry; `bringer` carried it here, if
    that is someone else."""
    original = state.entries_by_id.get(entry.body["of"]) if entry.kind == "correction" else None
    by = (bringer.device, bringer.person) if bringer else None
    if refused := why_refused(author.role, entry, original, by):
        raise Refused(refused, "kind")


def _unknown_check(definitions: Definitions, check: str, part: str) -> UnknownName:
    known = definitions.part_checks.values()
    checks = {item.check.id for item in known}
    if check not in checks:
        return UnknownName("The check", check, checks, "body.check")
    parts = {item.part.id for item in known if item.check.id == check}
    return UnknownName(f"For the check {check!r} the part", part, parts, "body.part")


def own_judgement(moment: Moment, entry: Entry) -> dict[str, Any] | None:
    """The laptop's judgement of a reading, or of what a correction makes of one, by the limit in
    force; None where it is exactly the phone's, or the check is not known here."""
    body = _judged_body(entry)
    part_check = moment.definitions.part_checks.get(f"{body.get('check')}@{body.get('part')}")
    if part_check is None:
        return None
    of = entry
    if entry.kind == "correction":
        of = moment.state.entries_by_id.get(str(entry.body.get("of")), entry)
    asked = as_asked(moment, part_check, of)
    limit, found = by_limit_in_force(asked, body.get("inputs", {}))
    if limit == body.get("limit") and found.verdict == body.get("verdict"):
        return None
    return {
        "verdict": found.verdict,
        "sentence": found.sentence,
        "result": found.result,
        "limit": limit,
        "said": said_as_dict(found.said),
    }


def _judged_body(entry: Entry) -> dict[str, Any]:
    """The body of the reading that an entry is or corrects; empty where it is about another kind,
    or where it cannot be read and so never counts."""
    if entry.kind == "reading":
        return entry.body
    corrected = entry.body.get("body") if entry.kind == "correction" else None
    if not isinstance(corrected, dict) or "inputs" not in corrected:
        return {}
    try:
        read_body("reading", corrected)
    except PitcrewError:
        return {}
    return corrected
