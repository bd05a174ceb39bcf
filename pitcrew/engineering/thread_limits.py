"""Limits of size of ordinary threads: classes 6g/6H (ISO 965-1) and 2A/2B (ASME B1.1), and the
shear areas they leave."""

import math
from bisect import bisect_left
from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.constants import INCH
from pitcrew.engineering.threads import Thread

# ISO 965-1, by pitch in mm, in micrometres: es of position g; Td of grade 6; TD1 of grade 6
_BY_PITCH: dict[float, tuple[int, int, int]] = {
    0.35: (19, 85, 100),
    0.4: (19, 95, 112),
    0.45: (20, 100, 125),
    0.5: (20, 106, 140),
    0.6: (21, 125, 160),
    0.7: (22, 140, 180),
    0.75: (22, 140, 190),
    0.8: (24, 150, 200),
    1: (26, 180, 236),
    1.25: (28, 212, 265),
    1.5: (32, 236, 300),
    1.75: (34, 265, 335),
    2: (38, 280, 375),
    2.5: (42, 335, 450),
    3: (48, 375, 500),
    3.5: (53, 425, 560),
    4: (60, 475, 600),
}
# ISO 965-1, by range of diameter in mm (its upper end) and pitch: Td2 and TD2 of grade 6 in
# micrometres
_UPPER_ENDS = (2.8, 5.6, 11.2, 22.4, 45.0)
_PITCH_DIAMETER: tuple[dict[float, tuple[int, int]], ...] = (
    {0.35: (63, 85), 0.4: (67, 90), 0.45: (71, 95)},
    {
        0.35: (67, 90),
        0.5: (75, 100),
        0.6: (85, 112),
        0.7: (90, 118),
        0.75: (90, 118),
        0.8: (95, 125),
    },
    {0.5: (85, 112), 0.75: (100, 132), 1: (112, 150), 1.25: (118, 160), 1.5: (132, 180)},
    {
        1: (118, 160),
        1.25: (132, 180),
        1.5: (140, 190),
        1.75: (150, 200),
        2: (160, 212),
        2.5: (170, 224),
    },
    {1: (125, 170), 1.5: (150, 200), 2: (170, 224), 3: (200, 265), 3.5: (212, 280), 4: (224, 300)},
)


@dataclass(frozen=True)
class Limits:
    """The worst of their classes, in m: least major and pitch diameter of a bolt, greatest pitch
    and minor diameter of a nut."""

    major_least: float
    pitch_least: float
    pitch_most: float
    minor_most: float


def limits(thread: Thread) -> Limits:
    """Limits of size for 6g/6H or 2A/2B. Raises OutOfRange for a metric thread that ISO 965-1 does
    not tabulate."""
    return _metric(thread) if thread.metric else _unified(thread)


def _metric(thread: Thread) -> Limits:
    diameter, pitch = round(thread.diameter * 1000, 6), round(thread.pitch * 1000, 6)
    pitch_tolerances = _PITCH_DIAMETER[bisect_left(_UPPER_ENDS, diameter)].get(pitch)
    if pitch_tolerances is None or pitch not in _BY_PITCH:
        raise OutOfRange(
            f"The thread {thread.name} has no 6g/6H tolerance in ISO 965-1. Take a standard pitch.",
            "thread",
        )
    clearance, major, minor = _BY_PITCH[pitch]
    outer, inner = pitch_tolerances
    micro = 1e-6
    return Limits(
        thread.diameter - (clearance + major) * micro,
        round(thread.pitch_diameter, 6) - (clearance + outer) * micro,
        round(thread.pitch_diameter, 6) + inner * micro,
        round(thread.minor_diameter, 6) + minor * micro,
    )


def _unified(thread: Thread) -> Limits:
    d, p = thread.diameter / INCH.value, thread.pitch / INCH.value
    engagement = d if thread.by_diameter else 9 * p
    tolerance = round(
        0.0015 * d ** (1 / 3) + 0.0015 * math.sqrt(engagement) + 0.015 * p ** (2 / 3), 6
    )
    allowance = round(0.3 * tolerance, 4)
    pitch_diameter = round(thread.pitch_diameter / INCH.value, 4)
    minor = d - 5 * math.sqrt(3) / 8 * p + _minor_tolerance(d, p)
    return Limits(
        (d - allowance - round(0.06 * p ** (2 / 3), 4)) * INCH.value,
        (pitch_diameter - allowance - round(tolerance, 4)) * INCH.value,
        (pitch_diameter + round(1.3 * tolerance, 4)) * INCH.value,
        round(minor, 3 if d >= 0.138 else 4) * INCH.value,
    )


def _minor_tolerance(d: float, p: float) -> float:
    """Tolerance in inches of a 2B minor diameter."""
    plain = 0.25 * p - 0.4 * p**2
    if d >= 0.25:
        return plain
    return min(max(0.05 * math.pow(p, 2 / 3) + 0.03 * p / d - 0.002, plain), 0.394 * p)


def shear_areas(thread: Thread, engagement: float) -> tuple[float, float]:
    """Areas in m² that must shear to strip (the bolt's thread, the nut's thread) over an engagement
    in m.

    FED-STD-H28/2B formulas (2a) and (4a), worst limits of the classes.
    """
    size = limits(thread)
    turns = engagement / thread.pitch
    slope = 1 / math.sqrt(3)
    bolt = (
        math.pi
        * turns
        * size.minor_most
        * (thread.pitch / 2 + slope * (size.pitch_least - size.minor_most))
    )
    nut = (
        math.pi
        * turns
        * size.major_least
        * (thread.pitch / 2 + slope * (size.major_least - size.pitch_most))
    )
    return bolt, nut
