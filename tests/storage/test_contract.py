"""What every engine of the logbook promises; a new engine joins by a name in `engines.py`."""

import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput, PitcrewError
from pitcrew.storage.journal import Journal, LogRecord
from pitcrew.storage.opening import open_journal
from tests.storage.engines import DURABLE, ENGINES, draft, opened, stamp


@pytest.fixture(params=ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


@pytest.fixture
def journal(engine: str, tmp_path: Path) -> Iterator[Journal]:
    made = opened(engine, tmp_path)
    yield made
    made.close()


def run_all(work: Sequence[Callable[[], None]]) -> None:
    """Run each in a thread of its own; the first failure of any of them is raised here."""
    failures: list[BaseException] = []

    def guarded(part: Callable[[], None]) -> None:
        try:
            part()
        except BaseException as failure:
            failures.append(failure)

    threads = [threading.Thread(target=guarded, args=(part,)) for part in work]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if failures:
        raise failures[0]


def test_an_empty_log_has_no_head(journal: Journal) -> None:
    assert journal.head() == (0, "")
    assert journal.after(0) == []
    assert len(journal.log) == 32
    assert journal.report == []


def test_numbers_are_dense_and_each_entry_is_tied_to_the_one_before(journal: Journal) -> None:
    journal.append([draft(1), draft(2)])
    journal.append([draft(3)])
    records = journal.after(0)
    assert [record["seq"] for record in records] == [1, 2, 3]
    previous = ""
    for record in records:
        assert record == stamp(
            {name: record[name] for name in ("id", "kind", "at", "body")}, record["seq"], previous
        )
        previous = record["seal"]
    assert journal.head() == (3, previous)


def test_nothing_appended_is_nothing_stored_or_heard(journal: Journal) -> None:
    heard: list[Sequence[LogRecord]] = []
    journal.subscribe(heard.append)
    assert journal.append([]) == []
    assert (journal.head(), heard) == ((0, ""), [])


def test_the_same_entry_twice_is_stored_once(journal: Journal) -> None:
    outcomes = journal.append([draft(1), draft(1), draft(1, "other")])
    assert [outcome.state for outcome in outcomes] == ["stored", "known", "conflict"]
    again = journal.append([draft(1), draft(2), draft(1, "other")])
    assert [outcome.state for outcome in again] == ["known", "stored", "conflict"]
    assert [outcome.record["seq"] for outcome in again] == [1, 2, 1]
    assert again[2].record["body"] == {"text": "x"}
    assert journal.head()[0] == 2


@pytest.mark.parametrize(
    ("first", "second", "state"),
    [
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}, "known"),
        ([1, 2], (1, 2), "known"),
        (True, 1, "conflict"),
        ("6.2", 6.2, "conflict"),
        (None, "", "conflict"),
    ],
)
def test_the_same_content_is_what_the_maker_said(
    journal: Journal, first: object, second: object, state: str
) -> None:
    """The order of fields is no difference; a yes is not a one."""
    journal.append([draft(1, first)])
    assert (
        journal.append([{**draft(1, second), "offset": 2.5, "received_at": "later"}])[0].state
        == state
    )


def test_a_pull_takes_up_where_it_left(journal: Journal) -> None:
    journal.append([draft(number) for number in range(10)])
    assert [record["seq"] for record in journal.after(4, 3)] == [5, 6, 7]
    assert [record["seq"] for record in journal.after(-5, 2)] == [1, 2]
    assert journal.after(4, 0) == []
    assert journal.after(10) == []
    assert journal.after(99) == []


def test_an_entry_is_found_by_its_id(journal: Journal) -> None:
    journal.append([draft(1)])
    found = journal.get("id-1")
    assert found is not None
    assert found["body"] == {"text": "x"}
    assert journal.get("id-9") is None


def test_what_was_handed_out_never_changes(journal: Journal) -> None:
    """Neither when the maker goes on using the draft nor when the log grows."""
    mine = draft(1)
    stored = journal.append([mine])[0].record
    pulled, before = journal.after(0), dict(stored)
    mine["kind"] = "changed afterwards"
    journal.append([draft(2)])
    assert pulled == [stored] == [before]
    assert journal.get("id-1") == before


def test_listeners_hear_every_entry_once_in_order_before_append_returns(journal: Journal) -> None:
    heard: list[int] = []
    journal.subscribe(lambda records: heard.extend(record["seq"] for record in records))
    journal.append([draft(1), draft(2), draft(1)])
    assert heard == [1, 2]


def test_a_listener_that_fails_takes_nothing_away(journal: Journal) -> None:
    def fail(records: Sequence[LogRecord]) -> None:
        raise RuntimeError("a fold that cannot take this")

    journal.subscribe(fail)
    with pytest.raises(RuntimeError, match="cannot take this"):
        journal.append([draft(1)])
    assert journal.append([draft(1)])[0].state == "known"
    assert journal.head()[0] == 1


def test_a_draft_that_cannot_be_stored_harms_only_its_bringer(journal: Journal) -> None:
    """Three writers wait behind one that is at work, so they go in one group; the second brings
    what JSON cannot say."""
    at_work, go_on = threading.Event(), threading.Event()

    def hold_the_first(records: Sequence[LogRecord]) -> None:
        if records[0]["id"] == "id-first":
            at_work.set()
            assert go_on.wait(10)

    journal.subscribe(hold_the_first)
    first = threading.Thread(target=journal.append, args=([draft("first")],))
    first.start()
    assert at_work.wait(10)
    answers: dict[int, object] = {}

    def bring(number: int) -> None:
        try:
            answers[number] = journal.append(
                [draft(f"{number}a"), draft(f"{number}b", object() if number == 2 else "x")]
            )[1].state
        except TypeError as error:
            answers[number] = error

    waiting = [threading.Thread(target=bring, args=(number,)) for number in (1, 2, 3)]
    for thread in waiting:
        thread.start()
    go_on.set()
    for thread in [first, *waiting]:
        thread.join()
    assert (answers[1], answers[3]) == ("stored", "stored")
    assert isinstance(answers[2], TypeError)
    assert sorted(record["id"] for record in journal.after(1)) == [
        "id-1a",
        "id-1b",
        "id-3a",
        "id-3b",
    ]
    assert [record["seq"] for record in journal.after(0)] == [1, 2, 3, 4, 5]


def test_writers_and_readers_at_once_lose_nothing(journal: Journal) -> None:
    heard: list[int] = []
    journal.subscribe(lambda records: heard.extend(record["seq"] for record in records))

    def write(writer: int) -> None:
        for number in range(50):
            assert journal.append([draft(f"{writer}-{number}")])[0].state == "stored"

    def read() -> None:
        for _ in range(300):
            seen = journal.after(0)
            assert [record["seq"] for record in seen] == list(range(1, len(seen) + 1))
            assert journal.head()[0] >= len(seen)
            if seen:
                assert journal.get(seen[-1]["id"]) is seen[-1]

    run_all([*(lambda writer=writer: write(writer) for writer in range(16)), read, read])
    assert heard == list(range(1, 801))
    assert len({record["id"] for record in journal.after(0)}) == 800


def test_many_who_bring_the_same_entry_get_one_number(journal: Journal) -> None:
    """Phones pass entries on for each other, so one entry may arrive on several ways at once."""
    states: list[tuple[str, int]] = []

    def bring() -> None:
        for number in range(20):
            outcome = journal.append([draft(number)])[0]
            states.append((outcome.state, outcome.record["seq"]))

    run_all([bring] * 8)
    assert sorted(seq for state, seq in states if state == "stored") == list(range(1, 21))
    assert {state for state, _ in states} <= {"stored", "known"}
    assert len(states) == 160


def test_after_closing_an_append_is_refused_with_a_sentence(engine: str, tmp_path: Path) -> None:
    journal = opened(engine, tmp_path)
    journal.append([draft(1)])
    journal.close()
    journal.close()
    with pytest.raises(PitcrewError, match="not stored"):
        journal.append([draft(2)])
    assert journal.head()[0] == 1


@pytest.mark.parametrize("engine", DURABLE)
def test_all_is_there_after_opening_again(engine: str, tmp_path: Path) -> None:
    first = opened(engine, tmp_path)
    first.append([draft(number) for number in range(100)])
    log, records, head = first.log, first.after(0), first.head()
    first.close()
    again = opened(engine, tmp_path)
    assert (again.log, again.after(0), again.head(), again.report) == (log, records, head, [])
    assert again.append([draft(7)])[0].state == "known"
    assert again.append([draft(7, "other")])[0].state == "conflict"
    assert again.append([draft(100)])[0].record["seq"] == 101
    again.close()


def test_two_logs_have_two_ids(engine: str, tmp_path: Path) -> None:
    logs = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        made = opened(engine, tmp_path / name)
        logs.append(made.log)
        made.close()
    assert len(set(logs)) == 2


@pytest.mark.parametrize("engine", ENGINES)
@settings(max_examples=60, deadline=None)
@given(
    batches=st.lists(
        st.lists(st.tuples(st.integers(0, 6), st.sampled_from("xyz")), max_size=5), max_size=8
    )
)
def test_any_sequence_of_batches_does_what_a_plain_list_would(
    engine: str, batches: list[list[tuple[int, str]]]
) -> None:
    """The model: an id's first content is kept; whoever brings it again is told the first number,
    other content is told apart."""
    kept: dict[int, tuple[int, str]] = {}
    with tempfile.TemporaryDirectory() as place:
        for batch in batches:
            if engine in DURABLE or batch is batches[0]:
                journal = opened(engine, Path(place))
            expected = []
            for number, text in batch:
                state = (
                    "stored"
                    if number not in kept
                    else "known"
                    if kept[number][1] == text
                    else "conflict"
                )
                seq, _ = kept.setdefault(number, (len(kept) + 1, text))
                expected.append((state, seq))
            outcomes = journal.append([draft(number, text) for number, text in batch])
            assert [(outcome.state, outcome.record["seq"]) for outcome in outcomes] == expected
            assert [record["id"] for record in journal.after(0)] == [
                f"id-{number}" for number in kept
            ]
            if engine in DURABLE:
                journal.close()


def test_an_unknown_engine_is_named_in_a_sentence() -> None:
    with pytest.raises(BadInput, match="'postgresql' is not built in yet"):
        open_journal("postgresql://localhost/pit", stamp)
