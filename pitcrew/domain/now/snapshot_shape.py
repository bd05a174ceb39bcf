"""The shapes in a phone's snapshot that hold plain facts. Instants are ISO 8601 text, or None."""

from typing import TypedDict


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
