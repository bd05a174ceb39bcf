"""The torque audit of a tightened joint: the most it is pulled to, and the readings that are right.

The target is the smallest of four: a part of the bolt's proof load, of what strips the threads, the
seating torque of the head, and what the key bears. What a wrench reads back has a band of its own:
friction scatters the preload, not the torque.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.fasteners import REUSABLE
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.friction import CONDITION, ThreadCondition
from pitcrew.engineering.friction import condition as find_condition
from pitcrew.engineering.grades import (
    GRADE,
    HEAD_SHARE,
    ISO_HEAD,
    LOW_HEAD,
    Grade,
    Strength,
    strength,
)
from pitcrew.engineering.heads import BUTTON, FLAT, HEAD, drive, head_of
from pitcrew.engineering.parameters import choice, number, quantity, text
from pitcrew.engineering.plates import PLATE, lasting_pressure
from pitcrew.engineering.plates import plate as find_plate
from pitcrew.engineering.seating import most_of_any_head, seat
from pitcrew.engineering.strip import FEDERAL, check_engaged
from pitcrew.engineering.thread_limits import shear_areas
from pitcrew.engineering.threads import THREAD, Thread
from pitcrew.engineering.threads import thread as find_thread

STEEL_SHEAR = 0.5  # of the tensile strength, as FED-STD-H28/2B counts
TIGHTENED = 0.10  # either way, for a torque on a drawing without a tolerance (common practice)
WRENCH = 0.04  # of the reading, ISO 6789-1:2017
SETTLED = 0.10  # lost to settling in the first day, from memory (5 to 10 %)
BAND = math.hypot(TIGHTENED, WRENCH)  # ours: no recognized standard has a pass band for an audit
DIAL, CLICK = "dial", "click"
READS = (DIAL, "beam", "digital")
# clearance holes, ISO 273 medium series, mm; other sizes get a tenth more than the thread
_HOLES = {2: 2.4, 2.5: 2.9, 3: 3.4, 4: 4.5, 5: 5.5, 6: 6.6, 8: 9.0, 10: 11.0, 12: 13.5}
LEAST_HEAD = 1.5  # times the thread: the smallest bearing face of usual heads (from memory)


@dataclass(frozen=True)
class _Way:
    """A way for a joint to fail: the torque in N*m that it allows, and for a load the pull in N."""

    name: str
    torque: float
    pull: float = math.inf


@dataclass(frozen=True)
class _Joint:
    """What an audit is worked out from."""

    thread: Thread
    grade: Grade
    step: Strength
    state: ThreadCondition
    head: str | None

    @property
    def per_newton(self) -> float:
        """Torque in N*m for each newton of preload."""
        return self.state.factor.value * self.thread.diameter

    @property
    def proof(self) -> float:
        """What the bolt bears without yielding, N: 80 % of its thread's load under a button or
        flat head.
        """
        weak = self.head in (BUTTON, FLAT) and self.grade.standard not in (ISO_HEAD, LOW_HEAD)
        return self.thread.printed_area * self.step.proof * (HEAD_SHARE if weak else 1.0)

    def stripping(self, plate: object, engagement: float | None) -> dict[str, float]:
        """The pulls in N that strip the plate's and the bolt's thread; none where a matching nut
        takes it.
        """
        name, shear = find_plate(plate)
        if shear is None:
            return {}
        if engagement is None:
            raise OutOfRange(
                f"bolt-audit: a thread in {name} needs the length of engaged thread. Add "
                "engagement.",
                "engagement",
            )
        check_engaged(self.thread, engagement)
        external, internal = shear_areas(self.thread, engagement)
        return {
            "plate thread": internal * shear.value,
            "bolt thread": external * STEEL_SHEAR * self.step.tensile,
        }


@figure(
    "bolt-audit",
    "N*m",
    value_is="torque up to which the joint is pulled, never beyond",
    source=(
        f"smallest of T = K·D·F for a part of proof load and thread-strip load ({FEDERAL}; typical"
        " shear strengths), the seating torque of the head, the yield of its key, and 14 MPa on a"
        " clamped polycarbonate layer (makers' figure, from memory); band ±10 %"
        " tightening and ±4 % wrench, and 10 % less for settling (ours)"
    ),
    range=(
        "dial, beam and digital wrenches read the first movement in the tightening direction; a"
        " click wrench is set to `low` and tells yes or no; not for thread-locked joints, which the"
        " pull would break loose: their check is the paint line"
    ),
    extra_units=dict.fromkeys(
        ("low", "high", "proof_torque", "strip_torque", "seating", "key", "set"), "N*m"
    )
    | {"preload": "N", "pull": "N"},
    thread=THREAD,
    grade=GRADE,
    plate=PLATE,
    condition=CONDITION,
    engagement=quantity("length", "length of engaged thread in the plate", above=0.0, default=None),
    fraction=number(
        "part of the load that would strip or stretch it", above=0.0, most=1.0, default=REUSABLE
    ),
    head=HEAD,
    tool=choice(
        "wrench at hand: dial (also beam or digital, which read) or click (which only "
        "says yes or no)",
        *READS,
        CLICK,
        default=DIAL,
        others={
            "electronic": "digital",
            "clicker": CLICK,
            "click wrench": CLICK,
        },
    ),
    key_size=quantity(
        "length", "key across flats, where it was measured", above=0.0, most=0.05, default=None
    ),
    layers=text("materials that the bolt clamps", "polycarbonate; 6061-T6", default=None),
    washer=quantity(
        "length", "washer under the head, across; else the head alone", above=0.0, default=None
    ),
)
def bolt_audit(
    thread: str,
    grade: str,
    plate: str,
    condition: str,
    engagement: float | None = None,
    fraction: float = REUSABLE,
    head: str | None = None,
    tool: str = DIAL,
    key_size: float | None = None,
    layers: str | None = None,
    washer: float | None = None,
) -> Outcome:
    """Target torque in N*m; `low` to `high` are readings that are right, `set` is where the wrench
    is set.

    `governs` names which of the ways gives the target; `proof_torque`, `strip_torque`, `seating`
    and `key` in N*m are theirs (`seating` and `key` None without a head), `preload` in N what the
    target gives, `scatter` by how much of it friction may differ; at `pull` in N its weakest thread
    or shank, named by `gives_way`, has that part of its load. Raises UnknownName for an unknown
    word, and OutOfRange.

    Example: An M5 of class 8.8 in an aluminum plate, dry. The hex head seats at 5.9 N·m, long
    before the thread strips, so no one pulls beyond 5.9 N·m.

        pitcrew figure bolt-audit thread=M5 grade=8.8 plate=6061-t6 condition=dry \\
            engagement="8 mm" head=hex
        bolt-audit: 5.9 N·m
    """
    found = find_thread(thread)
    kind, step = strength(found, grade)
    joint = _Joint(found, kind, step, find_condition(condition, kind), head_of(kind, head))
    strips = joint.stripping(plate, engagement)
    ways = _loads(joint, strips, fraction)
    gives = min(ways, key=lambda way: way.pull)
    seating = seat(found, kind, step, joint.head) if joint.head else None
    key = drive(found, joint.head, key_size) if joint.head else None
    if not joint.head:
        most = most_of_any_head(found, kind, step, joint.state.factor.value)
        ways.append(_Way("seating torque of any head", most))
    if seating:
        ways.append(_Way("seating torque", seating.torque))
    if key:
        ways.append(_Way("key", key.bears))
    if soft := _clamped(joint, layers, washer):
        ways.append(soft)
    weakest = min(ways, key=lambda way: way.torque)
    low, high = weakest.torque * (1 - BAND - SETTLED), weakest.torque * (1 + BAND)
    extras = {
        "low": low,
        "high": high,
        "set": low if tool == CLICK else weakest.torque,
        "governs": weakest.name,
        "preload": weakest.torque / joint.per_newton,
        "scatter": joint.state.scatter.value,
        "proof_torque": ways[0].torque,
        "strip_torque": min(
            (way.torque for way in ways[1 : 1 + len(strips)]), default=ways[0].torque
        ),
        "seating": seating.torque if seating else None,
        "key": key.bears if key else None,
        "pull": gives.pull,
        "gives_way": gives.name,
    }
    return Outcome(weakest.torque, _because(joint, weakest, fraction, tool, low), extras)


def _loads(joint: _Joint, strips: Mapping[str, float], fraction: float) -> list[_Way]:
    """The bolt at a part of its proof load, then the threads that could strip.

    A thread strips for good, so that the highest pull that friction may leave stays below its load.
    """
    sure = min(fraction, 1 - joint.state.scatter.value)
    threads = [
        _Way(name, joint.per_newton * sure * pull, fraction * pull) for name, pull in strips.items()
    ]
    bolt = fraction * joint.proof
    return [_Way("bolt proof load", joint.per_newton * bolt, bolt), *threads]


def _clamped(joint: _Joint, layers: str | None, washer: float | None) -> _Way | None:
    """What a clamped plastic bears for long under washer or head; None where none is clamped."""
    found = lasting_pressure(layers)
    if found is None:
        return None
    name, pressure = found
    bolt = joint.thread.diameter
    hole = _HOLES.get(round(bolt * 1000, 3), 1100 * bolt) / 1000
    face = LEAST_HEAD * bolt if washer is None else washer
    if face <= hole:
        raise OutOfRange(
            f"bolt-audit: a washer of {mark(face, 'length')} falls into the hole of "
            f"{mark(hole, 'length')}. Give its outside diameter.",
            "washer",
        )
    bears = "washer" if washer else "head without a washer"
    pull = pressure * math.pi / 4 * (face**2 - hole**2)
    return _Way(f"{name} under the {bears}", joint.per_newton * pull)


def _because(joint: _Joint, weakest: _Way, fraction: float, tool: str, low: float) -> str:
    name = " ".join(
        part
        for part in (joint.thread.name, joint.grade.title, joint.head and f"{joint.head} head")
        if part
    )
    sure = min(fraction, 1 - joint.state.scatter.value)
    part = {"bolt proof load": fraction, "plate thread": sure, "bolt thread": sure}
    share = (
        f"{number_text(100 * part[weakest.name])} % of the {weakest.name}"
        if weakest.name in part
        else f"the {weakest.name}"
    )
    reads = (
        f"Set a click wrench to {mark(low, 'torque')}: it must click before anything moves."
        if tool == CLICK
        else f"A first movement at {mark(low, 'torque')} or more is fine."
    )
    return (
        f"{name}, {joint.state.name}: {share} allows {mark(weakest.torque, 'torque')}; never pull "
        f"beyond it. {reads} "
        f"The preload scatters by ±{100 * joint.state.scatter.value:g} %."
    )
