"""Torques that are copied from tables, not computed: aircraft bolts and nuts, and locknuts that
are used again.
"""

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark
from pitcrew.engineering.constants import INCH_POUND
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import choice, text
from pitcrew.engineering.threads import thread as find_thread

# FAA AC 43.13-1B, table 7-1, inch-pounds: (tension low, high), (shear low, high), most tension,
# most shear. 7/16-20 stands out of its family and is printed so; the shear bands of 1-14 and above
# are marked "estimated" there.
AIRCRAFT: dict[str, tuple[tuple[int, int], tuple[int, int], int, int]] = {
    "8-36": ((12, 15), (7, 9), 20, 12),
    "10-32": ((20, 25), (12, 15), 40, 25),
    "1/4-28": ((50, 70), (30, 40), 100, 60),
    "5/16-24": ((100, 140), (60, 85), 225, 140),
    "3/8-24": ((160, 190), (95, 110), 390, 240),
    "7/16-20": ((450, 500), (270, 300), 840, 500),
    "1/2-20": ((480, 690), (290, 410), 1100, 660),
    "9/16-18": ((800, 1000), (480, 600), 1600, 960),
    "5/8-18": ((1100, 1300), (600, 780), 2400, 1400),
    "3/4-16": ((2300, 2500), (1300, 1500), 5000, 3000),
    "7/8-14": ((2500, 3000), (1500, 1800), 7000, 4200),
    "1-14": ((3700, 5500), (2200, 3300), 10000, 6000),
    "1-1/8-12": ((5000, 7000), (3000, 4200), 15000, 9000),
    "1-1/4-12": ((9000, 11000), (5400, 6600), 25000, 15000),
    "8-32": ((12, 15), (7, 9), 20, 12),
    "10-24": ((20, 25), (12, 15), 35, 21),
    "1/4-20": ((40, 50), (25, 30), 75, 45),
    "5/16-18": ((80, 90), (48, 55), 160, 100),
    "3/8-16": ((160, 185), (95, 100), 275, 170),
    "7/16-14": ((235, 255), (140, 155), 475, 280),
    "1/2-13": ((400, 480), (240, 290), 880, 520),
    "9/16-12": ((500, 700), (300, 420), 1100, 650),
    "5/8-11": ((700, 900), (420, 540), 1500, 900),
    "3/4-10": ((1150, 1600), (700, 950), 2500, 1500),
    "7/8-9": ((2200, 3000), (1300, 1800), 4600, 2700),
}
BREAKAWAY = {  # minimum breakaway torque, inch-pounds
    "8-32": 1.5,
    "10-32": 2.0,
    "1/4-28": 3.5,
    "5/16-24": 6.5,
    "3/8-24": 9.5,
    "7/16-20": 14.0,
    "1/2-20": 18.0,
    "9/16-18": 24.0,
    "5/8-18": 32.0,
    "3/4-16": 50.0,
    "7/8-14": 70.0,
    "1-12": 90.0,
    "1-1/8-12": 117.0,
    "1-1/4-12": 143.0,
    "1-3/8-12": 180.0,
    "1-1/2-12": 210.0,
    "5/16-18": 7.5,
    "3/8-16": 12.0,
    "7/16-14": 16.5,
    "1/2-13": 24.0,
    "9/16-12": 30.0,
    "5/8-11": 40.0,
    "3/4-10": 60.0,
    "7/8-9": 82.0,
    "1-8": 110.0,
    "1-1/8-7": 137.0,
    "1-1/4-7": 165.0,
    "1-3/8-6": 200.0,
    "1-1/2-6": 230.0,
}
# US Army TM 9-6115-604-34, table 1-3, inch-pounds: nuts below it are replaced. Its nylon row is
# misprinted in N*m.
ARMY_NYLON = {"1/4": 4.0, "5/16": 5.0, "3/8": 9.0, "7/16": 12.0, "1/2": 15.0}
ARMY_METAL = {"1/4": 4.0, "5/16": 5.0, "3/8": 12.0, "7/16": 15.0, "1/2": 20.0}
FINGER_TEST = (
    "4-40",
    "5-40",
    "6-32",
    "8-32",
    "10-24",
    "1/4-20",
)  # TM 1-1500-204-23-6: no number for these
PREVAILING = {  # minimum prevailing torque of reused nuts, inch-pounds
    "7/16-20": 8.0,
    "1/2-20": 10.0,
    "9/16-18": 13.0,
    "5/8-18": 18.0,
    "3/4-16": 27.0,
    "7/8-14": 40.0,
    "1-14": 55.0,
    "1-1/8-12": 73.0,
    "1-1/4-12": 94.0,
    "7/16-14": 8.0,
    "1/2-13": 10.0,
    "9/16-12": 14.0,
    "5/8-11": 20.0,
    "3/4-10": 27.0,
    "7/8-9": 40.0,
    "1-8": 51.0,
    "1-1/8-8": 68.0,
    "1-1/4-8": 88.0,
}
INCH_THREAD = text("inch thread as written", "10-32", "1/4-28", "5/16-18")


def _both_pitches(rows: dict[str, float]) -> dict[str, float]:
    """Rows by size for the coarse and the fine thread of it."""
    coarse = {"1/4": "20", "5/16": "18", "3/8": "16", "7/16": "14", "1/2": "13"}
    fine = {"1/4": "28", "5/16": "24", "3/8": "24", "7/16": "20", "1/2": "20"}
    return {
        f"{size}-{pitch[size]}": torque for size, torque in rows.items() for pitch in (coarse, fine)
    }


RULES: dict[str, tuple[str, str, dict[str, float]]] = {
    "nasm25027": ("breakaway", "NASM25027 (from 8-32; coarse threads from 5/16-18)", BREAKAWAY),
    "ac43": ("prevailing", "AC 43.13-1B, table 7-2 (from 7/16 inch)", PREVAILING),
    "nylon": (
        "breakaway",
        "US Army TM 9-6115-604-34, nylon insert (1/4 to 1/2 inch)",
        _both_pitches(ARMY_NYLON),
    ),
    "all-metal": (
        "breakaway",
        "US Army TM 9-6115-604-34, all-metal (1/4 to 1/2 inch)",
        _both_pitches(ARMY_METAL),
    ),
}
_OTHER_NAMES = other_names(
    {
        "nasm25027": "nasm 25027; mil-n-25027; breakaway; tm 1-1500-204-23-6; tm 10-5430-237-12",
        "ac43": (
            "ac 43; ac43.13; ac 43.13; ac43.13-1b; ac 43.13-1b; "
            "ac 43.13-1b table 7-2; prevailing; faa"
        ),
        "nylon": "nylon insert; nylon-insert; nyloc; nylock; tm 9-6115-604-34; army; army nylon",
        "all-metal": "all metal; metal; army metal",
    }
)


@figure(
    "aircraft-torque",
    "N*m",
    value_is="middle of the recommended band",
    source="FAA AC 43.13-1B, table 7-1 (copied, not computed)",
    range=(
        "the table's inch threads 8-32 to 1-1/4-12; oil-free cadmium-plated steel; the run-on "
        "torque of a locknut is added"
    ),
    extra_units={"low": "N*m", "high": "N*m", "maximum": "N*m"},
    thread=INCH_THREAD,
    joint=choice(
        "how the nut is loaded: tension (standard nuts) or shear (thin nuts)", "tension", "shear"
    ),
)
def aircraft_torque(thread: str, joint: str) -> Outcome:
    """Recommended torque in N*m: the middle of `low` and `high`, and the `maximum` allowed.

    Raises UnknownName and OutOfRange.

    Example: A 10-32 bolt that is pulled has a band of 20 to 25 in·lbf. Aim for the middle: (20 +
    25) / 2 = 22.5 in·lbf, and 22.5 × 0.113 = 2.54 N·m.

        pitcrew figure aircraft-torque thread=10-32 joint=tension
        aircraft-torque: 2.542 N·m
    """
    name = find_thread(thread).name
    if name not in AIRCRAFT:
        raise OutOfRange(
            f"aircraft-torque: {name} is not in AC 43.13-1B, table 7-1 (inch threads 8-32 to "
            "1-1/4-12). Use bolt-torque for it.",
            "thread",
        )
    tension, shear, most_tension, most_shear = AIRCRAFT[name]
    band, most = (tension, most_tension) if joint == "tension" else (shear, most_shear)
    low, high, maximum = (pounds * INCH_POUND.value for pounds in (*band, most))
    because = (
        f"AC 43.13-1B gives {name} with {joint} nuts {mark(low, 'torque')} to "
        f"{mark(high, 'torque')}, at most "
        f"{mark(maximum, 'torque')}, for dry cadmium-plated threads; add the run-on torque of a "
        "locknut."
    )
    return Outcome((low + high) / 2, because, {"low": low, "high": high, "maximum": maximum})


@figure(
    "locknut-torque",
    "N*m",
    value_is="least torque that a locknut must still need to turn on its thread, unclamped",
    source=(
        "the named rule: NASM25027 minimum breakaway (US Army TM 1-1500-204-23-6, table 2-8), "
        "or FAA AC 43.13-1B, table 7-2, "
        "for nuts used again, which differ by about 1.8; or US Army TM 9-6115-604-34, table 1-3, "
        "nylon and all-metal, from 1/4 inch"
    ),
    range=(
        "the named table's threads: NASM25027 from 8-32 (coarse from 5/16-18; for 1/4-20 the army's"
        " 4.0 in·lbf), AC 43.13-1B from 7/16 inch, the army's 1/4 to 1/2 inch; smaller coarse"
        " threads: a nut that fingers run down is discarded"
    ),
    thread=INCH_THREAD,
    rule=text("the table to judge by", *RULES),
)
def locknut_torque(thread: str, rule: str) -> Outcome:
    """Least run-on torque in N*m by the named rule. Raises UnknownName and OutOfRange.

    Example: A used 10-32 nylon nut should still need 2 in·lbf on the thread alone: 2 × 0.113 =
    0.226 N·m. Turns easier? Throw it away.

        pitcrew figure locknut-torque thread=10-32 rule=nasm25027
        locknut-torque: 0.226 N·m
    """
    name = find_thread(thread).name
    called, (kind, source, table) = row("The locknut rule", rule, RULES, _OTHER_NAMES)
    if called == "nasm25027" and name == "1/4-20":  # its table has only the finger test there
        kind, source, table = RULES["nylon"]
    if name not in table:
        by_finger = (
            " Its table has the finger test for it."
            if name in FINGER_TEST and called != "ac43"
            else ""
        )
        raise OutOfRange(
            f"locknut-torque: {name} is not in {source}.{by_finger} A nut that fingers can run "
            "down is discarded; ask for another "
            f"rule ({', '.join(RULES)}).",
            "thread",
        )
    torque = table[name] * INCH_POUND.value
    because = (
        f"A used {name} locknut must still need {mark(torque, 'torque')} of {kind} torque by "
        f"{source}, on its thread and not "
        "seated; under that, discard it."
    )
    return Outcome(torque, because)
