"""Verifying a pit folder: every seal, the order, every verdict and every clearance from the first entry, and a head kept elsewhere."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.clock import system_clock
from pitcrew.base.seal import first_bad, head_text, read_head
from pitcrew.domain.climb.approved import in_force
from pitcrew.domain.climb.audit import Recheck
from pitcrew.domain.climb.clearance import past_clearances
from pitcrew.domain.logbook.schedule import next_run
from pitcrew.domain.logbook.state import State
from pitcrew.pit.folder import LOGBOOK, pit_keys, read_definitions
from pitcrew.pit.relay import adopted_lines
from pitcrew.pit.roster import Roster
from pitcrew.storage.lines import collector_resting
from pitcrew.storage.opening import read_records


@dataclass(frozen=True)
class Report:
    """What verifying found: lines to print, and whether something is wrong."""

    lines: list[str]
    bad: bool


def verify_folder(folder: Path, head: str | None = None) -> Report:
    """Check the logbook of a folder, beside a running server if there is one. Raises Missing and Damaged."""
    with collector_resting():
        return _verified(folder, head)


def _verified(folder: Path, head: str | None) -> Report:
    key, _ = pit_keys(folder)
    read = read_records(folder / LOGBOOK)
    if bad := first_bad(key, read.records):
        return Report([*read.report, bad], True)
    files = read_definitions(folder)
    again = Recheck(files, State(files.settings["zone"], Roster(folder, system_clock).role_of))
    again.walk(read.records)
    if bad := again.wrong or (_check_head(read.records, head) if head else ""):
        return Report([*read.report, bad], True)
    holds = f"{len(read.records)} entries hold. Head: {head_text(again.state.head, again.state.seal)}"
    return Report([*read.report, *_clearances(again), holds, *adopted_lines(read.records)], False)


def _clearances(again: Recheck) -> list[str]:
    """Every clearance, worked out from the first entry on: who decided, what became of it, and which entry ended it."""
    now = system_clock()
    past = past_clearances(in_force(again.files, again.state), again.state, now, next_run(again.state, now))
    return [
        f"Clearance of entry {item.fact.seq}, {item.fact.person}: {item.state}. {item.why}".strip() for item in reversed(past) if item.fact
    ]


def _check_head(records: list[dict[str, Any]], head: str) -> str:
    seq, digits = read_head(head)
    if seq > len(records):
        return f"The log ends at entry {len(records)}, before the head {head}: its tail was cut, or it is another log."
    if seq < 1 or not str(records[seq - 1]["seal"]).startswith(digits):
        return f"Entry {seq} does not carry the seal of the head {head}: the log was rewritten, or it is another log."
    return ""
