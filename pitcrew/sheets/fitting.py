"""Fitting a sheet onto two pages: how high each section prints, estimated from its text, and which
rows are left out."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pitcrew.domain.climb.lowering import LoweringCard
from pitcrew.domain.climb.picture import PathPicture, PathRow
from pitcrew.sheets.sections import Row, Section

ROOM = {"A4": 375.0, "Letter": 340.0}
"""What two pages hold besides head, readiness and foot, in mm, with a reserve for page breaks."""
LINE, GAP, HEADING, GAUGE = 4.1, 1.2, 9.0, 27.0
"""Heights in mm: a line of text, the space around a row, a section's heading with its space, a rank
of three gauges."""
WHAT, SAID, BY, TICKED, SHORT = 30, 54, 20, 48, 54
"""How many letters fit on a line of each column, on the wide side."""


BAR_ROW, PLAIN_ROW, PATH_REST, BESIDE = 9.2, 7.2, 56.0, 85.0
"""Heights in mm of a link with a bar, of one without, of what else the hold path draws, and of what
is beside it anyway."""
SAID_OF_LINK = 60
"""How many letters fit on a line under a link."""
STEP = 30
"""How many letters fit on a line of the lowering card's three columns."""


def fitted(
    sections: Sequence[Section], paper: str, taken: float = 0.0, beside: str = ""
) -> tuple[Section, ...]:
    """The sections with so many rows left out, always from the highest section, that they fit; each
    tells how many.

    `taken` is what else is on the pages, in mm; the section `beside` it takes no room of its
    own.
    """
    found = list(sections)
    while sum(height(item) for item in found if item.name != beside) > ROOM[paper] - taken:
        spare = [item for item in found if item.name != beside and len(item.rows) > 1]
        if not spare:
            break
        highest = max(spare, key=_spare)
        found[found.index(highest)] = replace(
            highest, rows=highest.rows[:-1], more=highest.more + 1
        )
    return tuple(found)


def path_height(picture: PathPicture) -> float:
    """By how much the hold path prints higher than the robot map in its place, in mm."""
    return max(0.0, PATH_REST + sum(map(_link, picture.all)) - BESIDE)


def lowering_height(card: LoweringCard) -> float:
    """How high the lowering card prints, in mm."""
    columns = (card.steps, card.own, (*card.people, *card.people))
    lines = max(sum(ceil(len(text) / STEP) for text in column) for column in columns)
    return HEADING + (4 + lines) * LINE


def height(section: Section) -> float:
    """How high a section prints, in mm."""
    more = LINE if section.more else 0.0
    if section.name == "near":
        return HEADING + more + ceil(len(section.rows) / 3) * GAUGE
    if section.name == "due":
        return HEADING + more + sum(_ticked(row) for row in section.rows) / 2 + LINE
    if section.name == "climb-readings":
        return HEADING + more + sum(_short(row) for row in section.rows) / 2 + LINE
    return HEADING + more + sum(_row(row) for row in section.rows)


def _row(row: Row) -> float:
    lines = max(
        ceil(len(text) / letters)
        for text, letters in ((row.what, WHAT), (row.said, SAID), (row.by, BY))
    )
    return max(lines, 1) * LINE + GAP


def _ticked(row: Row) -> float:
    return ceil((len(row.what) + len(row.said)) / TICKED) * LINE + GAP


def _link(row: PathRow) -> float:
    said = sum(map(len, (*row.measured[:3], *row.stated[:3], *row.assumed, *row.not_stated)))
    lines = ceil(said / SAID_OF_LINK) - (1 if row.factor else 0)
    return (BAR_ROW if row.factor else PLAIN_ROW) + max(lines, 0) * LINE


def _short(row: Row) -> float:
    return ceil((len(row.what) + len(row.said) + len(row.by)) / SHORT) * LINE + GAP


def _spare(section: Section) -> float:
    """Which section gives up a row first: the highest, but what the climb hangs on last."""
    return height(section) * (0.25 if section.name == "climb-readings" else 1.0)
