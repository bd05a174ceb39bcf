"""Terminals: torque of electrical studs, and the pull that a good crimp stands."""

from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, show
from pitcrew.engineering.constants import INCH_POUND, POUND_FORCE
from pitcrew.engineering.electrical import gauge_of
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import count, quantity, text
from pitcrew.engineering.threads import thread as find_thread

BREAKERS = "airframer's torque table of circuit-breaker studs"
TELECOM = "telecom plant practice, nuts on studs"


@dataclass(frozen=True)
class Stud:
    """Torques of one stud in inch-pounds: what is tightened to, and the span that the sources
    print.
    """

    usual: float
    low: float
    high: float
    source: str


# Breaker studs 10-32 and 1/4-28 first; the coarse ones from telecom and power-supply makers, who
# differ by a factor of two.
STUDS: dict[str, Stud] = {
    "8-32": Stud(14.5, 14, 15, BREAKERS),
    "10-32": Stud(19, 18, 20, BREAKERS),
    "10-24": Stud(27, 21, 27, TELECOM),
    "1/4-28": Stud(42.5, 40, 45, BREAKERS),
    "1/4-20": Stud(50, 40, 80, f"{TELECOM}; power-supply makers 40 to 80"),
    "5/16-18": Stud(100, 60, 180, f"{TELECOM}; power-supply makers 60 to 180"),
}
STUD = text("thread of the stud", *STUDS)
PRINTED_LEAST = 0.9
"""Of a torque that the part has printed on it so much is still right, never more (common
practice)."""
# Battery terminals, inch-pounds by their makers: a factor of 2.6 for one size
_BATTERY = {"M5": (45, 45), "M6": (25, 70)}

UL, MILITARY = "UL 486A, commercial", "MIL-T-7928 class"
# gauge -> pounds of pull, (commercial, military), a terminal maker's specifications 114-2157 and
# 114-2161
CRIMPS: dict[int, tuple[float, float | None]] = {
    24: (5, 10),
    22: (8, 15),
    18: (20, 38),
    16: (30, 50),
    14: (50, 70),
    12: (70, 110),
    10: (80, 150),
    8: (90, None),
    6: (100, None),
    4: (140, None),
}
_HARNESS_GUIDE = {20: 55.0}  # newtons: IPC/WHMA-A-620 as a harness guide prints it
HAND_TUG = 75.0  # newtons, from memory: 50 to 100 by hand


@figure(
    "stud-torque",
    "N*m",
    value_is="torque of the nut on an electrical stud",
    source=(
        f"{BREAKERS}; for coarse threads {TELECOM}, and what makers of power supplies print "
        "(they differ by a factor of two)"
    ),
    range=(
        "studs 8-32 to 5/16-18; the figure printed on the breaker or terminal goes first; "
        "battery out, insulated tool, body held"
    ),
    extra_units={"low": "N*m", "high": "N*m"},
    stud=STUD,
    printed=quantity(
        "torque",
        "torque that breaker, lug or battery has printed on it; goes before any table",
        least=0.1,
        most=100.0,
        default=None,
    ),
)
def stud_torque(stud: str, printed: float | None = None) -> Outcome:
    """Torque in N*m for the nut of a stud; `low` and `high` span what is printed. A figure
    `printed` on the part itself is used as it is, for any thread; nine tenths of it are its `low`
    (common practice).

    Raises UnknownName and OutOfRange.

    Example: Telecom plants tighten 1/4-20 studs to 50 in·lbf: 50 × 0.113 = 5.65 N·m. The figure on
    the breaker itself goes first.

        pitcrew figure stud-torque stud=1/4-20
        stud-torque: 5.649 N·m
    """
    name = find_thread(stud).name
    if printed is not None:
        because = (
            f"The part itself says {mark(printed, 'torque')} for its {name} stud, which goes before"
            " any table. Battery out, insulated tool, hold the body."
        )
        return Outcome(printed, because, {"low": PRINTED_LEAST * printed, "high": printed})
    if name in _BATTERY:
        low, high = (show(pounds * INCH_POUND.value, "N*m", 2) for pounds in _BATTERY[name])
        spread = low if low == high else f"from {low} to {high}"
        raise OutOfRange(
            f"stud-torque: makers of batteries print {spread} for {name} terminals. Read the label"
            " of the battery: its torque goes first.",
            "stud",
        )
    if name not in STUDS:
        raise OutOfRange(
            f"stud-torque: no torque is printed for {name} studs here. Known: {', '.join(STUDS)}.",
            "stud",
        )
    found = STUDS[name]
    usual, least, most = (
        pounds * INCH_POUND.value for pounds in (found.usual, found.low, found.high)
    )
    because = (
        f"A {name} stud is tightened to {mark(usual, 'torque')}; {found.source} has "
        f"{mark(least, 'torque')} to "
        f"{mark(most, 'torque')}. The figure on the part itself goes first. Battery out, "
        "insulated tool, hold the body."
    )
    return Outcome(usual, because, {"low": least, "high": most})


@figure(
    "crimp-pull",
    "N",
    value_is="pull that a sample crimp must stand for a minute",
    source=(
        "UL 486A commercial pull-out, as a terminal maker's specifications 114-2157 and "
        "114-2161 print it; AWG 20 after "
        "IPC/WHMA-A-620"
    ),
    range=(
        "American gauges 24 to 4, even ones; a sample made with that tool, pulled at 25 mm a "
        "minute; never on the robot or a battery lead"
    ),
    extra_units={"military": "N", "tug": "N"},
    gauge=count("American wire gauge", least=-3, most=40, spellings=gauge_of),
)
def crimp_pull(gauge: int) -> Outcome:
    """Pull in N that a sample crimp holds; `military` the harder rule (None without one), `tug`
    what a hand proves.

    Raises OutOfRange for a gauge without a printed pull.

    Example: A sample crimp on gauge 12 wire must stand 70 lbf: 70 × 4.44822 = 311.4 N for a minute.

        pitcrew figure crimp-pull gauge=12
        crimp-pull: 311.4 N
    """
    if gauge not in CRIMPS and gauge not in _HARNESS_GUIDE:
        raise OutOfRange(
            f"crimp-pull: no pull is printed for gauge {gauge} here. Known: "
            f"{', '.join(map(str, sorted({*CRIMPS, *_HARNESS_GUIDE})))}.",
            "gauge",
        )
    pounds, hard = CRIMPS.get(gauge, (None, None))
    value = _HARNESS_GUIDE[gauge] if pounds is None else pounds * POUND_FORCE.value
    military = None if hard is None else hard * POUND_FORCE.value
    rule = (
        UL
        if pounds
        else (
            "IPC/WHMA-A-620, for want of a row of the terminal maker; computed between its "
            "neighbors it is 56 N"
        )
    )
    proves = (
        "proves it, if it holds"
        if value <= HAND_TUG
        else "only screens it: by hand nobody pulls so hard"
    )
    because = (
        f"A gauge {gauge} crimp stands {mark(value, 'force')} for a minute ({rule}). A hand tug "
        f"of about {mark(HAND_TUG, 'force', 2)} "
        f"{proves}. Pull a sample made with that tool, never a wire of the robot or a battery lead."
    )
    return Outcome(value, because, {"military": military, "tug": HAND_TUG})
