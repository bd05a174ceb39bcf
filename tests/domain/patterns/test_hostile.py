"""Odd histories: nothing, one fault, all in one match, equal times, thousands, matches out of
order, replays, nonsense. Nothing breaks, every number is finite, and few data are said aloud."""

import json
from collections.abc import Callable
from datetime import timedelta
from random import Random

import pytest

from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.report import as_data, report
from pitcrew.domain.patterns.telling import report_lines
from tests.domain.patterns.season import ALL, EVERY, FIRST, Season


def nothing() -> Season:
    return Season(0)


def one_fault() -> Season:
    season = Season(12)
    season.broke(3)
    return season


def all_in_one_match() -> Season:
    season = Season(12)
    for minute in range(8):
        season.closed(season.broke(5, after=minute), minutes=1)
    return season


def all_in_the_only_match() -> Season:
    season = Season(1)
    season.broke(1)
    season.broke(1)
    return season


def equal_times() -> Season:
    season = Season(12)
    for number in (2, 2, 2, 7, 7, 7):
        season.closed(season.broke(number), minutes=0)
    return season


def thousands() -> Season:
    season, random = Season(60), Random(3)
    for _ in range(2500):
        season.closed(
            season.broke(random.randint(1, 60), random.choice(["loose", "bent", "squeals", "hot"])),
            minutes=1,
        )
    return season


def out_of_order() -> Season:
    season = Season(12)
    season.broke(9)
    season.broke(2)
    Random(1).shuffle(season.entries)
    return season


def replays() -> Season:
    season = Season(6)
    for number in (1, 2, 2, 3):
        at = FIRST + EVERY * number + timedelta(minutes=number)
        season.put(
            "match_run",
            {"planned": at.isoformat(), "actual": at.isoformat(), "ours": "red 1"},
            at,
            f"fjord/{number}/2",
        )
    season.broke(2)
    return season


def nonsense() -> Season:
    season = Season(5)
    season.broke(2, "🤖 漢字 =1+1", part="no.such.part")
    season.broke(3, "123 456", event="elsewhere")
    season.broke(4, "")
    season.put(
        "fault_move",
        {"fault": "nobody", "to": "repaired", "parts_used": ["", "x x x", "9999 x nut"]},
        FIRST,
    )
    season.put("merge", {"first": "nobody", "second": "nothing", "same": True}, FIRST)
    season.put("debrief", {"answers": {"climb": True}}, FIRST, "fjord/1/1")
    season.put("battery_move", {"battery": "  ", "to": "robot"}, FIRST)
    season.put("skipped", {"check": "gone", "part": "gone", "why": ""}, FIRST)
    return season


def millions_of_nuts() -> Season:
    season = Season(5)
    for _ in range(120):
        season.closed(season.broke(2), used=["9999 x nut"])
    return season


MADE = (
    millions_of_nuts,
    nothing,
    one_fault,
    all_in_one_match,
    all_in_the_only_match,
    equal_times,
    thousands,
    out_of_order,
    replays,
    nonsense,
)


@pytest.mark.parametrize("make", MADE)
@pytest.mark.parametrize(
    "scope", [ALL, Scope(event="fjord", part="lift"), Scope(season="1999", robot="nobody")]
)
def test_every_number_is_finite_and_few_data_are_said(
    make: Callable[[], Season], scope: Scope
) -> None:
    season = make()
    found = report(
        Record(season.definitions, season.state(), season.end + timedelta(days=1)), scope
    )
    json.dumps(as_data(found), allow_nan=False)
    lines = report_lines(found)
    assert all(isinstance(line, str) and "nan" not in line.split() for line in lines)
    assert bool(found.few) == (found.exposures[0].amount < 20)


def test_the_order_of_arrival_changes_nothing() -> None:
    season = out_of_order()
    straight = Season(12)
    straight.broke(9)
    straight.broke(2)
    now = season.end + timedelta(days=1)
    one, other = (
        report(Record(item.definitions, item.state(), now), ALL) for item in (season, straight)
    )
    assert one.betterment.times == other.betterment.times == (1.5, 8.5)


def test_five_thousand_faults_are_read_in_a_moment_of_calls() -> None:
    """No work grows with the square of the faults: twice the faults, at most three times the
    calls."""
    import cProfile

    def calls(count: int) -> int:
        season, random = Season(60), Random(3)
        for _ in range(count):
            season.closed(season.broke(random.randint(1, 60)), minutes=1)
        record = season.record()
        profile = cProfile.Profile()
        profile.runcall(report, record, ALL)
        return sum(item.callcount for item in profile.getstats())

    calls(10)
    assert calls(2500) < 3 * calls(1250)
