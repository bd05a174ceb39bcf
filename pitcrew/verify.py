"""Verifying a pit folder: every seal, the order and every verdict from the first entry, what became of each clearance, and a head
kept elsewhere."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pitcrew.clock import system_clock
from pitcrew.domain.clearance import past_clearances
from pitcrew.domain.recheck import first_wrong_verdict
from pitcrew.domain.schedule import next_run
from pitcrew.folder import LOGBOOK, pit_keys
from pitcrew.pit import glance_at
from pitcrew.relay import adopted_lines
from pitcrew.seal import first_bad, head_text, read_head
from pitcrew.storage.opening import ReadLog, read_records


@dataclass(frozen=True)
class Report:
    """What verifying found: lines to print, and whether something is wrong."""

    lines: list[str]
    bad: bool


def verify_folder(folder: Path, head: str | None = None) -> Report:
    """Check the logbook of a folder, beside a running server if there is one. Raises Missing and Damaged."""
    key, _ = pit_keys(folder)
    read = read_records(folder / LOGBOOK)
    found = first_bad(key, read.records) or first_wrong_verdict(read.records)
    if found:
        return Report([*read.report, found], True)
    if head is not None:
        missing = _check_head(read.records, head)
        if missing:
            return Report([*read.report, missing], True)
    head_now = head_text(read.records[-1]["seq"], read.records[-1]["seal"]) if read.records else head_text(0, "")
    holds = f"{len(read.records)} entries hold. Head: {head_now}"
    return Report([*read.report, *_clearances(folder, read), holds, *adopted_lines(read.records)], False)


def _clearances(folder: Path, read: ReadLog) -> list[str]:
    """Every clearance, worked out again from the first entry on: who decided, and what it is worth now."""
    if not any(record.get("kind") == "clearance" for record in read.records):
        return []
    seen, now = glance_at(folder, read), system_clock()
    past = past_clearances(seen.definitions, seen.state, now, next_run(seen.state, now))
    return [
        f"Clearance of entry {item.fact.seq}, {item.fact.person}: {item.state}. {item.why}".strip() for item in reversed(past) if item.fact
    ]


def _check_head(records: list[dict[str, Any]], head: str) -> str | None:
    seq, digits = read_head(head)
    if seq > len(records):
        return f"The log ends at entry {len(records)}, before the head {head}: its tail was cut, or it is another log."
    if seq < 1 or not str(records[seq - 1]["seal"]).startswith(digits):
        return f"Entry {seq} does not carry the seal of the head {head}: the log was rewritten, or it is another log."
    return None
