"""The schedule: which runs are over, which is next for us, when it will start, and what an imported
list changes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.domain.logbook.runs import EARLIEST, HasRuns, Run, delay_of, runs_in_order, starts_of

__all__ = [
    "Outlook",
    "Run",
    "ScheduleRow",
    "next_run",
    "outlook",
    "played_runs",
    "runs_in_order",
    "runs_to_come",
    "schedule_entries",
]

LATE = timedelta(minutes=40)
"""A run whose start no one recorded counts as played this long after its likely start: 90 % of the
counted starts came at most 37 min after the printed time (open schedule data of 10 events)."""


@dataclass(frozen=True)
class Outlook:
    """When a run will start. `earliest`: be ready from here on; `runs_before`: listed runs that are
    still to start before it."""

    run: Run
    expected: datetime | None
    earliest: datetime | None
    delay: timedelta
    runs_before: int


def played_runs(state: HasRuns, now: datetime) -> list[tuple[Run, datetime]]:
    """Our runs that are over or under way, in order of play, each with its real or likely start."""
    starts = starts_of(state)
    return [
        (run, starts[run.id]) for run in _split(state, now, starts, True)[0] if run.id in starts
    ]


def runs_to_come(state: HasRuns, now: datetime, ours_only: bool = True) -> list[Run]:
    """The runs that have not started yet, in order of play."""
    return _split(state, now, starts_of(state), ours_only)[1]


def next_run(state: HasRuns, now: datetime, ours_only: bool = True) -> Run | None:
    """The run that starts next, ours unless stated otherwise; None when the list holds no more."""
    coming = runs_to_come(state, now, ours_only)
    return coming[0] if coming else None


def outlook(state: HasRuns, now: datetime, run: Run) -> Outlook:
    """When a run will start, moved by the live delay of the field."""
    starts = starts_of(state)
    expected = starts.get(run.id)
    coming = [item.id for item in _split(state, now, starts, False)[1]]
    before = coming.index(run.id) if run.id in coming else 0
    if run.planned is None or expected is None:
        return Outlook(run, expected, expected, delay_of(run), before)
    delay = expected - run.planned
    return Outlook(
        run,
        expected,
        run.planned - EARLIEST if delay <= timedelta() else run.planned,
        delay,
        before,
    )


def _split(
    state: HasRuns, now: datetime, starts: Mapping[str, datetime], ours_only: bool
) -> tuple[list[Run], list[Run]]:
    """Runs that are over or under way, and those to come. A run before one that has started is over
    too."""
    ended = {fact.match for fact in (*state.returned, *state.debriefs)}
    runs = [
        run for run in runs_in_order(state) if not run.cancelled and (run.ours or not ours_only)
    ]

    def over(run: Run) -> bool:
        start = starts.get(run.id)
        return (
            run.actual is not None or run.id in ended or (start is not None and start + LATE < now)
        )

    last = max(
        (place for place, run in enumerate(runs) if run.id in starts and over(run)), default=-1
    )
    past = [run for place, run in enumerate(runs) if place <= last or over(run)]
    return past, [run for place, run in enumerate(runs) if place > last and not over(run)]


@dataclass(frozen=True)
class ScheduleRow:
    """One match of an imported list: its run, the name as given, the planned start in UTC, teams by
    station, our station."""

    run: str
    label: str
    planned: datetime | None
    stations: Mapping[str, Sequence[str]] = field(default_factory=dict)
    ours: str = ""
    row: int = 0


def schedule_entries(
    rows: Iterable[ScheduleRow], state: HasRuns
) -> list[tuple[str, dict[str, Any]]]:
    """The `match_run` bodies that bring the schedule to an imported list: only what differs, so the
    same list gives none.

    A run whose id differs only in capitals is the same run; what the list does not tell stays as
    it is.
    """
    known = {run_id.casefold(): run for run_id, run in state.runs.items()}
    changes = []
    for row in rows:
        run = known.get(row.run.casefold())
        body = _differences(row, run)
        if body or run is None:
            changes.append((run.id if run else row.run, body))
    return changes


def _differences(row: ScheduleRow, run: Run | None) -> dict[str, Any]:
    body: dict[str, Any] = {}
    stations = {name: list(teams) for name, teams in row.stations.items()}
    if row.planned and (run is None or row.planned != run.planned):
        body["planned"] = format_instant(row.planned)
    if stations and (
        run is None or stations != {name: list(teams) for name, teams in run.stations.items()}
    ):
        body["stations"] = stations
    if stations and row.ours != (run.ours if run else ""):
        body["ours"] = row.ours
    if not stations and row.ours and not (run and run.ours):
        body["ours"] = row.ours
    if row.label != (run.label if run else row.run.split("/")[1]):
        body["label"] = row.label
    return body
