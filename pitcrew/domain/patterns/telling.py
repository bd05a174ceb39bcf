"""Patterns for a terminal and for other programs: one pit folder, or several side by side."""

from collections.abc import Iterator
from typing import Any

from pitcrew.base.units import counted
from pitcrew.domain.patterns.compare import Side, compared, side
from pitcrew.domain.patterns.frequency import exposure_text
from pitcrew.domain.patterns.ranking import Counted
from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.report import Report, as_data, plain, report

MOST = 12


def folders_data(records: dict[str, Record], scope: Scope, ahead: int) -> dict[str, Any]:
    """The report of one folder; of several, `pits` by folder and `compared` with each rate against
    the first folder's."""
    reports = {name: as_data(report(record, scope, ahead)) for name, record in records.items()}
    if len(reports) == 1:
        return next(iter(reports.values()))
    return {"pits": reports, "compared": plain(_sides(records, scope))}


def folders_lines(records: dict[str, Record], scope: Scope, ahead: int) -> list[str]:
    """The same in sentences, the longest lists cut."""
    lines = []
    for name, record in records.items():
        lines += [f"{name}:", ""] if len(records) > 1 else []
        lines += [*report_lines(report(record, scope, ahead)), ""]
    if len(records) > 1:
        lines += [
            "Side by side, the first as the measure:",
            *(f"  {item.name}: {item.sentence}" for item in _sides(records, scope)),
        ]
    return lines


def _sides(records: dict[str, Record], scope: Scope) -> list[Side]:
    return compared([side(record, name, scope) for name, record in records.items()])


def report_lines(found: Report) -> list[str]:
    """One report in sentences."""
    lines = [
        f"{exposure_text(found.exposures[0].amount, 'match')} of ours played. {found.few}".strip(),
        found.betterment.sentence,
    ]
    lines += filter(
        None,
        (
            found.betterment.growth_sentence,
            found.betterment.lately.sentence if found.betterment.lately else "",
        ),
    )
    for title, told in _sections(found):
        rows = list(told)
        if rows:
            lines += ["", title, *(f"  {row}" for row in rows[:MOST])]
            lines += (
                [f"  and {len(rows) - MOST} more (all of them with --json)"]
                if len(rows) > MOST
                else []
            )
    return lines


def _sections(found: Report) -> Iterator[tuple[str, Iterator[str]]]:
    by_part = found.rankings["part"]
    yield "What fails", (_row(row) for row in by_part.rows)
    yield (
        "What comes back",
        (f"{item.label}, {item.words}: {item.sentence}" for item in found.together),
    )
    yield (
        "Did the fix hold?",
        iter(
            [
                *(held.sentence for held in found.holdings),
                *(pair.sentence for pair in found.comparisons),
            ]
        ),
    )
    drifting = (item for item in found.wear if item.tells)
    yield (
        "What wears",
        (
            f"{item.part_check.part.label}, {item.part_check.check.label.lower()}: {item.sentence}"
            for item in drifting
        ),
    )
    faults = [f"Faults: {found.carry.faults.sentence}"] if found.carry.faults else []
    yield (
        "What to carry",
        iter([*faults, *(f"{stock.item}: {stock.sentence}" for stock in found.carry.stocks)]),
    )
    talk = (item for item in found.checks if item.advice != "As it is.")
    yield "Which checks earn their minutes", (f"{item.label}: {item.advice}" for item in talk)
    yield (
        "No check covers",
        (
            f"{item.label}: {counted(len(item.faults), 'fault')} in matches"
            for item in found.uncovered
        ),
    )
    if by_part.sentence:
        yield "How to read this", iter([by_part.sentence])


def _row(row: Counted) -> str:
    marked = " (stands out)" if row.stands_out else ""
    apart = f" And {len(row.outside)} of no match that was played." if row.outside else ""
    return f"{row.label}{marked}: {row.often.sentence}{apart}"
