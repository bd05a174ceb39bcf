"""Fitting a sheet onto two pages: how high each section prints, estimated from its text, and which rows are left out."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pitcrew.sheets.sections import Row, Section

ROOM = {"A4": 375.0, "Letter": 340.0}
"""What two pages hold besides head, readiness and foot, in mm, with a reserve for page breaks."""
LINE, GAP, HEADING, GAUGE = 4.1, 1.2, 9.0, 27.0
"""Heights in mm: a line of text, the space around a row, a section's heading with its space, a rank of three gauges."""
WHAT, SAID, BY, TICKED = 30, 54, 20, 48
"""How many letters stand on a line of each column, on the wide side."""


def fitted(sections: Sequence[Section], paper: str) -> tuple[Section, ...]:
    """The sections with so many rows left out, always from the highest section, that they fit; each tells how many."""
    found = list(sections)
    while sum(map(height, found)) > ROOM[paper]:
        highest = max(found, key=height)
        if len(highest.rows) < 2:
            break
        found[found.index(highest)] = replace(highest, rows=highest.rows[:-1], more=highest.more + 1)
    return tuple(found)


def height(section: Section) -> float:
    """How high a section prints, in mm."""
    more = LINE if section.more else 0.0
    if section.name == "near":
        return HEADING + more + ceil(len(section.rows) / 3) * GAUGE
    if section.name == "due":
        return HEADING + more + sum(_ticked(row) for row in section.rows) / 2 + LINE
    return HEADING + more + sum(_row(row) for row in section.rows)


def _row(row: Row) -> float:
    lines = max(ceil(len(text) / letters) for text, letters in ((row.what, WHAT), (row.said, SAID), (row.by, BY)))
    return max(lines, 1) * LINE + GAP


def _ticked(row: Row) -> float:
    return ceil((len(row.what) + len(row.said)) / TICKED) * LINE + GAP
