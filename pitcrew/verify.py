"""Verifying a pit folder: every seal and the order from the first entry, and a head kept elsewhere."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pitcrew.folder import LOGBOOK, pit_keys
from pitcrew.relay import adopted_lines
from pitcrew.seal import first_bad, head_text, read_head
from pitcrew.storage.opening import read_records


@dataclass(frozen=True)
class Report:
    """What verifying found: lines to print, and whether something is wrong."""

    lines: list[str]
    bad: bool


def verify_folder(folder: Path, head: str | None = None) -> Report:
    """Check the logbook of a folder, beside a running server if there is one. Raises Missing and Damaged."""
    key, _ = pit_keys(folder)
    read = read_records(folder / LOGBOOK)
    found = first_bad(key, read.records)
    if found:
        return Report([*read.report, found], True)
    if head is not None:
        missing = _check_head(read.records, head)
        if missing:
            return Report([*read.report, missing], True)
    head_now = head_text(read.records[-1]["seq"], read.records[-1]["seal"]) if read.records else head_text(0, "")
    return Report([*read.report, f"{len(read.records)} entries hold. Head: {head_now}", *adopted_lines(read.records)], False)


def _check_head(records: list[dict[str, Any]], head: str) -> str | None:
    seq, digits = read_head(head)
    if seq > len(records):
        return f"The log ends at entry {len(records)}, before the head {head}: its tail was cut, or it is another log."
    if seq < 1 or not str(records[seq - 1]["seal"]).startswith(digits):
        return f"Entry {seq} does not carry the seal of the head {head}: the log was rewritten, or it is another log."
    return None
