"""State = fold(entries): ordered lists per part, check, fault and battery, which pages read instead
of the log.

`advance` takes entries in order of `seq`, at a small cost each. A late entry or a correction
refolds only its own lists. Nothing in a record stops the fold: what cannot be read or does not fit
is kept and named in `conflicts`.
"""

from collections.abc import Iterable
from copy import copy
from dataclasses import dataclass
from functools import partial
from typing import Any

from pitcrew.base.entries import Entry, read_body
from pitcrew.base.errors import PitcrewError, UnknownName
from pitcrew.base.kinds import KINDS
from pitcrew.base.kinds.kind import Kind, battery_name
from pitcrew.domain.logbook.corrections import RoleOf, in_force, versions
from pitcrew.domain.logbook.facts import UNKNOWN_PART, Fact, ReadingFact, corrected
from pitcrew.domain.logbook.faults import Fault, fold_fault
from pitcrew.domain.logbook.index import insert, remove
from pitcrew.domain.logbook.proofs import may_prove, proof
from pitcrew.domain.logbook.runs import Run, fold_run, runs_in_order
from pitcrew.domain.logbook.temporaries import TemporaryState, fold_temporary

__all__ = [
    "ClearanceFact",
    "Fact",
    "ReadingFact",
    "State",
    "TemporaryState",
    "Uncounted",
    "battery_name",
    "corrected",
]

ClearanceFact = Fact


@dataclass(frozen=True)
class Uncounted:
    """An entry that is kept but does not count, and why, in one sentence."""

    entry_id: str
    sentence: str


def _own(table: Any) -> Any:
    """A table with lists of its own, or a list of its own; anything else as it is."""
    if isinstance(table, dict) and isinstance(next(iter(table.values()), None), list | set):
        return {key: values.copy() for key, values in table.items()}
    return table.copy() if isinstance(table, dict | list) else table


class State:
    """Everything the pages need, by part, check, fault and battery. Read it while the pit holds it
    still."""

    # The lists in which each kind of entry is filed: `table` and `key` of `base/kinds/`.
    # By check@part, part, battery or entry, in order of time; decisions by seq.
    readings: dict[str, list[ReadingFact]]
    skips: dict[str, list[Fact]]
    fault_reports: dict[str, list[Fact]]
    fault_moves: dict[str, list[Fact]]
    temporary_starts: dict[str, list[Fact]]
    temporary_ends: dict[str, list[Fact]]
    part_changes: dict[str, list[Fact]]
    run_facts: dict[str, list[Fact]]
    returned: list[Fact]
    debriefs: list[Fact]
    battery_moves: dict[str, list[Fact]]
    battery_tests: dict[str, list[Fact]]
    robot_logs: dict[str, list[Fact]]
    clearances: list[ClearanceFact]
    approvals: dict[str, list[Fact]]
    loads: list[Fact]
    handoffs: list[Fact]
    notes: list[Fact]
    merges: list[Fact]
    accesses: list[Fact]
    losses: list[Fact]
    climb_plans: list[Fact]
    battery_identities: list[Fact]

    def __init__(self, zone: str, role_of: RoleOf | None = None) -> None:
        """`zone`: the event's time zone; `role_of`: the lookup that lets a lead correct what others
        wrote."""
        for kind in KINDS.values():
            if kind.table:
                setattr(self, kind.table, {} if kind.key else [])
        self.zone = zone
        self.head = 0
        self.seal = ""
        self.entries_by_id: dict[str, Entry] = {}  # as they came, corrected ones too
        self.facts: dict[str, Fact] = {}  # as they stand, by entry id
        # by check@part, in order of time; likewise below
        self.readings_of_part: dict[str, list[ReadingFact]] = {}
        self.faults: dict[str, Fault] = {}
        self.temporaries: dict[str, TemporaryState] = {}
        self.runs: dict[str, Run] = {}
        self.doubt = ""  # why nothing signed up to entry `doubted_to` counts, not in the log yet
        self.doubted_to = 0
        self.unfinished = ""  # a write that the last stop cut off, in words; it was never answered
        self.corrections: dict[str, list[Entry]] = {}  # by the id of what they correct
        # by part, in order of seq; "" holds those of no known part
        self.touches: dict[str, list[tuple[int, Entry]]] = {}
        # the same of work and corrections alone: readings touch parts many times more often
        self.worked: dict[str, list[tuple[int, Entry]]] = {}
        self._role_of = role_of
        self._unproven: dict[str, set[str]] = {}  # part -> faults whose proof waits for a reading
        self._sentences: dict[str, list[tuple[str, str]]] = {}  # conflicts by what was folded

    @property
    def definitions_loads(self) -> list[Entry]:
        """The entries that noted changed definition files here, by `seq`; those of another log are
        history."""
        return [fact.entry for fact in self.loads if fact.entry.origin is None]

    @property
    def conflicts(self) -> list[Uncounted]:
        """Every entry that is kept but does not count, with why, by `seq`."""
        found = [pair for pairs in self._sentences.values() for pair in pairs]
        for fault in self.faults.values():
            found += fault.conflicts
        found += self._strays()
        return [
            Uncounted(*pair)
            for pair in sorted(found, key=lambda pair: self.entries_by_id[pair[0]].seq)
        ]

    def runs_in_order(self) -> list[Run]:
        """All match runs in order of play."""
        return runs_in_order(self)

    def versions(self, entry_id: str) -> list[tuple[Entry | None, Entry | None]]:
        """Each way in which an entry stood (None: taken out), with the correction that made it
        so."""
        return versions(
            self.entries_by_id[entry_id], self.corrections.get(entry_id, []), self._role_of
        )

    def still(self) -> "State":
        """A copy that later entries do not move. Its tables and lists are its own; the facts in
        them are shared and never change."""
        found = copy(self)
        vars(found).update({name: _own(value) for name, value in vars(self).items()})
        return found

    def advance(self, records: Iterable[Entry]) -> None:
        """Fold entries, which come in order of `seq`. Whatever a record holds, the fold goes on."""
        for entry in records:
            self.head, self.seal = max(self.head, entry.seq), entry.seal
            if entry.id in self.entries_by_id:
                continue
            self.entries_by_id[entry.id] = entry
            self._touch(
                entry, self._correct(entry) if entry.kind == "correction" else self._arrive(entry)
            )

    def _touch(self, entry: Entry, parts: Iterable[str]) -> None:
        worked = entry.kind == "correction" or (entry.kind in KINDS and KINDS[entry.kind].is_work)
        for part in parts:
            self.touches.setdefault(part, []).append((entry.seq, entry))
            if worked:
                self.worked.setdefault(part, []).append((entry.seq, entry))

    def _arrive(self, entry: Entry) -> set[str]:
        """File a new entry, corrected if its corrections came first; the parts that it touches."""
        parts = self._file(entry)
        return parts | self._refile(entry) if entry.id in self.corrections else parts

    def _correct(self, correction: Entry) -> set[str]:
        """Apply a correction to what it names, if that has arrived; the parts that it touches,
        before and after."""
        try:
            of = read_body("correction", correction.body).of
        except PitcrewError as error:
            return self._unreadable(correction, error)
        self.corrections.setdefault(of, []).append(correction)
        original = self.entries_by_id.get(of)
        if original is None or original.kind == "correction":
            return {UNKNOWN_PART}
        return self._refile(original)

    def _refile(self, original: Entry) -> set[str]:
        """Take an entry out of its lists and file it again as its corrections leave it."""
        before = self._withdraw(original)
        entry, self._sentences[f"corrections of {original.id}"] = in_force(
            original, self.corrections[original.id], self._role_of
        )
        touched = before | self._file(entry) if entry else before
        if original.kind == "debrief":  # what it said of a climb is said no more: of any part
            touched |= {UNKNOWN_PART}
        if fact := self.facts.get(original.id):
            last = self.versions(original.id)[-1][1]
            fact.corrected_by = (last.person or "somebody") if last else ""
            self._refold(fact)
        return touched

    def _file(self, entry: Entry) -> set[str]:
        """Put an entry into its list and refold what hangs on it; the parts that it touches."""
        try:
            filing, body, parts = self._read(entry)
            fact = (ReadingFact if entry.kind == "reading" else Fact)(entry, body, parts)
            insert(self._list(filing, fact), fact)
        except PitcrewError as error:
            return self._unreadable(entry, error)
        self.facts[entry.id] = fact
        if isinstance(fact, ReadingFact):
            insert(self.readings_of_part.setdefault(fact.part, []), fact)
        self._refold(fact)
        return set(parts)

    def _read(self, entry: Entry) -> tuple[Kind, Any, tuple[str, ...]]:
        """Where an entry is filed, its body, and the parts that it touches. Raises UnknownName and
        BadInput."""
        filing = KINDS.get(entry.kind)
        if filing is None or not filing.table:
            raise UnknownName("The entry kind", entry.kind, KINDS, "kind")
        body = read_body(entry.kind, entry.body)
        return (
            filing,
            body,
            tuple(
                self._parts_named(getattr(body, filing.refers))
                if filing.refers
                else filing.parts(body)
            ),
        )

    def _withdraw(self, original: Entry) -> set[str]:
        """Take an entry out of its lists, if it is there; the parts that it touched."""
        if self._sentences.pop(original.id, None):
            return {UNKNOWN_PART}
        fact = self.facts.pop(original.id, None)
        if fact is None:
            # an earlier correction took it out: what is said of it now still concerns its parts
            return set(self._read(original)[2])
        remove(self._list(KINDS[original.kind], fact), fact)
        if isinstance(fact, ReadingFact):
            remove(self.readings_of_part[fact.part], fact)
        self._refold(fact)
        return set(fact.parts)

    def _list(self, filing: Kind, fact: Fact) -> list[Fact]:
        """The ordered list that a fact belongs into."""
        table = getattr(self, filing.table)
        facts: list[Fact]
        facts = table if filing.key is None else table.setdefault(filing.key(fact), [])
        return facts

    def _unreadable(self, entry: Entry, error: PitcrewError) -> set[str]:
        self._sentences[entry.id] = [(entry.id, error.sentence)]
        return {UNKNOWN_PART}

    def _parts_named(self, entry_id: str) -> tuple[str, ...]:
        fact = self.facts.get(entry_id)
        return fact.parts if fact else (UNKNOWN_PART,)

    def _refold(self, fact: Fact) -> None:
        """Fold again the one fault, temporary state or run that a fact belongs to, or the faults
        that a reading proves."""
        kind, body = fact.entry.kind, fact.body
        if isinstance(fact, ReadingFact):
            self._refold_proofs(fact)
        elif kind in ("fault", "fault_move"):
            self._refold_fault(fact.id if kind == "fault" else body.fault)
        elif kind in ("temporary", "temporary_undone"):
            self._refold_temporary(fact.id if kind == "temporary" else body.temporary)
        elif kind == "match_run":
            self._refold_run(fact.match or "")

    def _refold_fault(self, fault_id: str) -> None:
        report, moves = self.fault_reports.get(fault_id), self.fault_moves.get(fault_id, [])
        known = self.faults.pop(fault_id, None)
        if known is not None:
            self._unproven.get(known.part, set()).discard(fault_id)
        if not report:
            return
        fault = self.faults[fault_id] = fold_fault(report[0], moves, partial(proof, self))
        if fault.unproven:
            self._unproven.setdefault(fault.part, set()).add(fault_id)

    def _refold_proofs(self, reading: ReadingFact) -> None:
        """Fold again the faults that a new reading may prove, or all of its part that a withdrawn
        one may have proven."""
        if reading.id in self.facts:
            waiting = self._unproven.get(reading.part, ())
            touched = [name for name in waiting if may_prove(self, self.faults[name], reading)]
        else:
            touched = [name for name, fault in self.faults.items() if fault.part == reading.part]
        for name in touched:
            self._refold_fault(name)

    def _refold_temporary(self, temporary_id: str) -> None:
        start = self.temporary_starts.get(temporary_id)
        if start:
            self.temporaries[temporary_id] = fold_temporary(
                start[0], self.temporary_ends.get(temporary_id, [])
            )
        else:
            self.temporaries.pop(temporary_id, None)

    def _refold_run(self, run_id: str) -> None:
        facts = self.run_facts[run_id]
        if facts:
            self.runs[run_id], self._sentences[f"run {run_id}"] = fold_run(run_id, facts)
        else:
            self.runs.pop(run_id, None)

    def _strays(self) -> list[tuple[str, str]]:
        """Entries that name another one which is not there, and corrections of corrections."""
        found = []
        for moves, known, word in (
            (self.fault_moves, self.faults, "fault"),
            (self.temporary_ends, self.temporaries, "temporary state"),
        ):
            for name, facts in moves.items():
                if name not in known:
                    found += [
                        (fact.id, f"It names a {word} that is not in the logbook.")
                        for fact in facts
                    ]
        for name, corrections in self.corrections.items():
            original = self.entries_by_id.get(name)
            if original is None:
                found += [
                    (entry.id, "It corrects an entry that is not in the logbook.")
                    for entry in corrections
                ]
            elif original.kind == "correction":
                found += [
                    (entry.id, "A correction is not corrected; correct the entry itself again.")
                    for entry in corrections
                ]
        return found
