"""Match runs: `event/match/run`, one start of one match, folded from its schedule facts; and the
order of play."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Any, Protocol

from pitcrew.base.clock import event_day, read_time
from pitcrew.base.errors import BadInput
from pitcrew.domain.logbook.facts import Fact

EARLIEST = timedelta(minutes=21)
"""The furthest before its printed time that a match was counted to start (open schedule data of 10
events)."""


@dataclass(frozen=True)
class Run:
    """One start of one match. `ours` is our station, empty where we do not play; times are UTC,
    None where unknown."""

    id: str
    event: str
    match: str
    number: int
    label: str
    planned: datetime | None = None
    actual: datetime | None = None
    ours: str = ""
    stations: Mapping[str, Sequence[str]] = field(default_factory=dict)
    cancelled: bool = False
    place: int | None = None
    """The place in the order of play that a person gave it; decides between equal times."""

    @property
    def name(self) -> str:
        """The run for people: `Match 31`, or the list's own words; with its number where it is not
        the match's first start."""
        name = f"Match {self.label}" if self.label[:1].isdigit() else self.label
        return name if self.number == 1 else f"{name}, run {self.number}"


class HasRuns(Protocol):
    """What the order of play needs of the state."""

    zone: str
    runs: dict[str, Run]
    returned: list[Fact]
    debriefs: list[Fact]


def fold_run(run_id: str, facts: Iterable[Fact]) -> tuple[Run, list[tuple[str, str]]]:
    """A run from its facts in order (a field left out keeps what was known), and (entry id,
    sentence) of bad times."""
    known: dict[str, Any] = {}
    problems = []
    for fact in facts:
        body = fact.body
        for name in ("planned", "actual"):
            text = getattr(body, name)
            try:
                known[name] = known.get(name) if text is None else read_time(text) if text else None
            except BadInput as error:
                problems.append((fact.id, f"{name}: {error.sentence} The earlier time is kept."))
        for name in ("stations", "ours", "cancelled", "label", "order"):
            value = getattr(body, name)
            known[name] = known.get(name) if value is None else value
    event, match, number = run_id.split("/")
    run = Run(
        id=run_id,
        event=event,
        match=match,
        number=int(number) if number.isdecimal() else 1,
        label=known.get("label") or match,
        planned=known.get("planned"),
        actual=known.get("actual"),
        ours=known.get("ours") or "",
        stations=known.get("stations") or {},
        cancelled=bool(known.get("cancelled")),
        place=known.get("order"),
    )
    return run, problems


@lru_cache(maxsize=4096)
def natural(text: str) -> tuple[tuple[int, int | str], ...]:
    """A sort key by which `10` comes after `9`; capitals and blanks do not matter."""
    return tuple(
        (0, int(piece)) if piece.isdecimal() else (1, piece.strip().casefold())
        for piece in re.findall(r"\d+|\D+", text)
    )


def starts_of(state: HasRuns) -> dict[str, datetime]:
    """When each run with a known time started or will start, by id: `likely_starts`, but a run that
    came back, or that the drive team reported on, never starts after that.

    A match may be played much earlier than printed, and no one presses a button at its start.
    """
    starts = likely_starts(state.runs.values(), state.zone)
    for fact in (*state.returned, *state.debriefs):
        if fact.match in starts:
            starts[fact.match] = min(starts[fact.match], fact.at)
    return starts


def likely_starts(runs: Iterable[Run], zone: str) -> dict[str, datetime]:
    """When each run with a known time started or will start only by the field's delay, by id.

    The delay of the run that started last moves the runs printed after it on the same event day,
    and no others: a match put off overnight says nothing about the next day's printed times. Never
    more than EARLIEST before print.
    """
    dated = [run for run in runs if run.planned or run.actual]
    last: dict[str, Run] = {}
    for run in dated:
        if run.actual and run.planned:
            day = event_day(run.planned, zone)
            if day not in last or run.actual > _actual(last[day]):
                last[day] = run
    return {
        run.id: run.actual or _moved(run, last.get(event_day(_planned(run), zone))) for run in dated
    }


def runs_in_order(state: HasRuns) -> list[Run]:
    """All runs in order of play: by real or likely start, then place, then number-aware label;
    undated ones last."""
    starts = starts_of(state)

    def key(run: Run) -> tuple[Any, ...]:
        start = starts.get(run.id)
        place = run.place if run.place is not None else 1 << 30
        return (
            start is None,
            start.timestamp() if start else 0.0,
            place,
            natural(run.match),
            run.number,
        )

    return sorted(state.runs.values(), key=key)


def replay_of(run: Run, state: HasRuns) -> Run:
    """The next start of the same match: the run after the last one that is known, with no times
    yet."""
    last = max(
        (
            other.number
            for other in state.runs.values()
            if (other.event, other.match) == (run.event, run.match)
        ),
        default=0,
    )
    return replace(
        run,
        id=f"{run.event}/{run.match}/{last + 1}",
        number=last + 1,
        planned=None,
        actual=None,
        place=None,
    )


def delay_of(run: Run) -> timedelta:
    """How much later than printed a run started; zero where a time is not known."""
    return run.actual - run.planned if run.actual and run.planned else timedelta()


def _moved(run: Run, last: Run | None) -> datetime:
    planned = _planned(run)
    moves = last is not None and last.planned is not None and planned >= last.planned
    return planned + max(delay_of(last), -EARLIEST) if last and moves else planned


def _planned(run: Run) -> datetime:
    assert run.planned is not None
    return run.planned


def _actual(run: Run) -> datetime:
    assert run.actual is not None
    return run.actual
