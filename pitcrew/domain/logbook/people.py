"""Roles, and the one table of what each may write into the logbook."""

from collections.abc import Mapping
from typing import Any

from pitcrew.base.entries import Entry
from pitcrew.base.kinds import KINDS, a_spoken
from pitcrew.domain.logbook.corrections import author_of, brought_by

ROLES = ("crew", "captain", "mentor", "lead")

MAY_WRITE: Mapping[str, frozenset[str]] = {
    role: frozenset(name for name, kind in KINDS.items() if role in kind.written_by)
    for role in (*ROLES, "laptop")
}
"""Role → entry kinds, as each kind says of itself. Only the safety captain signs for the climb, so
that no pit lead in a hurry can; the laptop itself notes what it loaded and made, and who came in.
A correction of another's entry, a deferral and an approval ask for more: see `why_refused`."""

MAY_DEFER = frozenset({"captain", "mentor", "lead"})
"""Who may decide to play with a known fault, and give a second name to what someone decided."""


def may_write(role: str, kind: str) -> bool:
    """Whether a role may write an entry of that kind at all."""
    return kind in MAY_WRITE.get(role, ())


def why_refused(
    role: str,
    entry: Entry,
    original: Entry | None = None,
    by: tuple[str, str] | None = None,
) -> str:
    """Why a role may not write this very entry, in one sentence; empty if it may.

    `original`: the entry that a correction names. A correction can do no more than a fresh entry of
    the same kind could.
    `by`: device and person of who brings the entry, where nothing proves that it is from whom it
    says.
    """
    if not may_write(role, entry.kind):
        allowed = (
            [name for name in ROLES if may_write(name, entry.kind)] if entry.kind in KINDS else []
        )
        return (
            f"A {role} may not write {a_spoken(entry.kind)}. Ask the"
            f" {' or the '.join(allowed) or 'pit lead'}."
        )
    if entry.kind == "correction":
        return _why_no_correction(role, entry, original, by or author_of(entry))
    return _why_no_move(role, entry.kind, entry.body)


def _why_no_correction(
    role: str,
    entry: Entry,
    original: Entry | None,
    by: tuple[str, str],
) -> str:
    if original is None:
        return ""
    mine = author_of(original) == by or _brought_too(original, by)
    if not mine and role != "lead":
        author = original.person or "Somebody else"
        where = " on another device" if original.person == by[1] else ""
        return (
            f"{author} wrote this{where}. Only its author or the pit lead corrects it; add a note"
            " instead."
        )
    if not may_write(role, original.kind):
        return (
            f"A {role} may not write {a_spoken(original.kind)}, so it cannot be corrected"
            " either. Ask the pit lead."
        )
    body = entry.body.get("body")
    return _why_no_move(role, original.kind, body) if isinstance(body, dict) else ""


def _brought_too(original: Entry, by: tuple[str, str]) -> bool:
    """Whether an unproven entry came by the same bringer as its correction does."""
    found = brought_by(original)
    return found is not None and (found.get("device"), found.get("person")) == by


def _why_no_move(role: str, kind: str, body: Mapping[str, Any]) -> str:
    if kind == "approval" and body.get("decision") != "confirmed" and role not in MAY_DEFER:
        return f"A {role} may not write an approval. Ask the captain or mentor or lead."
    if kind == "fault_move" and body.get("to") == "deferred" and role not in MAY_DEFER:
        return (
            f"A {role} may not defer a fault. Ask the captain, a mentor or the pit lead to"
            " decide it."
        )
    return ""
