"""Seating torques by head: copied from printed tables where a size has a row, else computed and
marked so.

Tables disagree by up to a third; each row names its source, and `low` and `high` span what the
sources print.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from pitcrew.base.units import mark
from pitcrew.engineering.constants import INCH_POUND, KSI, MEGAPASCAL
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.grades import (
    GRADE,
    GRADES,
    HEAD_SHARE,
    ISO_HEAD,
    LOW_HEAD,
    Grade,
    Strength,
    strength,
)
from pitcrew.engineering.heads import (
    BUTTON,
    CAP,
    FLAT,
    HEADS,
    HEX,
    LOW,
    OTHER_HEADS,
    drive,
    key_words,
)
from pitcrew.engineering.parameters import choice
from pitcrew.engineering.threads import THREAD, Thread
from pitcrew.engineering.threads import thread as find_thread

CAP_TABLE = "socket-screw torque table, ISO 4762, 7380-1 and 10642, dry and coarse"
HEX_TABLE = "crane maker's torque table, ISO 898-1 at a friction of 0.14"
STAINLESS_TABLE = "fastener makers' torque table, ISO 3506-1, 90 % of yield at a friction of 0.20"
INCH_CAP = "alloy socket-screw guide, ASTM A574, 75 % of the torque to yield"
INCH_FLAT = "flat-head cap-screw guide"
SHOP_18_8 = "crane maker's manual, 18-8 lubricated, 80 % of yield"


@dataclass(frozen=True)
class Table:
    """Printed torques by thread in `unit` (N*m); `others` are further prints of the same, for the
    spread.
    """

    source: str
    rows: Mapping[str, float]
    unit: float = 1.0
    others: tuple["Table", ...] = ()

    def found(self, name: str) -> float | None:
        """The printed torque in N*m, None where the table has no row."""
        value = self.rows.get(name)
        return None if value is None else value * self.unit


_POUND, _FOOT_POUND = INCH_POUND.value, 12 * INCH_POUND.value
_OILED = {
    "8.8": {"M4": 3.0, "M5": 5.9, "M6": 10, "M10": 49},
    "10.9": {"M4": 4.4, "M5": 8.7, "M6": 15, "M10": 72},
    "12.9": {"M4": 5.1, "M5": 10, "M6": 18, "M10": 84},
}
_BUTTON_SHEET = Table(
    "button-head sheet, ASTM F835M, 420 MPa",
    {"M3": 1.2, "M4": 2.8, "M5": 5.5, "M6": 9.5, "M10": 47},
)
_BUTTONS = {"M3": 1.35, "M4": 3.10, "M5": 6.10, "M6": 10.5, "M10": 52}
_ALLOY_CAPS = {"10-32": 76, "6-32": 28, "8-32": 49, "1/4-28": 170, "5/16-24": 325}
_COLLARS = Table("collar maker's clamp screws, alloy", _ALLOY_CAPS, _POUND)
_METRIC_COLLARS = Table(
    "collar maker's clamp screws, alloy",
    {"M3": 2.1, "M4": 4.6, "M5": 9.5, "M6": 16, "M8": 39, "M10": 77},
)
_PROOF = Table(
    "maker's manual, 75 % of proof, dry", {"1/4-20": 168, "1/4-28": 192, "3/8-16": 612}, _POUND
)
_FLAT_SHEET = Table("65 % of proof, plain", {"M3": 1.2, "M4": 3.4})
_SMALL_CAPS = {"6-32": 30, "6-40": 34, "8-32": 55, "8-36": 58, "10-24": 79, "10-32": 90}
_LARGE_CAPS = {"1/4-20": 17, "1/4-28": 19, "3/8-16": 62, "3/8-24": 70}
_STAINLESS = {
    70: {"M3": 1.1, "M4": 2.6, "M5": 5.1, "M6": 8.8, "M10": 44},
    80: {"M3": 1.6, "M4": 3.5, "M5": 6.9, "M6": 11.8, "M10": 58},
}
_18_8 = {"6-32": 9, "8-32": 18, "10-24": 21, "1/4-20": 68, "3/8-16": 210}
# (head, grade) -> the table whose row is the seating torque
TABLES: dict[tuple[str, str], tuple[Table, ...]] = {
    (CAP, "12.9"): (
        Table(
            CAP_TABLE,
            {"M3": 2.20, "M4": 4.83, "M5": 10.0, "M6": 16.8, "M10": 81.0},
            others=(_METRIC_COLLARS, Table(HEX_TABLE, _OILED["12.9"])),
        ),
        _METRIC_COLLARS,
    ),
    (CAP, "10.9"): (
        Table(
            CAP_TABLE,
            {"M3": 1.83, "M4": 4.27, "M5": 8.64, "M6": 14.7, "M10": 70.6},
            others=(Table(HEX_TABLE, _OILED["10.9"]),),
        ),
    ),
    (CAP, "8.8"): (Table(HEX_TABLE, _OILED["8.8"]),),
    **{(HEX, name): (Table(HEX_TABLE, rows),) for name, rows in _OILED.items()},
    (LOW, "10.9"): (
        Table(CAP_TABLE, {"M3": 1.15, "M4": 2.70, "M5": 5.40, "M6": 9.15, "M10": 44.0}),
    ),
    (FLAT, "12.9"): (Table(CAP_TABLE, _BUTTONS, others=(_FLAT_SHEET,)),),
    (BUTTON, "12.9"): (Table(CAP_TABLE, _BUTTONS, others=(_BUTTON_SHEET,)),),
    (CAP, "a574"): (
        Table(INCH_CAP, _SMALL_CAPS, _POUND, (_COLLARS,)),
        Table(INCH_CAP, _LARGE_CAPS, _FOOT_POUND, (_COLLARS, _PROOF)),
        _COLLARS,
    ),
    (FLAT, "f835"): (Table(INCH_FLAT, {"5-40": 12, "6-32": 15, "8-32": 30}, _POUND),),
    **{
        (head, f"a{steel}-{kind}"): (Table(STAINLESS_TABLE, rows),)
        for head in (HEX, CAP)
        for steel in (2, 4)
        for kind, rows in _STAINLESS.items()
    },
    **{(head, "18-8"): (Table(SHOP_18_8, _18_8, _POUND),) for head in (HEX, CAP)},
}
# Torque that makes the screw itself yield, as printed beside the socket-screw guide's seating
# torques
YIELDS: tuple[Table, ...] = (
    Table(
        INCH_CAP,
        {"6-32": 40, "6-40": 45, "8-32": 74, "8-36": 78, "10-24": 105, "10-32": 120},
        _POUND,
    ),
    Table(INCH_CAP, {"1/4-20": 22, "1/4-28": 25, "3/8-16": 83, "3/8-24": 93}, _FOOT_POUND),
)
AS_RECEIVED = 0.20
"""K of most charts, for screws as they come."""
_SHEET_PROOF = 140 * KSI.value  # of the A574 and 12.9 screws that the 420 MPa are printed for
_SAME_HEADS = {"012.9": "12.9", "010.9": "10.9", "08.8": "8.8"}
_SAME_STEEL = {"316": "18-8"}


@dataclass(frozen=True)
class Seat:
    """A seating torque in N*m with where it comes from; `low` and `high` span the sources that
    print one.
    """

    torque: float
    source: str
    published: bool
    low: float
    high: float


def printed_yield(thread: Thread, grade: Grade) -> float | None:
    """The printed torque in N*m at which such a screw yields; None where no table has it."""
    if grade.name not in ("a574", "f835"):
        return None
    return next(
        (value for table in YIELDS if (value := table.found(thread.name)) is not None), None
    )


def seat(thread: Thread, grade: Grade, step: Strength, head: str) -> Seat:
    """The seating torque of a head: the printed row where there is one, else computed."""
    for table in TABLES.get((head, _table_grade(grade, head)), ()):
        printed = table.found(thread.name)
        if printed is not None:
            spread = [
                value for other in table.others if (value := other.found(thread.name)) is not None
            ]
            return Seat(
                printed, table.source, True, min([printed, *spread]), max([printed, *spread])
            )
    torque, rule = _computed(thread, grade, step, head)
    torque = min(torque, printed_yield(thread, grade) or torque)
    return Seat(torque, rule, False, torque, torque)


def most_of_any_head(thread: Thread, grade: Grade, step: Strength, factor: float) -> float:
    """The highest seating torque in N*m of any head that such a screw may have, for one whose head
    no one gave: what is above it is too much for all of them.

    A plain bolt that is not dry (`factor` K up to 0.20) keeps the textbook's torque, up to what a
    10.9 or an A574 screw of its size may have.
    """
    socket = grade.stainless or any(
        name in _table_grade(grade, CAP) for name in ("10.9", "12.9", "a574", "18-8")
    )
    if not socket and factor <= AS_RECEIVED:
        grade, step = _at_most(thread, grade, step)
    return max(seat(thread, grade, step, head).high for head in (HEX, CAP))


def _at_most(thread: Thread, grade: Grade, step: Strength) -> tuple[Grade, Strength]:
    """The class 10.9 (A574 for an inch thread) at a size; the bolt's own where that does not come
    in it."""
    stronger = GRADES["10.9" if thread.metric else "a574"]
    steps = [item for item in stronger.strengths if thread.diameter <= item.most]
    return (stronger, steps[0]) if steps and thread.diameter >= stronger.least else (grade, step)


def _table_grade(grade: Grade, head: str) -> str:
    """The grade's name in the tables: A574 names the steel of an inch button or flat head, too."""
    if grade.name in ("a574", "f835"):
        return "f835" if head in (BUTTON, FLAT) else "a574"
    name = _SAME_HEADS.get(grade.name, grade.name)
    return _SAME_STEEL.get(name, name)


def _computed(thread: Thread, grade: Grade, step: Strength, head: str) -> tuple[float, str]:
    """The torque in N*m by the rule that reproduces the printed rows of its family (the lowest of
    them), and that rule.
    """
    size = thread.diameter * thread.printed_area
    proof = step.proof / (HEAD_SHARE if grade.standard in (ISO_HEAD, LOW_HEAD) else 1.0)
    if grade.stainless:
        share, words = (0.61, "0.61 of the ") if head in (BUTTON, FLAT, LOW) else (1.0, "")
        return (
            share * 0.16 * size * step.yields,
            f"{words}rule behind the printed stainless rows, 0.16·d·A·yield",
        )
    if head == LOW:
        return (
            0.2 * size * 0.45 * proof,
            "rule behind the printed low heads, 0.20·d·A·45 % of proof",
        )
    if head in (BUTTON, FLAT):
        stress = 420 * MEGAPASCAL.value * min(1.0, proof / _SHEET_PROOF)
        return (
            0.19 * size * stress,
            "rule behind the printed button and flat heads, 0.19·d·A·420 MPa at 12.9",
        )
    if grade.alloy:
        return (
            0.2 * size * 0.71 * proof,
            "rule behind the printed socket caps, 0.20·d·A·71 % of proof",
        )
    return 0.2 * size * 0.75 * proof, "rule of most charts of plain bolts, 0.20·d·A·75 % of proof"


@figure(
    "seating-torque",
    "N*m",
    value_is="torque to which a screw with that head is seated at most, with the state it comes in",
    source=(
        "printed tables by head (ISO 4762, 7380-1, 10642 and ASTM A574, F835 screws; ISO "
        "3506-1 stainless); a size without "
        "a printed row is computed by the rule that reproduces its family's rows"
    ),
    range=(
        "sizes of the grade's standard; dry or as received, steel on steel; a light film of oil "
        "takes 15 to 25 % off"
    ),
    extra_units={"low": "N*m", "high": "N*m", "key": "N*m", "across": "m"},
    thread=THREAD,
    grade=GRADE,
    head=choice("shape of the head", *HEADS, others=OTHER_HEADS),
)
def seating_torque(thread: str, grade: str, head: str) -> Outcome:
    """Seating torque in N*m; `low` and `high` span the sources, `computed` marks a size without a
    printed row.

    `key` is the torque in N*m that its key bears and `across` that key in m, None where none is
    known. Raises UnknownName and OutOfRange.

    Example: A button head M5 of class 12.9 has a small, shallow socket: the table prints 6.1 N·m,
    whatever the thread alone could take.

        pitcrew figure seating-torque thread=M5 grade=12.9 head=button
        seating-torque: 6.1 N·m
    """
    found = find_thread(thread)
    kind, step = strength(found, grade)
    torque, key = seat(found, kind, step, head), drive(found, head)
    how = (
        f"printed ({torque.source})"
        if torque.published
        else f"computed, no printed row for it ({torque.source})"
    )
    spread = (
        ""
        if torque.high == torque.low
        else f"; tables print {mark(torque.low, 'torque')} to {mark(torque.high, 'torque')}"
    )
    because = (
        f"{found.name} {kind.title}, {head} head, seats at {mark(torque.torque, 'torque')}, "
        f"{how}{spread}."
    )
    if key:
        because = f"{because.removesuffix('.')}; {key_words(key)}."
    extras = {
        "low": torque.low, "high": torque.high, "computed": not torque.published,
        "key": key.bears if key else None, "across": key.across if key else None,
    }  # fmt: skip
    return Outcome(torque.torque, because, extras)
