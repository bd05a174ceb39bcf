"""TinyDB's table over an append-only storage: a list in memory, so that an insert costs the same at
any size."""

from abc import abstractmethod
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, NoReturn

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document, Table

from pitcrew.storage.journal import LogRecord

TABLE = "entries"


class EntryStorage(Storage):
    """A TinyDB storage that appends instead of writing everything again."""

    log: str
    report: list[str]
    cut: str = ""
    torn: int = 0

    @abstractmethod
    def take_loaded(self) -> list[LogRecord]:
        """The records that it held when it was opened, in order; handed over once."""

    @abstractmethod
    def append(self, records: Sequence[LogRecord]) -> None:
        """Keep records durably. Raises DiskFull, and then nothing was kept."""

    @abstractmethod
    def renew(self) -> None:
        """Give the log a new id; the records stay. Raises DiskFull and Damaged, and then nothing
        has changed."""

    def write(self, data: dict[str, dict[str, Any]]) -> NoReturn:
        """Refused: entries are never rewritten."""
        raise TypeError("entries are append-only: insert them, nothing else")


class EntryTable(Table):
    """The table of entries. A record's number (`seq`) is its document id; updates and removals
    raise TypeError."""

    def __init__(self, storage: EntryStorage, name: str, **options: Any) -> None:
        if name != TABLE:
            raise ValueError(f"this database has one table, {TABLE!r}; {name!r} was asked for")
        super().__init__(storage, name, **options)
        self._append = storage.append
        self.rows: list[LogRecord] = storage.take_loaded()
        self.by_id: dict[str, LogRecord] = {row["id"]: row for row in self.rows}

    def insert(self, document: Mapping) -> int:
        """Append one record durably; its number."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Mapping]) -> list[int]:
        """Append records durably, in one write; their numbers, which must follow on. Raises
        ValueError and DiskFull."""
        records = [document if type(document) is dict else dict(document) for document in documents]
        for due, record in enumerate(records, len(self.rows) + 1):
            if record["seq"] != due:
                raise ValueError(f"a record numbered {record['seq']} came where {due} is due")
        if records:
            self._append(records)
            self.by_id.update({record["id"]: record for record in records})
            self.rows += records
        return [record["seq"] for record in records]

    def all(self) -> list[Document]:
        """A copy of every record."""
        return list(self)

    def search(self, cond: Callable[[Mapping], bool]) -> list[Document]:  # type: ignore[override]
        """Copies of the records that match, in order."""
        return [document for document in self if cond(document)]

    def get(  # type: ignore[override]
        self,
        cond: Callable[[Mapping], bool] | None = None,
        doc_id: int | None = None,
        doc_ids: list[int] | None = None,
    ) -> Document | list[Document] | None:
        """A copy of the record of a number, of those of several numbers, or of the first that
        matches."""
        if doc_id is not None:
            return _document(self.rows[doc_id - 1]) if 0 < doc_id <= len(self.rows) else None
        if doc_ids is not None:
            return [
                _document(self.rows[number - 1])
                for number in sorted(set(doc_ids))
                if 0 < number <= len(self.rows)
            ]
        if cond is None:
            raise RuntimeError("get() wants a condition, a doc_id or doc_ids")
        return next((document for document in self if cond(document)), None)

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Document]:
        return map(_document, self.rows[:])

    def _read_table(self) -> dict[str, Mapping]:
        return {str(row["seq"]): row for row in self.rows[:]}

    def _update_table(self, updater: Any) -> NoReturn:
        raise TypeError("entries are append-only: they are never changed or removed")


class EntryDatabase(TinyDB):
    """A TinyDB whose one table keeps entries."""

    table_class = EntryTable  # type: ignore[assignment]
    default_table_name = TABLE

    def __init__(self, storage: EntryStorage) -> None:
        super().__init__(storage=lambda: storage)
        self.entries: EntryTable = self.table(TABLE)  # type: ignore[assignment]


def _document(row: LogRecord) -> Document:
    return Document(row, row["seq"])
