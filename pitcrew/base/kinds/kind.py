"""What a kind of entry is: everything that the program has to know of it, said in one place."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, Protocol, get_args

import msgspec

Verdict = Literal["ok", "watch", "stop", "unjudged"]
FaultGrade = Literal["stop", "degraded", "watch"]
Move = Literal["open", "deferred", "repaired", "proven", "no_fault_found"]
BatteryPlace = Literal["robot", "channel", "rest", "bench", "retired"]
VERDICTS: tuple[str, ...] = get_args(Verdict)

CREW = frozenset({"crew", "captain", "mentor", "lead"})
"""Everyone in the pit."""
DECIDERS = frozenset({"captain", "mentor", "lead"})
"""Who decides what others work by."""
LAPTOP = frozenset({"laptop"})
"""The laptop itself, never a person."""


class Body(msgspec.Struct, forbid_unknown_fields=True, omit_defaults=True):
    """Base of every body: unknown fields are refused, so nothing is lost in silence."""


class Said(Body):
    """What a sentence is made of, stored beside it, so that it can be said in other words or
    another language later: the key of its template, its numbers in SI and its words, each by
    name. `text` is the sentence as it was shown."""

    key: str
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    text: str = ""


class Filed(Protocol):
    """What is known of an entry when it is filed: its id, its match run and its body."""

    @property
    def id(self) -> str: ...
    @property
    def match(self) -> str | None: ...
    @property
    def body(self) -> Any: ...


class Names(Protocol):
    """What a handoff needs to say a body in words."""

    def label(self, part: str) -> str:
        """A part's name."""

    def fault(self, fault: str) -> tuple[str, str] | None:
        """The name of a fault's part and its symptom; None where it is not in the logbook."""

    def temporary(self, temporary: str) -> tuple[str, str] | None:
        """The name of a temporary state's part and what it is; None where it is not there."""

    def word(self, move: str) -> str:
        """A fault's move in words."""


def _nothing(body: Any) -> tuple[str, ...]:
    return ()


def _not_work(body: Any) -> str:
    return ""


@dataclass(frozen=True)
class Kind:
    """One kind of entry.

    `name`, `body`: what it is called and its shape, which only ever gains optional fields;
    `written_by`: the roles that may write one; `signed`: it never comes through
    `POST /api/entries`, only through pages and the laptop itself; `correctable`: whether a
    correction of it counts.

    `table`: the list of the state that it is filed in (empty: none), `key`: which list of that
    table (None: the table is one list); `decision`: its place there is by number, not by time.

    `parts`: the parts that its body names, which it touches: on the hold path that ends a
    clearance; `refers`: the field that names the entry whose parts are touched instead;
    `of_parts`: whether a correction of it changes what is known of a part; `done`: the work that
    it reports, as in "was changed" (empty: none).

    `told`: how a handoff says it, as what it is about and what was done (None: it does not).

    `words`: what people call such an entry, where its name does not say it.
    """

    name: str
    body: type[Body]
    written_by: frozenset[str]
    table: str
    key: Callable[[Filed], str] | None = None
    decision: bool = False
    signed: bool = False
    correctable: bool = True
    of_parts: bool = True
    refers: str = ""
    parts: Callable[[Any], tuple[str, ...]] = _nothing
    done: Callable[[Any], str] = _not_work
    told: Callable[[Any, Names], tuple[str, str] | None] | None = None
    words: str = ""

    @property
    def is_work(self) -> bool:
        """Whether an entry of this kind may be work on a part."""
        return self.done is not _not_work


def own_part(body: Any) -> tuple[str, ...]:
    """The part that a body names, if any."""
    return (body.part,) if body.part else ()


def own_id(fact: Filed) -> str:
    """The entry's own id."""
    return fact.id


def check_key(fact: Filed) -> str:
    """`check@part`."""
    return f"{fact.body.check}@{fact.body.part}"


def battery_name(text: str) -> str:
    """A battery's name as written, without outer blanks and the `battery.` of its part id."""
    return text.strip().removeprefix("battery.")


def battery_key(fact: Filed) -> str:
    """The name of the battery."""
    return battery_name(fact.body.battery)


def battery_part(body: Any) -> tuple[str, ...]:
    """The battery as a part."""
    return (f"battery.{battery_name(body.battery)}",)
