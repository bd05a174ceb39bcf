"""The bodies of entries: one shape per kind.

Shapes only ever gain optional fields, so an old phone's entry stays readable.
"""

from typing import Any, Literal, get_args

import msgspec

Verdict = Literal["ok", "watch", "stop", "unjudged"]
Grade = Literal["stop", "degraded", "watch"]
Move = Literal["open", "deferred", "repaired", "proven", "no_fault_found"]
AccessKind = Literal["joined", "withdrawn", "pin_set", "pin_reset", "locked_out", "head_shown"]
LossKind = Literal["cut", "shorter", "other", "missing", "restored", "adopted", "unsure"]
Place = Literal["robot", "channel", "rest", "bench", "retired"]
VERDICTS: tuple[str, ...] = get_args(Verdict)


class Body(msgspec.Struct, forbid_unknown_fields=True, omit_defaults=True):
    """Base of every body: unknown fields are refused, so nothing is lost in silence."""


class InputValue(Body):
    """One input of a reading: as typed, as understood, and the unit of `value` (null for words)."""

    typed: str
    value: float | str | bool | None = None
    unit: str | None = None


class Reading(Body):
    check: str
    part: str
    inputs: dict[str, InputValue] = {}
    result: float | str | bool | None = None
    limit: dict[str, Any] | None = None
    verdict: Verdict | None = None
    photos: list[str] = []
    note: str = ""


class Skipped(Body):
    check: str
    part: str
    why: str


class FaultReport(Body):
    part: str
    symptom: str
    grade: Grade
    reading: str | None = None
    photos: list[str] = []


class FaultMove(Body):
    fault: str
    to: Move
    why: str = ""
    until: str | None = None
    restriction: str = ""
    parts_used: list[str] = []
    reading: str | None = None


class Temporary(Body):
    part: str
    what: str
    blocks: bool = True


class TemporaryUndone(Body):
    temporary: str
    how: str = ""


class PartChange(Body):
    part: str
    identical: bool
    old: str = ""
    new: str = ""


class MatchRun(Body):
    """A schedule fact of one run; fields left out keep what was known before."""

    planned: str | None = None
    actual: str | None = None
    stations: dict[str, list[str]] | None = None
    ours: str | None = None
    cancelled: bool | None = None
    label: str | None = None
    order: int | None = None


class Returned(Body):
    note: str = ""


class Debrief(Body):
    answers: dict[str, str | bool] = {}


class BatteryMove(Body):
    battery: str
    to: Place
    where: str = ""


class BatteryTest(Body):
    battery: str
    points: list[tuple[float, float]] = []
    result: dict[str, float | str | None] = {}


class RobotLog(Body):
    """What one log of the robot said; the file itself is kept under `file`, its SHA-256. A.h, A, V,
    ohm, s, V per A.h; null where not to be told. `doubts`: what of it cannot well be, as questions;
    nothing is built upon a log that has some.
    """

    battery: str
    file: str
    name: str
    rows: int
    bad_rows: int
    duration: float
    lowest_voltage: float
    columns: dict[str, str] = {}
    lowest_at: float = 0.0
    seconds_below: dict[str, float] = {}
    brownouts: int = 0
    charge: float | None = None
    peak_current: float | None = None
    mean_current: float | None = None
    sustained_current: float | None = None
    resistance: float | None = None
    resistance_low: float | None = None
    resistance_high: float | None = None
    open_circuit: float | None = None
    overruns: int | None = None
    channels: dict[str, float] = {}
    charge_slope: float | None = None
    doubts: list[str] = []


class Clearance(Body):
    """`rules`: which rules the program that took it held it to; the first release stated none."""

    decision: Literal["cleared", "refused"]
    seen_seq: int
    why: str = ""
    rules: int = 1


class Approval(Body):
    """`confirmed`: a second person saw what a reading or debrief says; `by_pin`: on the author's
    own device, with a PIN.

    `role`: the role in which a second name was given.
    """

    of: str
    decision: Literal["approved", "refused", "confirmed"]
    by_pin: bool = False
    role: str = ""


class DefinitionsLoaded(Body):
    """What a load of changed TOML did: digests of the files; per climb-critical thing, before and
    after; mistakes that block the climb.

    `rules`: the rules of the program that loaded them, as in a clearance.
    """

    digests: dict[str, str]
    changes: list[dict[str, Any]] = []
    mistakes: list[dict[str, Any]] = []
    rules: int = 1


class Access(Body):
    """Who may act here, noted by the laptop itself: a device let in or withdrawn, a PIN set or
    reset, a lock-out, a head that a phone showed. `person`: whose; `by`: who did it; `seconds`: how
    long a lock-out lasts; `of`: the loss that a shown head answers, `seen`: the entry it names;
    `before`: which device the same browser was until it joined again."""

    what: AccessKind
    person: str = ""
    device: str = ""
    role: str = ""
    by: str = ""
    seconds: float | None = None
    of: str | None = None
    seen: int | None = None
    before: str = ""


class Loss(Body):
    """What this logbook may lack, noted by the laptop itself; everything signed before it ends.

    `held`: the last entry that was known, `here`: the last that the log held then; `lost`: what a
    cut line may have been; `by`: who showed more or brought entries back.
    """

    what: LossKind
    held: int | None = None
    here: int | None = None
    lost: str = ""
    by: str = ""


class Handoff(Body):
    audience: str
    head: str


class Correction(Body):
    of: str
    body: dict[str, Any] | None
    why: str


class Note(Body):
    text: str
    part: str | None = None
    fault: str | None = None
    photos: list[str] = []


class Merge(Body):
    """Whether two faults of one part, worded differently, are the same failure; both named by their
    entry ids."""

    first: str
    second: str
    same: bool


BODIES: dict[str, type[Body]] = {
    "reading": Reading,
    "skipped": Skipped,
    "fault": FaultReport,
    "fault_move": FaultMove,
    "temporary": Temporary,
    "temporary_undone": TemporaryUndone,
    "part_change": PartChange,
    "match_run": MatchRun,
    "returned": Returned,
    "debrief": Debrief,
    "battery_move": BatteryMove,
    "battery_test": BatteryTest,
    "robot_log": RobotLog,
    "clearance": Clearance,
    "approval": Approval,
    "definitions": DefinitionsLoaded,
    "handoff": Handoff,
    "correction": Correction,
    "note": Note,
    "merge": Merge,
    "access": Access,
    "loss": Loss,
}
SIGNED_KINDS = frozenset({"clearance", "approval", "definitions", "access", "loss"})
"""Kinds that never come through `POST /api/entries`: they come through pages and the laptop
itself."""
