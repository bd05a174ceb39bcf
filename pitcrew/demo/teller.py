"""Tells the story to a pit: every entry comes in through the pit's own door, at the story's time,
judged by the real judge."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import BytesIO
from random import Random
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import new_id
from pitcrew.base.errors import BadInput
from pitcrew.base.seal import head_text
from pitcrew.base.units import parse_reading
from pitcrew.demo.readings import DRIFTS, HEALTHY
from pitcrew.demo.story import CREW_OF_ZONE, ROLES, SECOND, Told
from pitcrew.domain.checks.checklists import Input
from pitcrew.domain.checks.judging import judged_body
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.rules import RULES
from pitcrew.domain.logbook.moment import Moment, moment_now
from pitcrew.domain.now.view import view_of
from pitcrew.pit.intake import Author
from pitcrew.pit.logs import LogStore, import_stored, look_into
from pitcrew.pit.pit import Pit

SLOW_CLOCKS = {"Tove": 95.0, "Runa": -1.4, "Ivo": 0.6}
"""How many seconds the clocks of some phones are behind."""


class StoryClock:
    """The pit's clock while the story is told: it shows what it was set to."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        """The story's time."""
        return self.now


@dataclass
class Teller:
    """Writes entries into an open pit whose clock is `clock`. `names` maps what the story calls
    things to entry ids."""

    pit: Pit
    clock: StoryClock
    rng: Random
    event: str
    names: dict[str, str] = field(default_factory=dict)

    def tell(self, at: datetime, told: Told, match: str | None, turn: int) -> None:
        """One entry of the story, handed over by the person's phone at once."""
        self.clock.now = at
        kind, body = told.kind, dict(told.body)
        if kind == "reading":
            item = self._asked(self.pit.definitions.part_checks[body["key"]], at)
            body = self._reading(item, turn, body["typed"])
        elif kind == "handoff":
            with self.pit.reading() as state:
                body["head"] = head_text(state.head, state.seal)
        elif kind == "fault_move" and "until" in body:
            body["until"] = self.run_id(body["until"])
        self._take(
            told.person,
            [self._offer(told.person, at, kind, self._resolved(body), match, told.name)],
        )

    def record(
        self, at: datetime, person: str, kind: str, body: dict[str, Any], match: str | None
    ) -> None:
        """One entry made on the laptop."""
        self.clock.now = at
        self.pit.record(
            kind, body, _author(person), match=match, entry_id=new_id(at, self.rng.getrandbits)
        )

    def read_log(
        self, at: datetime, person: str, raw: bytes, name: str, battery: str, match: str
    ) -> None:
        """A robot's log, dropped on the page by a person; its headings are known from then on."""
        self.clock.now = at
        store = LogStore(self.pit.folder)
        digest = store.keep(BytesIO(raw))
        _, columns = look_into(store, digest)
        import_stored(self.pit, digest, name, battery, match, columns, author=_author(person))

    def walk(
        self,
        begin: datetime,
        minutes: float,
        turn: int,
        read: Mapping[str, Mapping[str, str]],
        left: tuple[str, ...],
    ) -> None:
        """The crew walks all that is due, in the zones `left` only what the climb hangs on; each
        phone hands over at the end."""
        self.clock.now = begin
        with self.pit.reading() as state:
            view = view_of(self.pit.definitions, state, begin)
            run, due = view.run, [item.part_check for item in view.due]
        todo = [item for item in due if item.part.zone not in left or item.check.for_climb]
        offers: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for place, item in enumerate(todo):
            person = CREW_OF_ZONE[item.part.zone]
            at = begin + timedelta(minutes=minutes) * place / len(todo)
            body = self._reading(self._asked(item, at), turn, read.get(item.key, {}))
            offers[person].append(self._offer(person, at, "reading", body, run.id if run else None))
        self.clock.now = begin + timedelta(minutes=minutes)
        for person, entries in offers.items():
            self._take(person, entries)
        for item in todo:
            if item.check.witness:
                self.confirm(self.clock.now, item.key, SECOND[CREW_OF_ZONE[item.part.zone]])

    def confirm(self, at: datetime, name: str, person: str) -> None:
        """Someone else who saw it confirms the entry `name` of the story, on another phone."""
        body = {"of": self.names[name], "decision": "confirmed"}
        self.record(at, person, "approval", body, None)

    def sign(self, at: datetime, captain: str) -> bool:
        """The captain clears the climb if nothing is missing; whether that was so."""
        self.clock.now = at
        with self.pit.reading() as state:
            moment = moment_now(self.pit.definitions, state, at)
            run, missing = moment.run, missing_for_climb(moment)
            seen = state.head
        if not missing:
            self.record(
                at,
                captain,
                "clearance",
                {"decision": "cleared", "seen_seq": seen, "rules": RULES},
                run.id if run else None,
            )
        return not missing

    def run_id(self, match: str) -> str:
        """The first run of a match of the event."""
        return f"{self.event}/{match}/1"

    def _asked(self, item: PartCheck, at: datetime) -> PartCheck:
        """The check as a phone has it at that time."""
        with self.pit.reading() as state:
            return as_asked(Moment(self.pit.definitions, state, at, None), item)

    def _reading(self, item: PartCheck, turn: int, typed: Mapping[str, str]) -> dict[str, Any]:
        """A reading's body as a phone makes it."""
        usual = {**HEALTHY.get(item.check.id, {}), **HEALTHY.get(item.key, {})}
        drift = {
            name: values[min(turn, len(values) - 1)]
            for name, values in DRIFTS.get(item.key, {}).items()
        }
        texts = {**usual, **drift, **typed}
        inputs = {
            field.name: value
            for field in item.check.inputs
            if (value := self._input(field, texts.get(field.name)))
        }
        return {
            "check": item.check.id,
            "part": item.part.id,
            "inputs": inputs,
            **judged_body(item, inputs),
            "photos": [],
        }

    def _input(self, field: Input, text: str | None) -> dict[str, Any] | None:
        """One input as typed and understood; None for one that may stay empty."""
        if field.kind == "number":
            if text is None:
                raise BadInput(
                    f"The demo has no number for the input {field.name} of this check.", field.name
                )
            typed = self._scattered(text)
            quantity = parse_reading(typed, field.unit, field.least, field.most)
            return {"typed": typed, "value": quantity.value, "unit": quantity.unit}
        if field.kind in ("choice", "yes_no"):
            answer = text or next(
                word for word, verdict in field.options.items() if verdict == "ok"
            )
            return {"typed": answer, "value": answer, "unit": None}
        return {"typed": text, "value": text, "unit": None} if text else None

    def _scattered(self, text: str) -> str:
        """`10.1 ± 0.2` as one number within that spread, with as many decimals; other texts as they
        are."""
        centre, mark, spread = text.partition(" ± ")
        if not mark:
            return text
        decimals = len(centre.partition(".")[2])
        return f"{float(centre) + self.rng.uniform(-1, 1) * float(spread):.{decimals}f}"

    def _offer(
        self,
        person: str,
        at: datetime,
        kind: str,
        body: dict[str, Any],
        match: str | None,
        name: str = "",
    ) -> dict[str, Any]:
        """An entry as that person's phone makes it, by its own clock."""
        shown = at - timedelta(seconds=SLOW_CLOCKS.get(person, 0.0))
        entry_id = new_id(shown, self.rng.getrandbits)
        self.names[name or f"{body.get('check')}@{body.get('part')}"] = entry_id
        return {
            "id": entry_id,
            "kind": kind,
            "at": format_instant(shown),
            "match": match,
            "body": body,
            "shape": 1,
        }

    def _take(self, person: str, offers: list[dict[str, Any]]) -> None:
        for taken in self.pit.take(offers, _author(person), SLOW_CLOCKS.get(person, 0.0)):
            if taken.error:
                raise BadInput(
                    f"The demo's story does not fit the files: {taken.error}", taken.field
                )

    def _resolved(self, value: Any) -> Any:
        """A body with every `@name` replaced by the id of that entry."""
        if isinstance(value, str) and value.startswith("@"):
            return self.names[value[1:]]
        return (
            {name: self._resolved(item) for name, item in value.items()}
            if isinstance(value, dict)
            else value
        )


def _author(person: str) -> Author:
    return Author(f"demo-{person.lower()}", person, ROLES.get(person, "crew"))
