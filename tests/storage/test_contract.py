"""What every engine of the logbook promises; a new engine joins by a name in `engines.py`."""

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from pitcrew.storage.journal import Journal
from tests.storage.engines import ENGINES, draft, opened, stamp


@pytest.fixture(params=ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


@pytest.fixture
def journal(engine: str, tmp_path: Path) -> Iterator[Journal]:
    made = opened(engine, tmp_path)
    yield made
    made.close()


def test_an_empty_log_has_no_head(journal: Journal) -> None:
    assert journal.head() == (0, "")
    assert journal.after(0) == []
    assert len(journal.log) == 32


def test_numbers_are_dense_and_each_entry_is_tied_to_the_one_before(journal: Journal) -> None:
    journal.append([draft(1), draft(2)])
    journal.append([draft(3)])
    records = journal.after(0)
    assert [record["seq"] for record in records] == [1, 2, 3]
    previous = ""
    for record in records:
        assert record == stamp({name: record[name] for name in ("id", "kind", "at", "body")}, record["seq"], previous)
        previous = record["seal"]
    assert journal.head() == (3, previous)


def test_the_same_entry_twice_is_stored_once(journal: Journal) -> None:
    outcomes = journal.append([draft(1), draft(1), draft(1, "other")])
    assert [outcome.state for outcome in outcomes] == ["stored", "known", "conflict"]
    assert journal.append([draft(1)])[0].record["seq"] == 1
    assert journal.head()[0] == 1


def test_a_pull_takes_up_where_it_left(journal: Journal) -> None:
    journal.append([draft(number) for number in range(10)])
    assert [record["seq"] for record in journal.after(4, 3)] == [5, 6, 7]
    assert journal.after(10) == []
    assert journal.after(99) == []


def test_an_entry_is_found_by_its_id(journal: Journal) -> None:
    journal.append([draft(1)])
    found = journal.get("id-1")
    assert found is not None
    assert found["body"] == {"text": "x"}
    assert journal.get("id-9") is None


def test_all_is_there_after_opening_again(engine: str, tmp_path: Path) -> None:
    first = opened(engine, tmp_path)
    first.append([draft(number) for number in range(100)])
    log, records = first.log, first.after(0)
    first.close()
    again = opened(engine, tmp_path)
    assert (again.log, again.after(0), again.report) == (log, records, [])
    assert again.append([draft(7)])[0].state == "known"
    again.close()


def test_listeners_hear_every_entry_once_in_order_before_append_returns(journal: Journal) -> None:
    heard: list[int] = []
    journal.subscribe(lambda records: heard.extend(record["seq"] for record in records))
    journal.append([draft(1), draft(2), draft(1)])
    assert heard == [1, 2]


def test_writers_and_readers_at_once_lose_nothing(journal: Journal) -> None:
    heard: list[int] = []
    journal.subscribe(lambda records: heard.extend(record["seq"] for record in records))
    failures: list[Exception] = []

    def write(writer: int) -> None:
        for number in range(50):
            assert journal.append([draft(f"{writer}-{number}")])[0].state == "stored"

    def read() -> None:
        try:
            for _ in range(300):
                seen = [record["seq"] for record in journal.after(0)]
                assert seen == list(range(1, len(seen) + 1))
        except Exception as error:
            failures.append(error)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(16)] + [threading.Thread(target=read) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert heard == list(range(1, 801))
    assert len({record["id"] for record in journal.after(0)}) == 800
