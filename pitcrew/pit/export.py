"""The logbook for other programs: a row an entry as CSV or JSON Lines, and the dictionary of the
columns beside it."""

import csv
import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import msgspec

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import Entry
from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.base.kinds import BODIES
from pitcrew.domain.logbook.facts import Fact, ReadingFact, corrected
from pitcrew.domain.logbook.state import State
from pitcrew.pit.pit import glance

COLUMNS: dict[str, tuple[str, str]] = {
    "seq": ("1", "the entry's number in this pit's log"),
    "id": ("UUID", "made where the entry was made; never changes"),
    "kind": ("word", "one of: " + ", ".join(BODIES)),
    "happened_at": ("ISO 8601, UTC", "when it happened: `at` corrected by the measured `offset`"),
    "at": ("ISO 8601, UTC", "as the maker's clock showed it"),
    "received_at": ("ISO 8601, UTC", "when the laptop received it"),
    "offset": ("s", "how far the maker's clock was slow; empty where it was not measured"),
    "person": ("text", "who made it"),
    "device": ("text", "on which device"),
    "robot": ("name", "the robot that it concerns; empty for none"),
    "match": ("event/match/run", "the match run that it names; empty for none"),
    "in_force": (
        "yes/no",
        (
            "no for what a correction took out or cannot be read; the body is as corrected where"
            " it was"
        ),
    ),
    "part": ("id", "the part of the build sheet"),
    "check": ("id", "the check of a reading or a skip"),
    "result": ("SI", "the number that a reading came to, in `result_unit`"),
    "result_unit": ("unit", "the SI unit of `result`"),
    "stop_low": ("SI", "limit that the reading was judged by: below it is stop; empty for none"),
    "watch_low": ("SI", "below it is watch"),
    "watch_high": ("SI", "above it is watch"),
    "stop_high": ("SI", "above it is stop"),
    "verdict": ("word", "ok, watch, stop or unjudged: the verdict that stands"),
    "grade": ("word", "of a fault: stop, degraded or watch"),
    "to": ("word", "of a move: where the fault or battery went"),
    "fault": ("id", "the fault that a move concerns"),
    "text": ("text", "the words of it: symptom, why, what, text or note"),
    "body": ("JSON", "everything that the entry says; its fields by kind stand below"),
}
TEXTS = {
    "entries.csv": "text/csv",
    "entries.jsonl": "application/jsonl",
    "entries.dictionary.md": "text/markdown",
}
WORDS = ("symptom", "why", "what", "text", "note", "how", "new")
_DANGEROUS = ("=", "+", "-", "@", "\t", "\r")


def export_text(name: str, state: State) -> str:
    """One of TEXTS. Raises UnknownName."""
    if name not in TEXTS:
        raise UnknownName("The export", name, TEXTS, "name")
    writers: dict[str, Callable[[State], str]] = {"entries.csv": as_csv, "entries.jsonl": as_lines}
    return writers[name](state) if name in writers else dictionary()


def write_export(state: State, output: Path) -> list[Path]:
    """Write `FILE.csv` or `FILE.jsonl`, and `FILE.dictionary.md` beside it. Raises BadInput for
    another ending or a bad place."""
    writers: dict[str, Callable[[State], str]] = {".csv": as_csv, ".jsonl": as_lines}
    if output.suffix not in writers:
        raise BadInput(
            f"{output} ends in {output.suffix or 'nothing'}; wanted .csv or .jsonl.", "FILE"
        )
    beside = output.with_suffix(".dictionary.md")
    try:
        output.write_text(writers[output.suffix](state), encoding="utf-8", newline="")
        beside.write_text(dictionary(), encoding="utf-8")
    except OSError as error:
        raise BadInput(
            f"{output} cannot be written ({error.strerror}). Name another file.", "FILE"
        ) from None
    return [output, beside]


def rows(state: State) -> Iterator[dict[str, Any]]:
    """Every entry as it stands, in order of the log, under the names of COLUMNS."""
    for entry in sorted(state.entries_by_id.values(), key=lambda entry: entry.seq):
        yield row(entry, state.facts.get(entry.id))


def row(entry: Entry, fact: Fact | None) -> dict[str, Any]:
    """One entry; `fact` is None where it is not in force."""
    body = fact.entry.body if fact else entry.body
    known = dict.fromkeys(COLUMNS) | {
        "seq": entry.seq,
        "id": entry.id,
        "kind": entry.kind,
        "happened_at": format_instant(fact.at if fact else corrected(entry)),
        "at": entry.at,
        "received_at": entry.received_at,
        "offset": entry.offset,
        "person": entry.person,
        "device": entry.device,
        "robot": entry.robot,
        "match": entry.match,
        "in_force": fact is not None or entry.kind == "correction",
        "text": next(
            (body[name] for name in WORDS if isinstance(body.get(name), str) and body[name]), None
        ),
        "body": body,
    }
    known |= {
        name: body[name]
        for name in ("part", "check", "grade", "to", "fault")
        if isinstance(body.get(name), str)
    }
    if isinstance(fact, ReadingFact):
        limit = fact.limit or {}
        bounds = {
            name: limit.get(name) for name in ("stop_low", "watch_low", "watch_high", "stop_high")
        }
        known |= {
            "result": fact.result,
            "verdict": fact.verdict,
            "result_unit": limit.get("unit"),
            **bounds,
        }
    return known


def as_lines(state: State) -> str:
    """JSON Lines: one object an entry."""
    return "".join(msgspec.json.encode(item).decode() + "\n" for item in rows(state))


def as_csv(state: State) -> str:
    """CSV as RFC 4180 has it, in UTF-8. No cell can run as a formula: a text that begins like one
    is led by an apostrophe."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for item in rows(state):
        writer.writerow([cell(item[name]) for name in COLUMNS])
    return out.getvalue()


def cell(value: Any) -> Any:
    """A value as a cell: numbers stay numbers, texts cannot be formulas."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    text = value if isinstance(value, str) else msgspec.json.encode(value).decode()
    return (
        f"'{text}"
        if text.lstrip(" ").startswith(_DANGEROUS) or text.startswith(_DANGEROUS)
        else text
    )


def dictionary() -> str:
    """What each column means, with its unit, and the fields of each kind's body, as Markdown."""
    lines = [
        "# What the columns mean",
        "",
        (
            "One row is one entry of the logbook, in the order in which the pit's laptop numbered"
            " them."
        ),
        "In CSV, an apostrophe leads a text that a spreadsheet would take for a formula.",
        "",
        "| column | unit or form | meaning |",
        "|---|---|---|",
    ]
    lines += [f"| `{name}` | {unit} | {meaning} |" for name, (unit, meaning) in COLUMNS.items()]
    lines += [
        "",
        "## Fields of `body` by kind",
        "",
        "| kind | fields (in brackets where they may be missing) |",
        "|---|---|",
    ]
    for kind, body in BODIES.items():
        names = [
            field.encode_name if field.required else f"[{field.encode_name}]"
            for field in msgspec.structs.fields(body)
        ]
        lines.append(f"| `{kind}` | {', '.join(names)} |")
    return "\n".join(lines) + "\n"


def export_folder(folder: Path, output: Path) -> list[Path]:
    """Write a pit folder's export, read beside a running server. Raises Missing, Damaged and
    BadInput."""
    return write_export(glance(folder).state, output)
