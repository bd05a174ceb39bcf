"""What a log of the robot says of a match and its battery."""

from pitcrew.base.kinds.kind import CREW, Body, Kind, battery_key, battery_part


class RobotLog(Body):
    """What one log of the robot said; the file itself is kept under `file`, its SHA-256. A.h, A, V,
    ohm, s, V per A.h; null where unknown. `doubts`: what of it cannot well be, as questions;
    nothing is built upon a log that has some. `clock_unit`: what its clock counts, where a person
    said so; it then stands behind the clock's heading, too.
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
    clock_unit: str = ""


KIND = Kind(
    name="robot_log",
    body=RobotLog,
    written_by=CREW,
    table="robot_logs",
    key=battery_key,
    parts=battery_part,
)
