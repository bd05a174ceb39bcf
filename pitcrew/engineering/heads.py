"""Heads of screws and the keys that fit them: which hexagon a head takes, and what that key bears.

A button or flat head has a smaller hexagon and less steel round it than a socket cap of the same
thread, so that it is tightened less, whatever its strength class says.
"""

from dataclasses import dataclass

from pitcrew.base.units import inches_text, mark
from pitcrew.engineering.constants import INCH
from pitcrew.engineering.grades import Grade
from pitcrew.engineering.parameters import choice
from pitcrew.engineering.threads import Thread

HEX, CAP, BUTTON, FLAT, LOW = "hex", "socket", "button", "flat", "low"
HEADS = (HEX, CAP, BUTTON, FLAT, LOW)
OTHER_HEADS = {
    "hexagon": HEX,
    "hex head": HEX,
    "hex cap": HEX,
    "bolt": HEX,
    "cap": CAP,
    "socket cap": CAP,
    "socket head": CAP,
    "socket-cap": CAP,
    "shcs": CAP,
    "iso 4762": CAP,
    "din 912": CAP,
    "button head": BUTTON,
    "bhcs": BUTTON,
    "iso 7380": BUTTON,
    "dome": BUTTON,
    "flat head": FLAT,
    "fhcs": FLAT,
    "countersunk": FLAT,
    "iso 10642": FLAT,
    "din 7991": FLAT,
    "low head": LOW,
    "low cap": LOW,
    "thin": LOW,
    "din 7984": LOW,
}
HEAD = choice(
    "shape of the head: hex (turned from outside), socket (tall cap), button, flat (countersunk), "
    "low (thin cap)",
    *HEADS,
    default=None,
    others=OTHER_HEADS,
)

# Key across flats in mm by nominal size in mm. M3 to M6 and M10 of caps and buttons as printed with
# their seating torques; the others from ISO 4762, ISO 7380-1, ISO 10642 and DIN 7984, from memory.
_METRIC: dict[str, dict[float, float]] = {
    CAP: {1.6: 1.5, 2: 1.5, 2.5: 2, 3: 2.5, 4: 3, 5: 4, 6: 5, 8: 6, 10: 8, 12: 10, 16: 14, 20: 17},
    BUTTON: {3: 2, 4: 2.5, 5: 3, 6: 4, 8: 5, 10: 6, 12: 8, 16: 10},
    FLAT: {3: 2, 4: 2.5, 5: 3, 6: 4, 8: 5, 10: 6, 12: 8, 16: 10, 20: 12},
    LOW: {3: 2, 4: 2.5, 5: 3, 6: 4, 8: 5, 10: 7, 12: 8, 16: 12, 20: 14},
}
# ... in 64ths of an inch by nominal size in thousandths of an inch (ASME B18.3): caps #6 to 1/4 and
# buttons #6 to 3/8 as printed; caps #4, #5 and above 1/4, flat and low heads from memory.
_INCH: dict[str, dict[int, float]] = {
    CAP: {112: 6, 125: 6, 138: 7, 164: 9, 190: 10, 250: 12, 312: 16, 375: 20, 438: 24, 500: 24},
    BUTTON: {112: 4, 125: 5, 138: 5, 164: 6, 190: 8, 250: 10, 312: 12, 375: 14, 500: 20},
    FLAT: {112: 4, 125: 5, 138: 5, 164: 6, 190: 8, 250: 10, 312: 12, 375: 14, 500: 20},
    LOW: {112: 3.2, 138: 4, 164: 5, 190: 6, 250: 8, 312: 10, 375: 12, 500: 16},
}
# Torque in N*m at which a key by ASME B18.3.2M yields at the least, by mm across flats: 0.71 to 1.5
# mm as printed, 2 to 10 mm from memory. Their shears all lie within 4 % of 0.350·s³, so that a slip
# would show; keys of other sizes get the lowest share.
KEY_YIELDS: dict[float, float] = {
    0.71: 0.10,
    0.89: 0.23,
    1.27: 0.63,
    1.5: 1.02,
    2: 2.4,
    2.5: 4.4,
    3: 8.0,
    4: 18.8,
    5: 36.8,
    6: 64,
    8: 158,
    10: 296,
}
_KEY_YIELD = 0.28e9  # N*m per m³


@dataclass(frozen=True)
class Drive:
    """The key of a head: `across` its flats in m and the torque in N*m that bends it for good."""

    across: float
    inch: bool

    @property
    def bears(self) -> float:
        """Torque in N*m up to which a sound key of that size does not yield."""
        row = KEY_YIELDS.get(round(self.across * 1000, 3))
        return _KEY_YIELD * self.across**3 if row is None else row

    @property
    def words(self) -> str:
        """`a 3 mm key`, `a 5/32 in key`."""
        return f"a {inches_text(self.across) if self.inch else f'{self.across * 1000:g} mm'} key"


def drive(thread: Thread, head: str, across: float | None = None) -> Drive | None:
    """The key of a head: of `across` m where the team measured it, else by the head's standard;
    None for none known.
    """
    if head == HEX:
        return None
    if across is not None:
        return Drive(across, not thread.metric)
    if thread.metric:
        millimetres = _METRIC[head].get(round(thread.diameter * 1000, 3))
        return None if millimetres is None else Drive(millimetres / 1000, False)
    sixtyfourths = _INCH[head].get(round(thread.diameter / INCH.value * 1000))
    return None if sixtyfourths is None else Drive(sixtyfourths / 64 * INCH.value, True)


def head_of(grade: Grade, head: str | None) -> str | None:
    """The head as given, else the only one that the grade's standard has; None where it could be
    any.
    """
    return head or grade.head or None


def key_words(found: Drive) -> str:
    """What the key bears, for a sentence."""
    return f"{found.words} bears {mark(found.bears, 'torque')}"
