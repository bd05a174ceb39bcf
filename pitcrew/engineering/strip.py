"""Threads that strip: shear areas, engagement, and the torque audit of a joint in a plate."""

import math
from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.fasteners import REUSABLE, THREAD_RANGE
from pitcrew.engineering.figures import Outcome, figure, number, quantity
from pitcrew.engineering.friction import CONDITION
from pitcrew.engineering.friction import condition as find_condition
from pitcrew.engineering.grades import GRADE, strength
from pitcrew.engineering.plates import PLATE
from pitcrew.engineering.plates import plate as find_plate
from pitcrew.engineering.thread_limits import shear_areas
from pitcrew.engineering.threads import THREAD, Thread
from pitcrew.engineering.threads import thread as find_thread

MOST_DIAMETERS = 3.0  # of engagement: beyond it the first threads carry the load all the same
BALANCED = 0.95  # FED-STD-H28/2B: within 5 % both threads shear together
STEEL_SHEAR = 0.5  # of the tensile strength, as FED-STD-H28/2B counts
FEDERAL = "FED-STD-H28/2B, table II.B.1"


def _engaged(thread: Thread, engagement: float) -> None:
    if not thread.pitch <= engagement <= MOST_DIAMETERS * thread.diameter:
        raise OutOfRange(
            f"{thread.name} arrived with {engagement * 1000:.3g} mm of engaged thread; wanted one turn "
            f"({thread.pitch * 1000:.3g} mm) to {MOST_DIAMETERS:g} diameters ({MOST_DIAMETERS * thread.diameter * 1000:.3g} mm), "
            "beyond which the first threads carry the load all the same (common practice). Give the engaged length.",
            "engagement",
        )


@figure(
    "bolt-strip",
    "m^2",
    value_is="the smaller of the two areas that must shear to strip the thread",
    source=f"{FEDERAL}, formulas (2a) and (4a), with the limits of ISO 965-1 6g/6H or ASME B1.1 2A/2B",
    range=f"{THREAD_RANGE}; one turn to 3 diameters of engagement",
    extra_units={"external": "m^2", "internal": "m^2"},
    thread=THREAD,
    engagement=quantity("length", "length of engaged full thread", above=0.0),
)
def bolt_strip(thread: str, engagement: float) -> Outcome:
    """Shear areas in m²: `external` of the bolt's thread, `internal` of the hole's. Raises UnknownName and OutOfRange."""
    found = find_thread(thread)
    _engaged(found, engagement)
    external, internal = shear_areas(found, engagement)
    because = (
        f"Over {mark(engagement, 'length')} {found.name} strips through {mark(external, 'area')} of the bolt's thread or "
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
    """Engagement in m; `external` and `internal` in m for each thread alone, `diameters` of the value, `governs`.

    Raises UnknownName and OutOfRange.
    """
    found = find_thread(thread)
    bolt_area, plate_area = shear_areas(found, 1.0)
    external = 2 * found.area / bolt_area
    internal = 2 * found.area / plate_area * bolt_strength / plate_strength
    together = 4 * found.area / (math.pi * found.pitch_diameter)
    basic_bolt_area = 0.75 * math.pi * found.minor_diameter
    bolt_governs = basic_bolt_area / plate_area < BALANCED * plate_strength / bolt_strength
    needed = external if bolt_governs else max(together, internal, external)
    governs = "bolt thread" if needed == external else ("plate thread" if needed == internal else "both threads")
    diameters = needed / found.diameter
    because = (
        f"{found.name} of {mark(bolt_strength, 'stress')} needs {mark(needed, 'length')} of thread "
        f"({number_text(diameters)} diameters) in a plate of {mark(plate_strength, 'stress')}; less, and the "
        f"{governs} strips first."
    )
    return Outcome(needed, because, {"external": external, "internal": internal, "diameters": diameters, "governs": governs})


@dataclass(frozen=True)
class _Way:
    """A way for a joint to fail and the pull in N at which it does."""

    name: str
    pull: float


def _ways(thread: Thread, grade: object, plate: object, engagement: float | None) -> list[_Way]:
    step = strength(thread, grade)[1]
    ways = [_Way("bolt proof load", thread.printed_area * step.proof)]
    name, shear = find_plate(plate)
    if shear is not None:
        if engagement is None:
            raise OutOfRange(f"bolt-audit: a thread in {name} needs the length of engaged thread. Add engagement.", "engagement")
        _engaged(thread, engagement)
        external, internal = shear_areas(thread, engagement)
        ways += [_Way("plate thread", internal * shear.value), _Way("bolt thread", external * STEEL_SHEAR * step.tensile)]
    return ways


@figure(
    "bolt-audit",
    "N*m",
    value_is="torque up to which the joint is pulled, never beyond",
    source=f"T = K·D·F, F a part of the smaller of proof load and thread-strip load ({FEDERAL}; typical shear strengths)",
    range="first movement in the tightening direction; not for thread-locked or nylon-insert joints, which have a witness mark",
    extra_units={"low": "N*m", "high": "N*m", "proof_torque": "N*m", "strip_torque": "N*m", "preload": "N"},
    thread=THREAD,
    grade=GRADE,
    plate=PLATE,
    condition=CONDITION,
    engagement=quantity("length", "length of engaged thread in the plate", above=0.0, default=None),
    fraction=number("part of the load that would strip or stretch it", above=0.0, most=1.0, default=REUSABLE),
)
def bolt_audit(thread: str, grade: str, plate: str, condition: str, engagement: float | None, fraction: float) -> Outcome:
    """Audit torque in N*m with its band `low` to `high`, `governs`, `preload` in N and `scatter`.

    `proof_torque` and `strip_torque` in N*m are those of the two ways (without a plate's thread they are the same).
    Raises UnknownName for an unknown thread, grade, plate or condition, and OutOfRange.
    """
    found, state = find_thread(thread), find_condition(condition)
    ways = _ways(found, grade, plate, engagement)
    weakest = min(ways, key=lambda way: way.pull)
    per_newton = fraction * state.factor.value * found.diameter
    torque, scatter = per_newton * weakest.pull, state.scatter.value
    because = (
        f"{found.name} grade {grade}, {state.name}: the {weakest.name} gives way at {mark(weakest.pull, 'force')}, so pull to "
        f"{mark(torque, 'torque')} ({number_text(100 * fraction)} % of it) and never beyond; friction scatters by "
        f"±{100 * scatter:g} %."
    )
    return Outcome(
        torque,
        because,
        {
            "low": torque * (1 - scatter),
            "high": torque * (1 + scatter),
            "governs": weakest.name,
            "preload": fraction * weakest.pull,
            "scatter": scatter,
            "proof_torque": per_newton * ways[0].pull,
            "strip_torque": per_newton * min((way.pull for way in ways[1:]), default=ways[0].pull),
        },
    )
