"""The embedded engine: TinyDB over our own Storage and Table, with one fsync for all writers that wait (group commit).

Numbers and seals are given inside the commit group, and a group is published (to memory, to pulls, to listeners) only
after its fsync: a phone can never hold an entry that a crash then takes away.
"""

import threading
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

from tinydb import TinyDB
from tinydb.table import Document, Table

from pitcrew.entries import MAKER_FIELDS
from pitcrew.errors import PitcrewError
from pitcrew.storage.journal import Appended, Listener, Record, Stamp
from pitcrew.storage.lines import TABLE, LinesStorage


class EntryTable(Table):
    """TinyDB's table as a list in memory: an insert costs the same at any size, and nothing is updated or removed."""

    def __init__(self, storage: LinesStorage, name: str, **options: Any) -> None:
        super().__init__(storage, name, **options)
        self.rows: list[Record] = storage.records()
        self.by_id: dict[str, Record] = {row["id"]: row for row in self.rows}

    def insert(self, document: Mapping[str, Any]) -> int:
        """Append one record durably; its number."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Any) -> list[int]:
        """Append records durably, in one write and one fsync; their numbers. Raises DiskFull."""
        records = list(documents)
        self._storage.append(records)  # type: ignore[attr-defined]
        self.by_id.update((record["id"], record) for record in records)
        self.rows.extend(records)
        return [record["seq"] for record in records]

    def all(self) -> list[Document]:
        """Every record."""
        return list(self)

    def get(self, cond: Any = None, doc_id: int | None = None, doc_ids: list | None = None) -> Any:
        """The record of a number, or the first that a query matches."""
        if doc_id is not None:
            return _document(self.rows[doc_id - 1]) if 0 < doc_id <= len(self.rows) else None
        return super().get(cond, doc_ids=doc_ids) if doc_ids is not None else next((row for row in self if cond(row)), None)

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Document]:
        return iter([_document(row) for row in self.rows])

    def _read_table(self) -> dict[str, Mapping]:
        return {str(row["seq"]): row for row in list(self.rows)}

    def _update_table(self, updater: Any) -> NoReturn:
        raise TypeError("entries are never changed or removed")


class TinyJournal:
    """The logbook in one file. See `storage/journal.py` for what each method promises."""

    def __init__(self, path: Path, stamp: Stamp, *, create: bool = False, fsync: bool = True) -> None:
        storage = LinesStorage(path, create=create, fsync=fsync)
        self.log, self.report = storage.log, storage.report
        self._storage = storage
        self._database = _Database(storage)
        self._table: EntryTable = self._database.table(TABLE)  # type: ignore[assignment]
        self._stamp = stamp
        self._listeners: list[Listener] = []
        self._waiting: list[_Ticket] = []
        self._turn = threading.Condition()
        self._writing = False

    def append(self, drafts: Sequence[Record]) -> list[Appended]:
        """Queue the drafts; one of those who wait writes for all that wait, while the next group gathers."""
        if not drafts:
            return []
        ticket = _Ticket(drafts)
        with self._turn:
            self._waiting.append(ticket)
            while self._writing and not ticket.done:
                self._turn.wait()
            if not ticket.done:
                self._writing = True
                group, self._waiting = self._waiting, []
        if not ticket.done:
            try:
                self._commit(group)
            finally:
                with self._turn:
                    self._writing = False
                    self._turn.notify_all()
        if ticket.error is not None:
            raise ticket.error
        return ticket.outcomes

    def after(self, seq: int, limit: int | None = None) -> list[Record]:
        start = max(seq, 0)
        return self._table.rows[start : None if limit is None else start + limit]

    def get(self, entry_id: str) -> Record | None:
        return self._table.by_id.get(entry_id)

    def head(self) -> tuple[int, str]:
        rows = self._table.rows
        return (rows[-1]["seq"], rows[-1]["seal"]) if rows else (0, "")

    def subscribe(self, listener: Listener) -> None:
        self._listeners.append(listener)

    def close(self) -> None:
        with self._turn:
            while self._writing:
                self._turn.wait()
            self._database.close()

    def _commit(self, group: "list[_Ticket]") -> None:
        """Stamp, write and publish one group; each of its tickets is done afterwards, with outcomes or an error."""
        fresh: dict[str, Record] = {}
        try:
            for ticket in group:
                ticket.outcomes = [self._number(draft, fresh) for draft in ticket.drafts]
            self._table.insert_multiple(fresh.values())
        except Exception as error:  # the writers who wait must all be told
            for ticket in group:
                ticket.fail(error, self._table.by_id)
            return
        for ticket in group:
            ticket.done = True
        for listener in self._listeners if fresh else ():
            listener(list(fresh.values()))

    def _number(self, draft: Record, fresh: dict[str, Record]) -> Appended:
        stored = self._table.by_id.get(draft["id"]) or fresh.get(draft["id"])
        if stored is not None:
            return Appended(stored, "known" if same_content(draft, stored) else "conflict")
        last = next(reversed(fresh.values())) if fresh else None
        seq, seal = (last["seq"], last["seal"]) if last else self.head()
        fresh[draft["id"]] = record = self._stamp(draft, seq + 1, seal)
        return Appended(record, "stored")


class _Database(TinyDB):
    """A TinyDB whose one table keeps entries."""

    table_class = EntryTable

    def __init__(self, storage: LinesStorage) -> None:
        super().__init__(storage=lambda: storage)


class _Ticket:
    """One caller's drafts on their way through a commit group."""

    def __init__(self, drafts: Sequence[Record]) -> None:
        self.drafts = drafts
        self.outcomes: list[Appended] = []
        self.error: Exception | None = None
        self.done = False

    def fail(self, error: Exception, durable: dict[str, Record]) -> None:
        """The group could not be stored: a fresh error for each caller, unless all that this one brought was durable before."""
        self.done = True
        if not self.outcomes or any(outcome.record["id"] not in durable for outcome in self.outcomes):
            self.error = type(error)(error.sentence, error.field) if isinstance(error, PitcrewError) else error


def same_content(draft: Record, stored: Record) -> bool:
    """Whether two records of one id say the same: the maker's fields, however the server numbered them."""
    return all(draft.get(name) == stored.get(name) for name in MAKER_FIELDS)


def _document(row: Record) -> Document:
    return Document(row, row["seq"])
