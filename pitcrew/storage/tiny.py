"""The embedded engine: TinyDB over our own Storage and Table, with one fsync for all writers that
wait (group commit).

Numbers and seals are given inside the commit group, and a group is published (to memory, to pulls,
to listeners) only after its fsync: a phone can never hold an entry that a crash then takes away.
"""

import threading
from collections.abc import Sequence

from pitcrew.base.entries import MAKER_FIELDS, canonical
from pitcrew.base.errors import PitcrewError
from pitcrew.storage.group import GroupCommit, Ticket
from pitcrew.storage.journal import Appended, AppendState, Listener, LogRecord, Stamp
from pitcrew.storage.table import EntryDatabase, EntryStorage


class TinyJournal:
    """The logbook in a TinyDB. See `storage/journal.py` for what each method promises."""

    def __init__(self, storage: EntryStorage, stamp: Stamp) -> None:
        self.log, self.report = storage.log, storage.report
        self.cut, self.torn = storage.cut, storage.torn
        self._storage = storage
        self._database = EntryDatabase(storage)
        self._table = self._database.entries
        self._stamp = stamp
        self._listeners: list[Listener] = []
        self._group = GroupCommit(self._commit)
        self._at_work = threading.Lock()
        self._closed = False

    def append(self, drafts: Sequence[LogRecord]) -> list[Appended]:
        """Store drafts together with those of all who wait. See the protocol."""
        if not drafts:
            return []
        ticket = Ticket(drafts)
        self._group.submit(ticket)
        if ticket.outcomes is None:
            raise ticket.error or PitcrewError(
                "The laptop was interrupted; this is not stored. Keep it and send it again."
            )
        return ticket.outcomes

    def after(self, seq: int, limit: int | None = None) -> list[LogRecord]:
        """The records with a larger number, in order, at most `limit`."""
        start = max(seq, 0)
        return self._table.rows[start : None if limit is None else start + limit]

    def get(self, entry_id: str) -> LogRecord | None:
        """The record of that id, or None."""
        return self._table.by_id.get(entry_id)

    def head(self) -> tuple[int, str]:
        """Number and seal of the last record, (0, "") when there is none."""
        rows = self._table.rows
        return _place(rows[-1]) if rows else (0, "")

    def renew(self, log: str) -> None:
        """Give the log a new id, if `log` is its present one. See the protocol."""
        with self._at_work:
            if self.log == log:
                self._storage.renew()
                self.log = self._storage.log

    def subscribe(self, listener: Listener) -> None:
        """Call `listener` with each newly durable group of records. See the protocol."""
        self._listeners.append(listener)

    def close(self) -> None:
        """Close the file after the commit that is under way; later appends are refused."""
        with self._at_work:
            if not self._closed:
                self._closed = True
                self._database.close()

    def _commit(self, group: list[Ticket]) -> None:
        """Store and publish a group; where that fails, each ticket alone, so that one bad draft
        harms only its bringer."""
        with self._at_work:
            fresh = self._store(group)
            if fresh is None and len(group) > 1:
                alone = [self._store([ticket]) for ticket in group]
                fresh = [record for part in alone for record in part or []]
            if fresh:
                for listener in self._listeners:
                    listener(fresh)

    def _store(self, group: list[Ticket]) -> list[LogRecord] | None:
        """Stamp, write and publish to memory; the new records, or None when nothing was stored and
        the tickets say why."""
        before = len(self._table)
        try:
            if self._closed:
                raise PitcrewError(
                    "The logbook is closed (the server is stopping): this is not stored. Keep it"
                    " and send it again."
                )
            fresh: dict[str, LogRecord] = {}
            states = [self._number(ticket.drafts, fresh) for ticket in group]
            self._table.insert_multiple(fresh.values())
        except Exception as error:  # whatever it is, those who wait must be told
            for ticket in group:
                ticket.error = error
            return None
        by_id = self._table.by_id
        for ticket, found in zip(group, states, strict=True):
            held = [by_id[draft["id"]] for draft in ticket.drafts]
            ticket.outcomes = list(map(Appended, held, found))
        return self._table.rows[before:]

    def _number(
        self, drafts: Sequence[LogRecord], fresh: dict[str, LogRecord]
    ) -> list[AppendState]:
        """Give new drafts their numbers and seals, behind the log and the fresh ones, and add them
        to these."""
        states: list[AppendState] = []
        seq, seal = _place(next(reversed(fresh.values()))) if fresh else self.head()
        for draft in drafts:
            name = draft["id"]
            held = self._table.by_id.get(name) or fresh.get(name)
            if held is None:
                fresh[name] = record = self._stamp(draft, seq + 1, seal)
                seq, seal = _place(record)
                states.append("stored")
            else:
                states.append("known" if _maker_part(draft) == _maker_part(held) else "conflict")
        return states


def _place(record: LogRecord) -> tuple[int, str]:
    return record["seq"], record["seal"]


def _maker_part(record: LogRecord) -> bytes:
    """What the maker said, as one text: the same however the server numbered it and whatever the
    order of fields."""
    return canonical({name: record[name] for name in MAKER_FIELDS if record.get(name) is not None})
