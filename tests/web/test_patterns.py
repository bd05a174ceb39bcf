"""The pages of Patterns: what they say with its counts, filters in the address, merges as entries,
exports that run no formula."""

import csv
import io
import json
import re
from datetime import timedelta
from threading import Thread

import pytest
from flask import Flask

from pitcrew.cli.start import warm_up
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.drilldown import WHAT
from pitcrew.domain.patterns.memory import Memory
from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, LEAD, Client, last, slack, words

NAMES = ("", "/again", "/limits", "/stocks", "/checks", "/compared", "/entries")
PAGES = tuple(f"/patterns{name}" for name in NAMES)
FORMULAS = ("=cmd|'/C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", "\t=1")


@pytest.fixture
def told(pit: Pit, lead: Client) -> Client:
    """Two faults worded alike and one apart in the first match, of which one was repaired before
    the other came."""
    for symptom in ("chain loose", "chain slack again"):
        fault = pit.record(
            "fault",
            {"part": CHAIN, "symptom": symptom, "grade": "degraded"},
            LEAD,
            match="fjord/11/1",
        )
        pit.record(
            "fault_move",
            {"fault": fault.id, "to": "repaired", "why": "tightened", "parts_used": ["2 x link"]},
            LEAD,
        )
        pit.clock.later(5)
    pit.record(
        "fault", {"part": CHAIN, "symptom": "links squeal, side plate", "grade": "watch"}, LEAD
    )
    pit.record("fault", {"part": CHAIN, "symptom": "side plate crooked", "grade": "watch"}, LEAD)
    pit.record("reading", slack(pit, 10), LEAD, match="fjord/11/1")
    return lead


@pytest.mark.parametrize("path", PAGES)
def test_each_page_opens_with_nothing_logged(lead: Client, path: str) -> None:
    assert "match of ours played" in words(lead.get(path))


def test_what_fails_is_told_with_count_exposure_and_interval(told: Client) -> None:
    said = words(told.get("/patterns"))
    assert (
        "1 in 1 match: 100 % a match; the true share lies between 2.5 % and 100 % (exact, two-sided"
        " 95 %)." in said
    )
    assert "That is few" in said
    assert "2 faults belong to no match that was played" in said


def test_what_came_back_and_the_fix_that_did_not_hold(told: Client) -> None:
    said = words(told.get("/patterns/again"))
    assert "Came back once after it was closed" in said
    assert "Tightened: 2 fixes, 1 came back" in said


def test_a_merge_is_kept_as_an_entry_and_no_longer_asked(told: Client, pit: Pit) -> None:
    page = told.get("/patterns/again")
    assert "The same thing in other words?" in page
    first, second = re.search(
        r'name="first" value="([^"]+)".*?name="second" value="([^"]+)"', page, re.DOTALL
    ).groups()
    said = words(told.post("/patterns/same", {"first": first, "second": second, "same": "yes"}))
    assert (
        "they count as the same" in said and "Both say" not in said and "1 pair was decided" in said
    )
    assert last(pit, "merge").body == {"first": first, "second": second, "same": True}
    said = words(told.post("/patterns/same", {"first": first, "second": second, "same": "no"}))
    assert (
        "they stay apart" in said
        and "The same failure after all" in said
        and "Both say" not in said
    )


def test_a_merge_of_nothing_is_refused_with_a_sentence(told: Client) -> None:
    assert "Two faults of one part" in words(
        told.post("/patterns/same", {"first": "x", "second": "y", "same": "yes"}, 400)
    )


def test_every_number_leads_to_its_entries(told: Client) -> None:
    links = set(
        re.findall(r'href="(/patterns/entries[^"]+)"', "".join(told.get(path) for path in PAGES))
    )
    assert len(links) > 5
    for link in links:
        told.get(link.replace("&amp;", "&"))


def test_filters_stand_in_the_address_and_stay_on_the_next_page(told: Client) -> None:
    page = told.get("/patterns?part=lift&event=fjord")
    assert "/patterns/again?event=fjord&amp;part=lift" in page
    assert "No fault is logged here yet." in words(told.get("/patterns?part=drive"))


def test_a_new_entry_is_seen_at_once(told: Client, pit: Pit) -> None:
    before = words(told.get("/patterns"))
    pit.record(
        "fault", {"part": CHAIN, "symptom": "loose", "grade": "stop"}, LEAD, match="fjord/11/1"
    )
    assert words(told.get("/patterns")) != before


def test_csv_holds_no_formula_and_a_row_for_each_entry(told: Client, pit: Pit) -> None:
    for text in FORMULAS:
        pit.record("note", {"text": text, "part": CHAIN}, LEAD)
    rows = list(csv.DictReader(io.StringIO(told.get("/patterns/entries.csv"))))
    assert [int(row["seq"]) for row in rows] == list(range(1, pit.journal.head()[0] + 1))
    assert [row["text"] for row in rows if row["kind"] == "note"] == [
        f"'{text}" for text in FORMULAS
    ]
    cells = [
        cell for row in rows for cell in row.values() if cell.startswith(("=", "+", "-", "@", "\t"))
    ]
    assert [cell for cell in cells if not re.fullmatch(r"-?\d+(\.\d+)?(e-?\d+)?", cell)] == []


def test_json_lines_hold_the_verdict_that_stands(told: Client) -> None:
    rows = [json.loads(line) for line in told.get("/patterns/entries.jsonl").splitlines()]
    reading = next(row for row in rows if row["kind"] == "reading")
    assert (reading["check"], reading["verdict"], reading["result"], reading["result_unit"]) == (
        "chain-slack",
        "ok",
        0.01,
        "m",
    )


def test_the_dictionary_names_every_column(told: Client) -> None:
    columns = next(csv.reader(io.StringIO(told.get("/patterns/entries.csv"))))
    page = told.get("/patterns/entries.dictionary.md")
    assert [name for name in columns if f"`{name}`" not in page] == []


def test_the_season_report_says_the_same(told: Client) -> None:
    said = words(told.get("/patterns/season"))
    assert (
        "Season report" in said
        and "1 in 1 match: 100 % a match" in said
        and "Came back once" in said
    )


def test_a_view_is_answered_from_memory_until_the_head_moves(
    told: Client, app: Flask, pit: Pit, monkeypatch: pytest.MonkeyPatch
) -> None:
    told.get("/patterns")
    asked: list[int] = []
    monkeypatch.setattr(
        "pitcrew.domain.patterns.record.played_runs", lambda *arguments: asked.append(1) or []
    )
    told.get("/patterns")
    assert asked == []
    pit.clock.now += timedelta(minutes=10)
    told.get("/patterns")
    assert asked


def test_who_writes_does_not_wait_for_who_counts(told: Client, app: Flask, pit: Pit) -> None:
    with memory_of(app).looking(pit) as record:
        before = len(record.faults)
        writer = Thread(
            target=pit.record,
            args=("fault", {"part": CHAIN, "symptom": "bent", "grade": "stop"}, LEAD),
            daemon=True,
        )
        writer.start()
        writer.join(10)
        assert not writer.is_alive()
        assert len(pit_faults(pit)) == before + 1 and len(record.state.faults) == before
    with memory_of(app).looking(pit) as record:
        assert len(record.faults) == before + 1


def memory_of(app: Flask) -> Memory:
    return app.extensions["patterns"]


def pit_faults(pit: Pit) -> dict[str, Fault]:
    with pit.reading() as state:
        return state.faults


def test_the_warm_up_answers_before_anybody_asks(
    told: Client, app: Flask, pit: Pit, monkeypatch: pytest.MonkeyPatch
) -> None:
    warm_up(pit, memory_of(app))
    monkeypatch.setattr(
        "pitcrew.domain.patterns.record.played_runs", lambda *arguments: pytest.fail("asked again")
    )
    assert [told.get(path) for path in PAGES]


@pytest.mark.parametrize("what", WHAT)
def test_each_list_of_entries_opens(told: Client, what: str) -> None:
    assert WHAT[what].title in words(
        told.get(f"/patterns/entries?what={what}&check=chain-slack&event=fjord&season=2026")
    )
