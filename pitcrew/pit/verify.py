"""Verifying a pit folder: every seal, the order, every verdict and every clearance from the first
entry, and a head kept elsewhere."""

import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.clock import system_clock
from pitcrew.base.entries import read_body
from pitcrew.base.kinds.loss import loss_text
from pitcrew.base.seal import first_bad, head_text, read_head
from pitcrew.domain.climb.approved import in_force
from pitcrew.domain.climb.audit import Recheck
from pitcrew.domain.climb.clearance import past_clearances
from pitcrew.domain.logbook.doors import own_losses
from pitcrew.domain.logbook.moment import moment_now
from pitcrew.domain.logbook.state import State
from pitcrew.pit.continuity import doubt_of
from pitcrew.pit.folder import LOGBOOK, pit_keys, read_definitions
from pitcrew.pit.heads import HeadFile, Kept, compare
from pitcrew.pit.relay import adopted_lines
from pitcrew.pit.roster import Roster
from pitcrew.storage.journal import ReadLog
from pitcrew.storage.lines import collector_resting
from pitcrew.storage.lock import read_holder
from pitcrew.storage.opening import read_records
from pitcrew.storage.torn import may_have_been

TRIES, PAUSE = 20, 0.05
"""How often, and seconds between, the log is read again while a server writes into it."""


@dataclass(frozen=True)
class Verification:
    """What verifying found: lines to print, and whether something is wrong."""

    lines: list[str]
    bad: bool


def verify_folder(folder: Path, head: str | None = None) -> Verification:
    """Check the logbook of a folder, beside a running server if there is one. Raises Missing and
    Damaged."""
    with collector_resting():
        return _verified(folder, head)


def _verified(folder: Path, head: str | None) -> Verification:
    key, _ = pit_keys(folder)
    heads = HeadFile(folder, folder / LOGBOOK)
    kept, mark = heads.read(), heads.mark()
    read = _read_at_rest(folder)
    if bad := first_bad(key, read.records):
        return Verification([*read.report, bad], True)
    files = read_definitions(folder)
    again = Recheck(files, State(files.settings["zone"], Roster(folder, system_clock).role_of))
    again.walk(read.records)
    if bad := again.wrong or (_check_head(read.records, head) if head else ""):
        return Verification([*read.report, bad], True)
    if read_holder(folder) is None:
        again.state.doubt, again.state.doubted_to = doubt_of(kept, mark, read), again.state.head
    lost = [*_cut(folder, read, again.state), *_behind(kept, read)]
    holds = (
        f"{len(read.records)} entries hold. Head: {head_text(again.state.head, again.state.seal)}"
    )
    told = [f"Entry {fact.seq}: {loss_text(fact.body)}" for fact in own_losses(again.state.losses)]
    return Verification(
        [*read.report, *_clearances(again), *told, *lost, holds, *adopted_lines(read.records)],
        bool(lost),
    )


def _read_at_rest(folder: Path) -> ReadLog:
    """The log; where a running server is just writing its end, a moment later."""
    read = read_records(folder / LOGBOOK)
    for _ in range(TRIES if read.end and read_holder(folder) is not None else 0):
        time.sleep(PAUSE)
        read = read_records(folder / LOGBOOK)
        if not read.end:
            break
    return read


def _cut(folder: Path, read: ReadLog, state: State) -> list[str]:
    """Lines that are cut or that a start has cut, with what each may have been; a write that was
    never finished is told, too, while it is in the log."""
    aside = f"{LOGBOOK}.cut"
    found = [
        f"The start that wrote entry {fact.seq} cut a line, which {aside} keeps: {fact.body.lost}."
        f" Enter it again, or let the phone that holds it bring it back; then remove {aside}."
        for fact in own_losses(state.losses)
        if fact.body.what == "cut" and (folder / aside).exists()
    ]
    if read.cut:
        found.append(
            f"The line after entry {len(read.records)} is damaged: {read.cut}. It may have been"
            " acknowledged, so an entry is lost, and no signature before it counts."
        )
    elif read.end:
        found.append(
            f"The line after entry {len(read.records)} has no end: {may_have_been(read.end)}. A"
            " crash or a full disk cut the write short; it was never acknowledged, and no"
            " signature ends by it. The next start cuts it."
        )
    return found


def _behind(kept: Kept | None, read: ReadLog) -> list[str]:
    """What the head that this laptop kept beside the log says against it."""
    found = compare(kept, None, read.log, read.records)
    if found.what in ("", "unsure"):
        return []
    return [
        loss_text(read_body("loss", {"what": found.what, "held": found.held, "here": found.here}))
    ]


def _clearances(again: Recheck) -> list[str]:
    """Every clearance, worked out from the first entry on: who decided, what became of it, and
    which entry ended it."""
    now = system_clock()
    past = past_clearances(moment_now(in_force(again.files, again.state), again.state, now))
    return [
        f"Clearance of entry {item.fact.seq}, {item.fact.person}: {item.state}. {item.why}".strip()
        for item in reversed(past)
        if item.fact
    ]


def _check_head(records: list[dict[str, Any]], head: str) -> str:
    seq, digits = read_head(head)
    if seq > len(records):
        return (
            f"The log ends at entry {len(records)}, before the head {head}: its tail was cut, or it"
            " is another log."
        )
    if seq < 1 or not str(records[seq - 1]["seal"]).startswith(digits):
        return (
            f"Entry {seq} does not carry the seal of the head {head}: the log was rewritten, or it"
            " is another log."
        )
    return ""
