"""Threads that strip: shear areas, and the engagement at which the bolt breaks first."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.fasteners import THREAD_RANGE
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import quantity
from pitcrew.engineering.thread_limits import shear_areas
from pitcrew.engineering.threads import THREAD, Thread
from pitcrew.engineering.threads import thread as find_thread

MOST_DIAMETERS = 3.0  # of engagement: beyond it the first threads carry the load all the same
BALANCED = 0.95  # FED-STD-H28/2B: within 5 % both threads shear together
FEDERAL = "FED-STD-H28/2B, table II.B.1"


def check_engaged(thread: Thread, engagement: float) -> None:
    """Raise OutOfRange for an engagement in m that is no turn, or more than three diameters."""
    if not thread.pitch <= engagement <= MOST_DIAMETERS * thread.diameter:
        raise OutOfRange(
            f"{thread.name} arrived with {engagement * 1000:.3g} mm of engaged thread; wanted one "
            "turn "
            f"({thread.pitch * 1000:.3g} mm) to {MOST_DIAMETERS:g} diameters "
            f"({MOST_DIAMETERS * thread.diameter * 1000:.3g} mm), "
            "beyond which the first threads carry the load all the same (common practice). Give "
            "the engaged length.",
            "engagement",
        )


@figure(
    "bolt-strip",
    "m^2",
    value_is="the smaller of the two areas that must shear to strip the thread",
    source=(
        f"{FEDERAL}, formulas (2a) and (4a), with the limits of ISO 965-1 6g/6H or ASME B1.1 2A/2B"
    ),
    range=f"{THREAD_RANGE}; one turn to 3 diameters of engagement",
    extra_units={"external": "m^2", "internal": "m^2"},
    thread=THREAD,
    engagement=quantity("length", "length of engaged full thread", above=0.0),
)
def bolt_strip(thread: str, engagement: float) -> Outcome:
    """Shear areas in m²: `external` of the bolt's thread, `internal` of the hole's.

    Raises UnknownName and OutOfRange.

    Example: 8 mm of engaged M5 are 8 / 0.8 = 10 turns. The bolt's own thread would shear through
    the smaller area.

        pitcrew figure bolt-strip thread=M5 engagement="8 mm" --units metric
        bolt-strip: 56.59 mm²
    """
    found = find_thread(thread)
    check_engaged(found, engagement)
    external, internal = shear_areas(found, engagement)
    because = (
        f"Over {mark(engagement, 'length')} {found.name} strips through {mark(external, 'area')} "
        "of the bolt's thread or "
        f"{mark(internal, 'area')} of the hole's."
    )
    return Outcome(min(external, internal), because, {"external": external, "internal": internal})


@figure(
    "thread-engagement",
    "m",
    value_is="engaged thread at which the bolt breaks before the thread strips",
    source=f"{FEDERAL}, formulas (13), (14) and (16)",
    range="ductile materials; tensile strengths of bolt and plate",
    extra_units={"external": "m", "internal": "m"},
    thread=THREAD,
    bolt_strength=quantity("pressure", "tensile strength of the bolt", above=0.0, most=5e9),
    plate_strength=quantity("pressure", "tensile strength of the plate", above=0.0, most=5e9),
)
def thread_engagement(thread: str, bolt_strength: float, plate_strength: float) -> Outcome:
    """Engagement in m; `external` and `internal` in m for each thread alone, `diameters` of the
    value, `governs`.

    Raises UnknownName and OutOfRange.

    Example: An M5 bolt of 800 MPa in a plate of 310 MPa needs 7.321 mm of thread, 7.321 / 5 = 1.464
    diameters. With less, the plate strips first.

        pitcrew figure thread-engagement thread=M5 bolt_strength="800 MPa" \\
            plate_strength="310 MPa" --units metric
        thread-engagement: 7.321 mm
    """
    found = find_thread(thread)
    bolt_area, plate_area = shear_areas(found, 1.0)
    external = 2 * found.area / bolt_area
    internal = 2 * found.area / plate_area * bolt_strength / plate_strength
    together = 4 * found.area / (math.pi * found.pitch_diameter)
    basic_bolt_area = 0.75 * math.pi * found.minor_diameter
    bolt_governs = basic_bolt_area / plate_area < BALANCED * plate_strength / bolt_strength
    needed = external if bolt_governs else max(together, internal, external)
    governs = (
        "bolt thread"
        if needed == external
        else ("plate thread" if needed == internal else "both threads")
    )
    diameters = needed / found.diameter
    because = (
        f"{found.name} of {mark(bolt_strength, 'stress')} needs {mark(needed, 'length')} of thread "
        f"({number_text(diameters)} diameters) in a plate of {mark(plate_strength, 'stress')}; "
        "less, and the "
        f"{governs} strips first."
    )
    return Outcome(
        needed,
        because,
        {"external": external, "internal": internal, "diameters": diameters, "governs": governs},
    )
