"""Screw threads: how they are written, which exist, and their stress area.

`M6`, `M8x1.25`, `10-32`, `#10-32`, `1/4-20`, `1-1/8-12`; a bare metric size has its coarse pitch.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.engineering.constants import INCH
from pitcrew.engineering.figures import text
from pitcrew.engineering.lookup import plain

# What the stress diameter lacks to the major one, in pitches. ISO 898-1 takes the mean of d2 and d3 (it prints 0.9382),
# ASME B1.1 the mean of the pitch diameter and a sharper minor one (it prints 0.9743).
ISO_AREA, UNIFIED_AREA = 13 * math.sqrt(3) / 24, 9 * math.sqrt(3) / 16

# ISO 261: nominal diameter in mm -> pitches in mm, the coarse one first
METRIC_PITCHES: dict[float, tuple[float, ...]] = {
    1.6: (0.35,),
    2: (0.4,),
    2.5: (0.45, 0.35),
    3: (0.5, 0.35),
    3.5: (0.6, 0.35),
    4: (0.7, 0.5),
    5: (0.8, 0.5),
    6: (1, 0.75, 0.5),
    7: (1, 0.75),
    8: (1.25, 1, 0.75),
    10: (1.5, 1.25, 1, 0.75),
    12: (1.75, 1.5, 1.25, 1),
    14: (2, 1.5, 1.25, 1),
    16: (2, 1.5, 1),
    18: (2.5, 2, 1.5, 1),
    20: (2.5, 2, 1.5, 1),
    22: (2.5, 2, 1.5, 1),
    24: (3, 2, 1.5, 1),
    27: (3, 2, 1.5, 1),
    30: (3.5, 3, 2, 1.5, 1),
    33: (3.5, 3, 2, 1.5),
    36: (4, 3, 2, 1.5),
    39: (4, 3, 2, 1.5),
}
# ASME B1.1: sizes by series; a whole number below 13 beside many threads is a screw number, not inches
UNC = (
    "1-64 2-56 3-48 4-40 5-40 6-32 8-32 10-24 12-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12 5/8-11 3/4-10 7/8-9 1in-8 "
    "1-1/8-7 1-1/4-7 1-3/8-6 1-1/2-6"
)
UNF = (
    "0-80 1-72 2-64 3-56 4-48 5-44 6-40 8-36 10-32 12-28 1/4-28 5/16-24 3/8-24 7/16-20 1/2-20 9/16-18 5/8-18 3/4-16 7/8-14 "
    "1in-12 1-1/8-12 1-1/4-12 1-3/8-12 1-1/2-12"
)
EIGHT_THREAD = "1-1/8-8 1-1/4-8 1-3/8-8 1-1/2-8"
OTHER = "12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 3/4-20 7/8-20 1in-20 1in-14"
_METRIC = re.compile(r"m(\d+(?:[.,]\d+)?)(?:[x-](\d+(?:[.,]\d+)?))?(?:-?6[gh])?")
_SERIES = re.compile(r"^(?:unc|unf|unef|uns|un)\s+|[ -]?(unc|unf|unef|uns|un|nc|nf)\b.*$")


@dataclass(frozen=True)
class Thread:
    """A thread: `diameter` (basic major) and `pitch` in m; `by_diameter` when its standard engagement is one diameter."""

    name: str
    diameter: float
    pitch: float
    metric: bool
    by_diameter: bool = True

    @property
    def area(self) -> float:
        """Tensile stress area in m² (ISO 898-1 for metric threads, ASME B1.1 for inch threads)."""
        return math.pi / 4 * (self.diameter - (ISO_AREA if self.metric else UNIFIED_AREA) * self.pitch) ** 2

    @property
    def printed_area(self) -> float:
        """The area in m² with which the standards count loads: ISO 898-1 prints and uses three digits of it."""
        if not self.metric:
            return self.area
        digits = 2 - math.floor(math.log10(self.area * 1e6))
        return round(self.area * 1e6, digits) / 1e6

    @property
    def pitch_diameter(self) -> float:
        """Basic pitch diameter in m."""
        return self.diameter - 3 * math.sqrt(3) / 8 * self.pitch

    @property
    def minor_diameter(self) -> float:
        """Basic minor diameter in m."""
        return self.diameter - 5 * math.sqrt(3) / 8 * self.pitch


def _metric_name(size: float, pitch: float | None) -> str:
    """`M8` for the coarse pitch or none given, else `M8x1`."""
    coarse = METRIC_PITCHES.get(size, (None,))[0]
    return f"M{size:g}" if pitch in (None, coarse) else f"M{size:g}x{pitch:g}"


def _metric_threads() -> dict[str, Thread]:
    threads = {}
    for size, pitches in METRIC_PITCHES.items():
        for pitch in pitches:
            name = _metric_name(size, pitch)
            threads[name] = Thread(name, size / 1000, pitch / 1000, True)
    return threads


def _inch_threads() -> dict[str, Thread]:
    threads = {}
    others = OTHER.split()
    for typed in [*UNC.split(), *UNF.split(), *EIGHT_THREAD.split(), *others]:
        size, _, per_inch = typed.rpartition("-")
        if "/" in size or size.endswith("in"):
            inches = float(sum(Fraction(part) for part in size.removesuffix("in").split("-")))
        else:
            inches = 0.060 + 0.013 * int(size)
        name = typed.replace("in", "")
        threads[name] = Thread(name, inches * INCH.value, INCH.value / int(per_inch), False, typed not in others)
    return threads


THREADS: dict[str, Thread] = _metric_threads() | _inch_threads()
THREAD = text("thread as written", "M6", "M8x1.25", "10-32", "1/4-20")


def thread(written: object) -> Thread:
    """The thread as a person writes it. Raises UnknownName with the nearest that exists, OutOfRange without threads per inch."""
    typed = plain(written)
    metric = _METRIC.fullmatch(typed.replace(" ", ""))
    name = _metric_name(*_sizes(metric)) if metric else _inch_name(typed)
    if name not in THREADS:
        pitches = [known for known in THREADS if known.startswith(f"{name}-")]
        if pitches and not metric:
            raise OutOfRange(f"{name} arrived without its threads per inch. Write one of {', '.join(pitches)}.", "thread")
        raise UnknownName("The thread", written, THREADS)
    return THREADS[name]


def _sizes(match: re.Match[str]) -> tuple[float, float | None]:
    size, pitch = (float(part.replace(",", ".")) if part else None for part in match.groups())
    return size or 0.0, pitch


def _inch_name(typed: str) -> str:
    name = _SERIES.sub("", typed).replace('"', "").replace("in-", "-")
    for mark in ("#", "no.", "no "):
        name = name.removeprefix(mark)
    return name.replace(" ", "-")
