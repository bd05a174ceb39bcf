"""Screw threads: how they are written, which exist, and their stress area.

`M6`, `M8x1.25`, `10-32`, `#10-32`, `1/4-20`, `¼-20`, `1-1/8-12`; a bare metric size has its coarse
pitch. A screw's length may stand behind it: `M6x20`, `M6x1x20`, `1/4-20 x 1"`.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.base.typed import plain_text
from pitcrew.engineering.constants import INCH
from pitcrew.engineering.lookup import plain
from pitcrew.engineering.parameters import text

# What the stress diameter lacks to the major one, in pitches. ISO 898-1 takes the mean of d2 and d3
# (it prints 0.9382), ASME B1.1 the mean of the pitch diameter and a sharper minor one (it prints
# 0.9743).
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
# ASME B1.1: sizes by series; a whole number below 13 beside many threads is a screw number, not
# inches
UNC = (
    "1-64 2-56 3-48 4-40 5-40 6-32 8-32 10-24 12-24 1/4-20 5/16-18 3/8-16 7/16-14 1/2-13 9/16-12 "
    "5/8-11 3/4-10 7/8-9 1in-8 "
    "1-1/8-7 1-1/4-7 1-3/8-6 1-1/2-6"
)
UNF = (
    "0-80 1-72 2-64 3-56 4-48 5-44 6-40 8-36 10-32 12-28 1/4-28 5/16-24 3/8-24 7/16-20 1/2-20 "
    "9/16-18 5/8-18 3/4-16 7/8-14 "
    "1in-12 1-1/8-12 1-1/4-12 1-3/8-12 1-1/2-12"
)
EIGHT_THREAD = "1-1/8-8 1-1/4-8 1-3/8-8 1-1/2-8"
OTHER = "12-32 1/4-32 5/16-32 3/8-32 7/16-28 1/2-28 9/16-24 5/8-24 3/4-20 7/8-20 1in-20 1in-14"
_METRIC = re.compile(r"m(\d+(?:[.,]\d+)?)((?:[x-](?:\d*[.,]?\d+)(?:mm)?)*)(?:-?6[gh])?")
_PIECE = re.compile(r"[x-](\d*[.,]?\d+)(mm)?")
_SERIES = re.compile(r"^(?:unc|unf|unef|uns|un)\s+|[ -]?(unc|unf|unef|uns|un|nc|nf)\b.*$")
_LENGTH = re.compile(r"(.*[a-z\d\"])x((?:\d+[- ])?\d+/\d+|\d*[.,]?\d+)\s*(\"|in|inch|inches|mm)?")


@dataclass(frozen=True)
class Thread:
    """A thread: `diameter` (basic major) and `pitch` in m; `by_diameter` when its standard
    engagement is one diameter.
    """

    name: str
    diameter: float
    pitch: float
    metric: bool
    by_diameter: bool = True

    @property
    def area(self) -> float:
        """Tensile stress area in m² (ISO 898-1 for metric threads, ASME B1.1 for inch threads)."""
        return (
            math.pi
            / 4
            * (self.diameter - (ISO_AREA if self.metric else UNIFIED_AREA) * self.pitch) ** 2
        )

    @property
    def printed_area(self) -> float:
        """The area in m² with which the standards count loads: ISO 898-1 prints and uses three
        digits of it.
        """
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
        threads[name] = Thread(
            name, inches * INCH.value, INCH.value / int(per_inch), False, typed not in others
        )
    return threads


THREADS: dict[str, Thread] = _metric_threads() | _inch_threads()
THREAD = text("thread as written", "M6", "M8x1.25", "10-32", "1/4-20")


def thread(written: object) -> Thread:
    """The thread as a person writes it, with or without a screw's length behind it.

    Raises UnknownName with the nearest that exists, OutOfRange without threads per inch.
    """
    return screw(written)[0]


def screw(written: object) -> tuple[Thread, float | None]:
    """The thread and the length of the screw in m, where one is written: `M6x20`, `1/4-20 x 1"`.

    Behind a metric size stands the pitch, and a length behind that. One number alone is a pitch if
    the size has it, and a length if it is too large for a pitch. Raises as `thread`.
    """
    typed = plain(plain_text(str(written)).strip())
    metric = _METRIC.fullmatch(typed.replace(" ", ""))
    name, length = _metric_screw(metric) if metric else _inch_screw(typed)
    if name not in THREADS:
        pitches = [known for known in THREADS if known.startswith(f"{name}-")]
        if pitches and not metric:
            raise OutOfRange(
                f"{name} arrived without its threads per inch. Write one of {', '.join(pitches)}.",
                "thread",
            )
        raise UnknownName("The thread", written, THREADS)
    return THREADS[name], length


def _metric_screw(match: re.Match[str]) -> tuple[str, float | None]:
    """`M6x1x20` as (M6, 0.02), `M6x20` too, `M8x1` as (M8x1, None)."""
    size = _number(match[1])
    pieces = [(_number(number), unit) for number, unit in _PIECE.findall(match[2])]
    coarse = METRIC_PITCHES.get(size, (size,))[0]
    if len(pieces) == 1 and (pieces[0][1] or _too_large_for_a_pitch(pieces[0][0], size, coarse)):
        return _metric_name(size, None), pieces[0][0] / 1000
    length = pieces[1][0] / 1000 if len(pieces) > 1 else None
    return _metric_name(size, pieces[0][0] if pieces else None), length


def _too_large_for_a_pitch(number: float, size: float, coarse: float) -> bool:
    """No pitch reaches twice the coarse one, and no screw is sold shorter than half its size
    (mm).
    """
    return number >= max(2 * coarse, size / 2) and number not in METRIC_PITCHES.get(size, ())


def _inch_screw(typed: str) -> tuple[str, float | None]:
    """`1/4-20x1"` as (1/4-20, 0.0254); a length without a unit is in inches."""
    found = _LENGTH.fullmatch(typed)
    if not found:
        return _inch_name(typed), None
    whole, _, part = found[2].replace(" ", "-").rpartition("-")
    number = float(Fraction(part)) if "/" in part else _number(part)
    length = (number + int(whole or 0)) * (1e-3 if found[3] == "mm" else INCH.value)
    return _inch_name(found[1].strip()), length


def _number(typed: str) -> float:
    return float(typed.replace(",", "."))


def _inch_name(typed: str) -> str:
    name = _SERIES.sub("", typed).replace('"', "").replace("in-", "-")
    for mark in ("#", "no.", "no "):
        name = name.removeprefix(mark)
    return name.replace(" ", "-")
