"""TinyDB over our storage and table: its reading interface works as ever, and nothing can be
changed or removed."""

from collections.abc import Callable
from pathlib import Path

import pytest
from tinydb import Query, where
from tinydb.table import Document

from pitcrew.storage.lines import LinesStorage
from pitcrew.storage.memory import MemoryStorage
from pitcrew.storage.opening import read_records
from pitcrew.storage.table import TABLE, EntryDatabase
from tests.storage.engines import draft, stamp, three_entries


@pytest.fixture(params=["file", "memory"])
def database(request: pytest.FixtureRequest, tmp_path: Path):
    """A database of three entries."""
    if request.param == "file":
        opened = EntryDatabase(LinesStorage(three_entries(tmp_path), fsync=False))
    else:
        opened = EntryDatabase(MemoryStorage())
        opened.insert_multiple([stamp(draft(number), number, "") for number in (1, 2, 3)])
    yield opened
    opened.close()


def test_entries_are_found_by_number_and_by_query(database: EntryDatabase) -> None:
    table = database.entries
    assert len(table) == len(database) == 3
    assert [row["seq"] for row in table.search(Query().body.text == "x")] == [1, 2, 3]
    assert table.get(doc_id=2)["id"] == "id-2"
    assert table.get(where("id") == "id-3").doc_id == 3
    assert [row.doc_id for row in table.get(doc_ids=[3, 1, 9])] == [1, 3]
    assert (table.get(doc_id=9), table.get(doc_id=0), table.get(where("id") == "none")) == (
        None,
        None,
        None,
    )
    assert table.contains(doc_id=3)
    assert not table.contains(where("id") == "id-9")
    assert table.count(where("kind") == "note") == 3
    assert [row.doc_id for row in table.all()] == [1, 2, 3]
    with pytest.raises(RuntimeError, match="wants a condition"):
        table.get()


def test_a_query_sees_what_was_inserted_since_it_was_asked_before(database: EntryDatabase) -> None:
    notes = where("kind") == "note"
    assert len(database.search(notes)) == 3
    assert database.insert(stamp(draft(4), 4, "")) == 4
    assert len(database.search(notes)) == 4


def test_what_a_query_gives_is_a_copy(database: EntryDatabase) -> None:
    for found in (
        database.all()[0],
        database.search(where("id") == "id-1")[0],
        database.get(doc_id=1),
    ):
        found["kind"] = "changed"
    assert database.get(doc_id=1)["kind"] == "note"


def test_numbers_must_follow_on(database: EntryDatabase) -> None:
    for number in (3, 5):
        with pytest.raises(ValueError, match="where 4 is due"):
            database.insert(stamp(draft("new"), number, ""))
    assert database.insert_multiple([]) == []
    assert database.insert_multiple(
        [stamp(draft(4), 4, ""), Document(stamp(draft(5), 5, ""), 5)]
    ) == [4, 5]


CHANGES: list[Callable[[EntryDatabase], object]] = [
    lambda database: database.update({"kind": "y"}),
    lambda database: database.update({"kind": "y"}, where("id") == "id-1"),
    lambda database: database.update({"kind": "y"}, doc_ids=[1]),
    lambda database: database.update_multiple([({"kind": "y"}, where("id") == "id-1")]),
    lambda database: database.remove(doc_ids=[1]),
    lambda database: database.remove(where("id") == "id-1"),
    lambda database: database.truncate(),
    lambda database: database.upsert({"id": "z"}, where("id") == "id-1"),
    lambda database: database.drop_tables(),
    lambda database: database.drop_table(TABLE),
    lambda database: database.storage.write({}),
]


@pytest.mark.parametrize("change", CHANGES)
def test_nothing_is_changed_or_removed(
    database: EntryDatabase, change: Callable[[EntryDatabase], object]
) -> None:
    with pytest.raises(TypeError, match="append-only"):
        change(database)
    assert [row["id"] for row in database.entries] == ["id-1", "id-2", "id-3"]
    assert [row["kind"] for row in database.storage.read()[TABLE].values()] == ["note"] * 3


def test_there_is_one_table(database: EntryDatabase) -> None:
    assert database.tables() == {TABLE}
    with pytest.raises(ValueError, match="one table"):
        database.table("other")


def test_an_inserted_record_is_in_the_file(tmp_path: Path) -> None:
    log = three_entries(tmp_path)
    with EntryDatabase(LinesStorage(log)) as database:
        database.insert(stamp(draft(4), 4, ""))
        assert [record["id"] for record in read_records(log).records] == [
            "id-1",
            "id-2",
            "id-3",
            "id-4",
        ]
