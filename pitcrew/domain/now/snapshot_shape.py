"""The shape of a phone's snapshot, as JSON. Instants are ISO 8601 text, or None; numbers are SI
where no unit stands beside them. `/api/snapshot` adds what the screens need (`Screen.snapshot`)."""

from typing import Any, TypedDict


class BatteryRow(TypedDict):
    """One battery as the fleet shows it; `health` and `evidence` are empty where none is known."""

    name: str
    part: str
    label: str
    place: str
    where: str
    offered: bool
    why: str
    state: str
    condition: str
    health: str
    evidence: str


class CarriedBattery(TypedDict):
    """The battery to carry next, or the one that the robot has already."""

    name: str
    label: str
    offered: bool
    says: str


class NextRun(TypedDict):
    """The run that starts next and when to leave for it."""

    run: str
    label: str
    planned: str | None
    expected: str | None
    leave_at: str | None
    back_at: str | None


class PartRow(TypedDict):
    """A part that a fault can be logged on."""

    id: str
    label: str
    zone: str
    climb_critical: bool


class ClearanceRow(TypedDict):
    """The climb clearance, read only; `at` is when it was signed."""

    planned: bool
    state: str
    why: str
    lasts: str
    person: str
    at: str | None
    missing: list[str]


class EventRow(TypedDict):
    """The event of this pit and its zone (IANA name)."""

    name: str
    label: str
    zone: str


class ZoneRow(TypedDict):
    """A zone of the robot map: `box` is left, top, width, height in percent of the outline, `state`
    the worst that is known in it, `release` how what is dangerous in it (`energies`) is made
    safe."""

    id: str
    label: str
    box: list[float]
    state: str
    due: int
    done: int
    total: int
    energies: list[str]
    release: list[str]


class RobotRow(TypedDict):
    """The robot that plays; metres and kilograms, None where the build sheet has none."""

    name: str
    label: str
    length: float | None
    width: float | None
    mass: float | None
    zones: list[ZoneRow]


class PersonRow(TypedDict):
    """Someone with a device in this pit."""

    name: str
    role: str


class ReasonRow(TypedDict):
    """Why the robot is not simply ready (`Reason` of `now/readiness.py`), and the page to go to."""

    text: str
    kind: str
    ref: str
    href: str


class ReadinessRow(TypedDict):
    """`word` is ready, ready with deferrals or hold."""

    word: str
    reasons: list[ReasonRow]


class QuestionRow(TypedDict):
    """One thing that the drive team is asked (`Question` of `event/debriefs.py`)."""

    name: str
    ask: str
    kind: str
    options: tuple[str, ...]


class HitRow(TypedDict):
    """An answer that reports a hit: `name` answered by one of `given` says `says`."""

    name: str
    given: tuple[Any, ...]
    says: str


class DebriefRow(TypedDict):
    """What the drive team is asked; `climb` only where the robot is one that climbs."""

    questions: list[QuestionRow]
    climb: list[QuestionRow]
    hits: list[HitRow]


class InputRow(TypedDict):
    """One thing to type or choose; `least` and `most` in its own unit, None for no bound."""

    name: str
    label: str
    kind: str
    unit: str
    unit_label: str
    least: float | None
    most: float | None
    options: list[str]
    required: bool


class ReadingRow(TypedDict):
    """The latest reading of a check."""

    verdict: str
    sentence: str
    at: str
    person: str
    marks: list[str]


class CheckRow(TypedDict):
    """A check on one part: what to do, what is typed, by what it is judged and why it is due.
    `limit` is `Limit` of `checks/limitshape.py` as JSON, without what is empty."""

    key: str
    check: str
    part: str
    part_label: str
    zone: str
    checklist: str
    label: str
    ask: str
    how: str
    drawing: str
    minutes: float
    hands: int
    power: str
    cautions: list[str]
    must: bool
    climb_critical: bool
    witness: bool
    accept: str
    inputs: list[InputRow]
    limit: dict[str, Any] | None
    unjudged_because: str
    due: bool
    why: str
    last: ReadingRow | None


class FaultRow(TypedDict):
    """A fault that is not closed; `until` and `restriction` are those of its deferral."""

    id: str
    part: str
    part_label: str
    symptom: str
    grade: str
    state: str
    expired: bool
    match: str | None
    at: str | None
    person: str
    marks: list[str]
    until: str | None
    restriction: str


class TemporaryRow(TypedDict):
    """Something taken off, bridged or borrowed that is still so; `blocks` where the robot must not
    play like that."""

    id: str
    part: str
    what: str
    blocks: bool
    person: str


class RunRow(TypedDict):
    """A run on the match list; `ours` is where we stand ("red 1"), empty where we do not play."""

    run: str
    label: str
    planned: str | None
    ours: str


class Snapshot(TypedDict):
    """Everything that a phone needs to work on its own. `log` and `head` say which logbook and how
    much of it; `played` is our last run that is over or under way."""

    log: str
    head: int
    now: str
    event: EventRow
    units: str
    robot: RobotRow | None
    person: PersonRow
    next: NextRun | None
    played: str | None
    debrief: DebriefRow
    readiness: ReadinessRow
    checks: list[CheckRow]
    parts: list[PartRow]
    climb: ClearanceRow
    faults: list[FaultRow]
    temporaries: list[TemporaryRow]
    batteries: list[BatteryRow]
    battery: CarriedBattery | None
    schedule: list[RunRow]
    people: list[PersonRow]
