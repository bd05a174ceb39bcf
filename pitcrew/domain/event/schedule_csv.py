"""Match lists from CSV with a header: match name, date and time, stations in any order. What is not
understood is reported by row."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from pitcrew.base.errors import BadInput
from pitcrew.domain.event.localtime import day_comes_first, read_local
from pitcrew.domain.logbook.schedule import ScheduleRow

LARGEST_LIST = 2_000
_MATCH_WORDS = {
    "match",
    "match name",
    "match number",
    "match no",
    "match nr",
    "name",
    "number",
    "no",
    "nr",
    "#",
    "game",
}
_TIME_WORDS = {
    "time",
    "start",
    "start time",
    "scheduled",
    "scheduled time",
    "planned",
    "planned time",
    "planned start",
    "begin",
    "date and time",
    "date time",
    "datetime",
    "match time",
}
_DATE_WORDS = {"date", "day", "match date"}
_STATION = re.compile(r"(station|position|team|red|blue|alliance|side|left|right|r|b)?\s*\d{0,2}")
OURS = "ours"
"""Stands for our station where a list names no stations, which makes every match of it ours."""


@dataclass(frozen=True)
class RowProblem:
    """What of a list was not understood, and where: the row as a spreadsheet counts it, the header
    being row 1."""

    row: int
    text: str

    @property
    def sentence(self) -> str:
        """The problem for a person, with its row."""
        return f"Row {self.row}: {self.text}"


@dataclass
class _Columns:
    """Which column of the list holds what."""

    match: int | None = None
    date: int | None = None
    time: int | None = None
    stations: dict[int, str] = field(default_factory=dict)


def read_schedule(
    text: str, event: str, zone: str, team: str
) -> tuple[list[ScheduleRow], list[RowProblem]]:
    """The matches of a list, and what in it was not understood. Times are local to `zone`; an empty
    list gives nothing.

    `team` finds our station; capitals do not matter in a team's code, which is shown as written.
    """
    problems: list[RowProblem] = []
    lines = list(_lines(text, problems))
    if not lines:
        return [], problems
    columns = _read_header(*lines[0], problems)
    if columns is None:
        return [], problems
    reader = _Reader(
        event,
        zone,
        team,
        columns,
        day_comes_first(cell for _, cells in lines for cell in cells),
        problems,
    )
    rows: dict[str, ScheduleRow] = {}
    for number, cells in lines[1:]:
        row = reader.read(number, cells)
        if row is None:
            continue
        first = rows.setdefault(row.run.casefold(), row)
        if first is not row:
            same = (first.planned, first.stations) == (row.planned, row.stations)
            why = "with the same content" if same else "with other content; the first is used"
            problems.append(
                RowProblem(number, f"the match {row.label} stands in row {first.row} too, {why}.")
            )
    return list(rows.values()), problems


def _lines(text: str, problems: list[RowProblem]) -> Iterator[tuple[int, list[str]]]:
    """The rows that hold anything, stripped, with their numbers."""
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    number = 0
    try:
        for cells in reader:
            number += 1
            stripped = [" ".join(cell.split()) for cell in cells]
            if not any(stripped):
                continue
            if number > LARGEST_LIST:
                problems.append(
                    RowProblem(
                        number, f"a list holds at most {LARGEST_LIST} rows; the rest was left out."
                    )
                )
                return
            yield number, stripped
    except csv.Error as error:
        problems.append(
            RowProblem(number + 1, f"this is not CSV ({error}); the list was read up to here.")
        )


def _read_header(number: int, cells: list[str], problems: list[RowProblem]) -> _Columns | None:
    columns = _Columns()
    for place, cell in enumerate(cells):
        words = re.sub(r"[\s_/.-]+", " ", cell.casefold()).strip()
        if words in _MATCH_WORDS and columns.match is None:
            columns.match = place
        elif words in _TIME_WORDS and columns.time is None:
            columns.time = place
        elif words in _DATE_WORDS and columns.date is None:
            columns.date = place
        elif words and _STATION.fullmatch(words):
            columns.stations[place] = cell
        elif words:
            problems.append(
                RowProblem(number, f"the column {cell!r} is not understood and is left out.")
            )
    if columns.time is None:
        columns.time, columns.date = columns.date, None
    if columns.match is None:
        wanted = "Wanted a header such as: match, date, time, red 1, red 2, blue 1"
        problems.append(RowProblem(number, f"no column is named match. {wanted}."))
        return None
    if columns.time is None:
        problems.append(
            RowProblem(number, "no column is named time; the matches are listed without one.")
        )
    if not columns.stations:
        problems.append(
            RowProblem(
                number, "no column names a station (such as red 1); every match is taken as ours."
            )
        )
    return columns


@dataclass
class _Reader:
    """Reads the rows of one list."""

    event: str
    zone: str
    team: str
    columns: _Columns
    day_first: bool | None
    problems: list[RowProblem]

    def read(self, number: int, cells: list[str]) -> ScheduleRow | None:
        """A row as a match; None, with what is wrong noted, where it cannot be used."""
        name = _cell(cells, self.columns.match)
        if not name:
            self._say(number, "the match has no name; the row is left out.")
            return None
        try:
            planned = self._planned(number, cells)
        except BadInput as error:
            self._say(number, f"{error.sentence} The row is left out.")
            return None
        stations = self._stations(number, cells)
        run = f"{self.event}/{name.replace('/', '-')}/1"
        return ScheduleRow(run, name, planned, stations, self._ours(number, stations), number)

    def _planned(self, number: int, cells: list[str]) -> datetime | None:
        text, beside = _cell(cells, self.columns.time), _cell(cells, self.columns.date)
        if not text:
            if self.columns.time is not None:
                self._say(number, "the match has no time; it is listed without one.")
            return None
        planned, remark = read_local(text, beside, self.zone, self.day_first)
        if remark:
            self._say(number, remark)
        return planned

    def _stations(self, number: int, cells: list[str]) -> dict[str, list[str]]:
        stations: dict[str, list[str]] = {}
        seen: dict[str, str] = {}
        for place, station in self.columns.stations.items():
            for team in re.split(r"[,;&+\s]+", _cell(cells, place)):
                if not team:
                    continue
                if fold_team(team) in seen:
                    self._say(
                        number,
                        f"the team {seen[fold_team(team)]} stands twice ({station}: {team}); shown"
                        " once.",
                    )
                    continue
                seen[fold_team(team)] = team
                stations.setdefault(station, []).append(team)
        return stations

    def _ours(self, number: int, stations: Mapping[str, list[str]]) -> str:
        if not self.columns.stations:
            return OURS
        wanted = fold_team(self.team)
        return next(
            (
                name
                for name, teams in stations.items()
                if wanted and wanted in map(fold_team, teams)
            ),
            "",
        )

    def _say(self, number: int, text: str) -> None:
        self.problems.append(RowProblem(number, text))


def fold_team(code: str) -> str:
    """A team's code for comparing: without capitals, `team`, `#` and the star of a stand-in."""
    return code.casefold().removeprefix("team").strip(" #*")


def _cell(cells: list[str], place: int | None) -> str:
    return cells[place] if place is not None and place < len(cells) else ""
