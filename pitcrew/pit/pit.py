"""The pit: definitions, logbook and state behind one door. Every entry is written through
`Pit.take` or `Pit.record`.

`take` gives an entry the server's fields (received time, clock offset, own judgement), the journal
numbers and seals it in its commit group, and the state advances once the entry is durable. Readers
hold `reading()` while they look.
"""

import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import msgspec

from pitcrew.base.clock import Clock, format_instant, system_clock
from pitcrew.base.entries import (
    Entry,
    as_stored,
    check_maker_fields,
    from_dict,
    new_id,
)
from pitcrew.base.errors import BadInput, PitcrewError, Refused
from pitcrew.base.seal import seal_of
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.approved import in_force
from pitcrew.domain.climb.critical import changes_since, critical_facts
from pitcrew.domain.climb.rules import FIRST_RULES, RULES
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.state import State
from pitcrew.pit.continuity import Continuity, doubt_of, last_signed
from pitcrew.pit.folder import LOGBOOK, digests_now, pit_keys, read_definitions
from pitcrew.pit.heads import HeadFile
from pitcrew.pit.intake import (
    Author,
    check_entry,
    check_role,
    own_entry,
    own_judgement,
    plain_offer,
)
from pitcrew.pit.pins import Pins
from pitcrew.pit.quarantine import Quarantine
from pitcrew.pit.relay import LogPlace, read_relayed, seals_in
from pitcrew.pit.roster import Roster
from pitcrew.storage.lock import read_holder
from pitcrew.storage.opening import FILE, Appended, engine_of, open_journal, read_records

LAPTOP = "laptop"


@dataclass(frozen=True)
class Taken:
    """What became of one offered entry: stored (or known before), or refused with a sentence."""

    id: str
    seq: int = 0
    error: str = ""
    field: str | None = None
    known: bool = False


class Pit:
    """One open pit folder. Made by `open_pit`; close it when done."""

    def __init__(self, folder: Path, clock: Clock, fsync: bool, store: str | None = None) -> None:
        self.folder = folder
        self.clock = clock
        self.key, self.session_key = pit_keys(folder)
        self.roster = Roster(folder, clock)
        self.pins = Pins(folder, clock)
        self.quarantine = Quarantine(folder, clock)
        self._files: Definitions = read_definitions(folder)
        self.definitions: Definitions = self._files
        self._lock = threading.RLock()
        self._state = State(self.definitions.settings["zone"], self.roster.role_of)
        lost = store is None and bool(self.roster.devices()) and not (folder / LOGBOOK).exists()
        engine, where = engine_of(store or folder / LOGBOOK)
        self.continuity = Continuity(folder, Path(where) if engine == FILE else None, fsync)
        self.journal = open_journal(
            store or folder / LOGBOOK, self._stamp, create=True, fsync=fsync
        )
        if lost:
            self.journal.report.append(
                f"{LOGBOOK} was missing although devices have joined this pit: an empty one was"
                " begun. Put back a copy of it if you have one; what phones hold comes back when"
                " they exchange."
            )
        self._seals: dict[LogPlace, str] = {}
        self._published(self.journal.after(0))
        self.journal.subscribe(self._published)
        self.continuity.begin(self.journal, self._state, self._note, format_instant(clock()), lost)
        self._load_definitions()

    @contextmanager
    def reading(self) -> Iterator[State]:
        """The state, held still while the caller looks at it."""
        with self._lock:
            yield self._state

    def record(
        self,
        kind: str,
        body: dict[str, Any],
        author: Author,
        *,
        match: str | None = None,
        robot: str | None = None,
        at: datetime | None = None,
        entry_id: str | None = None,
    ) -> Entry:
        """Store one entry made on the laptop now (or at `at`). Raises the sentence of what is
        wrong."""
        made = at or self.clock()
        entry = Entry(
            id=entry_id or new_id(made),
            kind=kind,
            at=format_instant(made),
            device=author.device,
            person=author.person,
            robot=robot or self.robot_name(),
            match=match,
            body=body,
        )
        check_entry(self.definitions, self._state, entry, author)
        stored = self.append([self._received(entry, None)])[0]
        if kind in ("clearance", "approval"):
            self.continuity.keep()
        return stored

    def take(
        self,
        offered: Sequence[Any],
        author: Author,
        offset: float | None,
        bringer: Author | None = None,
    ) -> list[Taken]:
        """Store what a phone offers, one fsync for all; each bad entry is refused by itself and
        held aside.

        `offset`: its clock error in s; `bringer`: who brings what `author` is said to have made, if
        that is someone else.
        """
        answers: dict[int, Taken] = {}
        ready: list[tuple[int, Entry]] = []
        seals = seals_in(offered)
        for place, item in enumerate(offered):
            try:
                ready.append(
                    (place, self._read_offer(item, author, offset, seals, bringer or author))
                )
            except PitcrewError as error:
                answers[place] = Taken(_id_of(item), error=error.sentence, field=error.field)
        for (place, entry), outcome in zip(
            ready, self._append([entry for _, entry in ready]), strict=True
        ):
            answers[place] = _answer(entry, outcome)
        self.quarantine.release(
            answer.id for answer in answers.values() if not answer.error and not answer.known
        )
        refused = [
            (offered[place], answer.error) for place, answer in answers.items() if answer.error
        ]
        self.quarantine.hold(refused, author.device, author.person)
        return [answers[place] for place in range(len(offered))]

    def append(self, entries: Iterable[Entry]) -> list[Entry]:
        """Store checked entries as they are, durable when this returns. Raises Conflict for a
        reused id."""
        stored = []
        for entry, outcome in zip(drafts := list(entries), self._append(drafts), strict=True):
            if outcome.state == "conflict":
                raise BadInput(
                    f"The id {entry.id} is taken by another entry. Make the entry again.", "id"
                )
            stored.append(from_dict(outcome.record))
        return stored

    def reload(self) -> Definitions:
        """Read the definition files again when one of them changed, and note the change in the
        logbook."""
        if digests_now(self.folder) != self._files.digests:
            self._files = read_definitions(self.folder)
            self._load_definitions()
        return self.definitions

    def robot_name(self) -> str | None:
        """The robot that plays, by the settings."""
        robot = self.definitions.robot
        return robot.name if robot else None

    def close(self) -> None:
        """Close the journal and note its end beside it; nothing is lost if this is never
        reached."""
        self.journal.close()
        self.continuity.keep()

    def _note(self, kind: str, body: dict[str, Any]) -> Entry:
        """Store an entry of the laptop's own."""
        return self.record(kind, body, Author(LAPTOP, LAPTOP, LAPTOP))

    def _read_offer(
        self,
        item: Any,
        author: Author,
        offset: float | None,
        seals: dict[LogPlace, str],
        bringer: Author,
    ) -> Entry:
        offer = plain_offer(item)
        if "origin" in offer:
            return self._read_relayed(offer, author, seals, bringer)
        entry = own_entry(offer, author, self.robot_name())
        check_entry(self.definitions, self._state, entry, author)
        return self._received(entry, offset)

    def _read_relayed(
        self,
        item: dict[str, Any],
        author: Author,
        seals: dict[LogPlace, str],
        bringer: Author,
    ) -> Entry:
        """An entry of another log. Unverified, it is held to its bringer's role. What a laptop
        noted for itself never counts elsewhere: a clearance may come, and by a lead the rest, as
        history.
        """

        def seals_before(log: str, seq: int) -> set[str]:
            own = [record["seal"] for record in self.journal.after(seq - 2, 1)] if seq > 1 else [""]
            return {
                *own,
                *(
                    known[place]
                    for known in (seals, self._seals)
                    if (place := (log, seq - 1)) in known
                ),
            }

        entry = read_relayed(item, self.key, seals_before)
        check_maker_fields(entry)
        if entry.origin and entry.origin["proven"]:
            return self._received(entry, entry.offset, entry.judged)
        if entry.kind in ("approval", "definitions") or (
            entry.kind in ("access", "loss") and author.role != "lead"
        ):
            raise Refused(
                f"The {entry.kind} of another log counts only with a seal that holds; this one has"
                " none.",
                "origin",
            )
        if entry.kind not in ("clearance", "access", "loss"):
            check_role(self._state, entry, author, bringer)
        by = {"device": bringer.device, "person": bringer.person, "role": author.role}
        origin = {**(entry.origin or {}), "by": by}
        robot = entry.robot or (
            self.robot_name() if not origin["seq"] else None
        )  # as if the phone itself had come
        entry = msgspec.structs.replace(entry, origin=origin, robot=robot)
        return self._received(entry, entry.offset)

    def _received(
        self, entry: Entry, offset: float | None, judged: dict[str, Any] | None = None
    ) -> Entry:
        """With what the server adds; a judgement that is proven stays."""
        if judged is None:
            moment = Moment(self.definitions, self._state, self.clock(), None)
            judged = own_judgement(moment, entry)
        return msgspec.structs.replace(
            entry, received_at=format_instant(self.clock()), offset=offset, judged=judged
        )

    def _append(self, entries: list[Entry]) -> list[Appended]:
        return self.journal.append([as_stored(entry) for entry in entries]) if entries else []

    def _stamp(self, draft: dict[str, Any], seq: int, previous: str) -> dict[str, Any]:
        record = {**draft, "seq": seq}
        return {**record, "seal": seal_of(self.key, previous, record)}

    def _published(self, records: Sequence[dict[str, Any]]) -> None:
        with self._lock:
            self._state.advance(from_dict(record) for record in records)
            self._seals.update(seals_in(records))
            if any(map(_decides_definitions, records)):
                self.definitions = in_force(self._files, self._state)

    def _load_definitions(self) -> None:
        """Put the files in force as far as the logbook lets them; a `definitions` entry notes files
        other than those of the last one."""
        with self._lock:
            self.definitions = in_force(self._files, self._state)
            loads = [load for load in self._state.definitions_loads if load.origin is None]
        if (
            loads
            and loads[-1].body["digests"] == self._files.digests
            and loads[-1].body.get("rules", FIRST_RULES) >= RULES
        ):
            return
        before = {
            change["id"]: change["after"]
            for load in loads
            for change in load.body.get("changes", [])
        }
        blocking = [
            msgspec.to_builtins(mistake) for mistake in self._files.mistakes if mistake.climb
        ]
        changes = changes_since(before, critical_facts(self._files))
        body = {
            "digests": self._files.digests,
            "changes": changes,
            "mistakes": blocking,
            "rules": RULES,
        }
        self._note("definitions", body)


def open_pit(
    folder: Path, clock: Clock = system_clock, *, fsync: bool = True, store: str | None = None
) -> Pit:
    """Open a pit folder for writing. The caller holds its lock (`storage/lock.py`). Raises Missing
    and Damaged."""
    return Pit(folder, clock, fsync, store)


@dataclass(frozen=True)
class Glance:
    """What a reading command sees without the lock: definitions, the state of the intact prefix,
    and its records."""

    definitions: Definitions
    state: State
    records: list[dict[str, Any]]
    report: list[str]


def glance(folder: Path) -> Glance:
    """Read a pit folder beside a running server: nothing is locked, repaired or written. Raises
    Missing and Damaged."""
    pit_keys(folder)
    heads = HeadFile(folder, folder / LOGBOOK)
    kept, mark = heads.read(), heads.mark()
    read = read_records(folder / LOGBOOK)
    definitions = read_definitions(folder)
    state = State(definitions.settings["zone"], Roster(folder, system_clock).role_of)
    state.advance(from_dict(record) for record in read.records)
    if last_signed(state) and read_holder(folder) is None:
        state.doubt, state.doubted_to = doubt_of(kept, mark, read), state.head
    return Glance(in_force(definitions, state), state, read.records, read.report)


def _id_of(item: Any) -> str:
    return str(item.get("id", ""))[:60] if isinstance(item, dict) else ""


def _answer(entry: Entry, outcome: Appended) -> Taken:
    if outcome.state == "conflict":
        return Taken(
            entry.id,
            error="This id is taken by an entry with other content; both are kept where they are.",
            field="id",
        )
    return Taken(entry.id, seq=outcome.record["seq"], known=outcome.state == "known")


def _decides_definitions(record: dict[str, Any]) -> bool:
    """Whether a record may change which definitions are in force; a PIN that is reset takes back
    what its owner approved."""
    reset = record["kind"] == "access" and record["body"].get("what") == "pin_reset"
    return reset or record["kind"] in ("definitions", "approval")
