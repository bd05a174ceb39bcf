"""Bolts: stress area, proof load, and torque against preload."""

import math

from pitcrew.base.errors import OutOfRange
from pitcrew.base.units import mark, number_text
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.friction import CONDITION
from pitcrew.engineering.friction import condition as find_condition
from pitcrew.engineering.grades import GRADE, GRADES, known_grade, strength
from pitcrew.engineering.heads import HEAD, head_of
from pitcrew.engineering.parameters import number, quantity, text
from pitcrew.engineering.seating import most_of_any_head, printed_yield, seat
from pitcrew.engineering.threads import THREAD, screw
from pitcrew.engineering.threads import thread as find_thread

THREAD_RANGE = "M1.6 to M39 with ISO 261 pitches; 0-80 to 1-1/2 inch with ASME B1.1 pitches"
REUSABLE = 0.75
TORQUE_SOURCE = (
    "T = K·D·F with the nut factors of Shigley, table 8-15 (0.20 for a black alloy screw as it "
    "comes: printed seating torques); "
    "F = 0.75 of the proof load for joints that are opened again; never above the seating torque "
    "of the head (seating-torque)"
)


@figure(
    "bolt-area",
    "m^2",
    value_is="tensile stress area of the thread",
    source="ISO 898-1: π/4·(d - 0.9382P)²; ASME B1.1: π/4·(D - 0.9743/n)²",
    range=THREAD_RANGE,
    extra_units=dict.fromkeys(
        ("diameter", "pitch", "pitch_diameter", "minor_diameter", "length"), "m"
    ),
    thread=THREAD,
)
def bolt_area(thread: str) -> Outcome:
    """Tensile stress area in m²; `diameter`, `pitch`, `pitch_diameter` and `minor_diameter` in m.

    `length` in m is the screw's, where one stands behind the thread. Raises UnknownName.

    Example: M5 has a pitch of 0.8 mm, and the thread's root counts in part: π / 4 × (5 - 0.9382 ×
    0.8)^2 = 14.18 mm².

        pitcrew figure bolt-area thread=M5 --units metric
        bolt-area: 14.18 mm²
    """
    found, length = screw(thread)
    long = "" if length is None else f" (a screw {mark(length, 'length')} long)"
    because = (
        f"{found.name}{long} is {mark(found.diameter, 'length', 4)} over its threads with a pitch "
        "of "
        f"{mark(found.pitch, 'length', 4)}: "
        f"it pulls like a bar of {mark(found.area, 'area')}."
    )
    return Outcome(
        found.area,
        because,
        {
            "diameter": found.diameter,
            "pitch": found.pitch,
            "pitch_diameter": found.pitch_diameter,
            "minor_diameter": found.minor_diameter,
            "length": length,
        },
    )


@figure(
    "bolt-proof",
    "N",
    value_is="proof load: what the bolt carries without lasting stretch",
    source=(
        "stress area (three digits of it for ISO 898-1, as printed there) × proof stress of "
        "ISO 898-1:2013, SAE J429 or ASTM A574; "
        "80 % of it for button and flat heads (ISO 7380-2:2022; ASTM F835); stainless has no proof "
        "load: 0.2 % yield of ISO 3506-1"
    ),
    range=(
        "ISO 898-1: M1.6 to M39, class 9.8 to M16; SAE J429: 1/4 to 1-1/2 in, grade 2 no longer "
        "than 6 in; ASTM A574: #0 to 1-1/2 in; "
        "A2 and A4 to M24; 18-8 #0 to 1 in, as weak as it may be (40 ksi)"
    ),
    extra_units={
        "proof_stress": "Pa",
        "yield_stress": "Pa",
        "tensile_stress": "Pa",
        "tensile_load": "N",
        "area": "m^2",
    },
    thread=THREAD,
    grade=GRADE,
)
def bolt_proof(thread: str, grade: str) -> Outcome:
    """Proof load in N, with the stresses in Pa and `tensile_load` in N.

    Raises UnknownName and OutOfRange.

    Example: M5 pulls like a bar of 14.2 mm², and class 8.8 may be pulled to 580 MPa: 14.2 × 580 =
    8236 N.

        pitcrew figure bolt-proof thread=M5 grade=8.8
        bolt-proof: 8236 N
    """
    found = find_thread(thread)
    kind, step = strength(found, grade)
    area = found.printed_area
    load = area * step.proof
    what = "begins to yield at" if kind.stainless else "has a proof load of"
    because = (
        f"{found.name} of {kind.title} {what} {mark(load, 'force')}: {mark(area, 'area')} "
        f"times {mark(step.proof, 'stress')}."
    )
    return Outcome(
        load,
        because,
        {
            "proof_stress": step.proof,
            "yield_stress": step.yields,
            "tensile_stress": step.tensile,
            "tensile_load": area * step.tensile,
            "area": area,
        },
    )


@figure(
    "bolt-torque",
    "N*m",
    value_is="torque for that fraction of the proof load",
    source=TORQUE_SOURCE,
    range=(
        "sizes of the grade's standard; a fraction of the proof load up to 1 (0.75 reusable, "
        "0.9 permanent joints)"
    ),
    extra_units=dict.fromkeys(("low", "high", "seating"), "N*m")
    | dict.fromkeys(("preload", "preload_low", "preload_high"), "N"),
    thread=THREAD,
    grade=GRADE,
    condition=CONDITION,
    fraction=number("part of the proof load", above=0.0, most=1.0, default=REUSABLE),
    head=HEAD,
)
def bolt_torque(
    thread: str, grade: str, condition: str, fraction: float, head: str | None = None
) -> Outcome:
    """Torque in N*m; `low` and `high` bound what gives this `preload` (N) as friction scatters.

    `preload_low` and `preload_high` in N bound the preload at the value; `scatter` is a fraction.
    `seating` in N*m is the most for that head, None where no head is given and the grade has
    several. Raises UnknownName, OutOfRange.

    Example: M5 of class 8.8, dry (K = 0.3), at three quarters of its proof load would take 0.3 ×
    0.005 × 0.75 × 8236 = 9.27 N·m. Its hex head seats at 5.9 N·m, and the smaller one counts.

        pitcrew figure bolt-torque thread=M5 grade=8.8 condition=dry head=hex
        bolt-torque: 5.9 N·m
    """
    found = find_thread(thread)
    kind, step = strength(found, grade)
    state, proof = find_condition(condition, kind), found.printed_area * step.proof
    shape = head_of(kind, head)
    seating = seat(found, kind, step, shape).torque if shape else None
    per_newton = state.factor.value * found.diameter
    most = most_of_any_head(found, kind, step, state.factor.value) if seating is None else seating
    torque = min(per_newton * fraction * proof, most)
    preload, scatter = torque / per_newton, state.scatter.value
    seats = f"its {shape} head" if shape else "any head of it (say which: a button bears less)"
    capped = most == torque
    because = (
        f"{found.name} of {kind.title}, {state.name} (K = {state.factor.value:g}): "
        f"{mark(torque, 'torque')} "
        f"stretch it to {mark(preload, 'force')}, {number_text(100 * preload / proof)} % of its "
        "proof load"
        + (f", and seat {seats}; more is too much" if capped else "")
        + f"; the preload scatters by ±{100 * scatter:g} %."
    )
    return Outcome(
        torque,
        because,
        _up_to(_scattered(torque, scatter), printed_yield(found, kind))
        | {
            "preload": preload,
            "preload_low": preload * (1 - scatter),
            "preload_high": preload * (1 + scatter),
            "scatter": scatter,
            "factor": state.factor.value,
            "seating": seating,
            "governs": "seating torque" if capped else "bolt proof load",
        },
    )


@figure(
    "nut-factor",
    "1",
    value_is="K of T = K·D·F",
    source=(
        "Shigley, eq. (8-26): K = dm/2d·(tan λ + f·sec α)/(1 - f·tan λ·sec α) + 0.625·fc, α = 30°"
    ),
    range=(
        "friction of the threads and under the head between 0 and 0.5, each from a table or a test"
    ),
    thread=THREAD,
    thread_friction=number("friction of the threads", least=0.0, most=0.5),
    collar_friction=number("friction under the turning head or nut", least=0.0, most=0.5),
)
def nut_factor(thread: str, thread_friction: float, collar_friction: float) -> Outcome:
    """Nut factor of a thread from its two frictions, where no tested K is known.

    Raises UnknownName.

    Example: An M10 with a friction of 0.15 in the threads and under the head. The head alone takes
    0.625 × 0.15 = 0.094 of K, nearly half.

        pitcrew figure nut-factor thread=M10 thread_friction=0.15 collar_friction=0.15
        nut-factor: 0.1967
    """
    found = find_thread(thread)
    mean = found.diameter - 9 * math.sqrt(3) / 24 * found.pitch
    lead, secant = found.pitch / (math.pi * mean), 2 / math.sqrt(3)
    factor = (
        mean
        / (2 * found.diameter)
        * (lead + thread_friction * secant)
        / (1 - thread_friction * lead * secant)
    )
    factor += 0.625 * collar_friction
    because = (
        f"{found.name} with friction {number_text(thread_friction)} in its threads and "
        f"{number_text(collar_friction)} under the head has "
        f"K = {number_text(factor)}; most of a torque is spent on friction."
    )
    return Outcome(factor, because)


@figure(
    "bolt-preload",
    "N",
    value_is="preload that the torque gives on average",
    source="F = T/(K·D) with the nut factors of Shigley, table 8-15",
    range="torque of the moving nut; never without its scatter",
    extra_units={"low": "N", "high": "N"},
    thread=THREAD,
    torque=quantity("torque", "torque at the wrench", above=0.0),
    condition=CONDITION,
    prevailing=quantity(
        "torque", "run-on torque of a locknut, taken off first", least=0.0, default=0.0
    ),
    grade=text("class or grade, where it is known: alloy screws come oiled", *GRADES, default=None),
)
def bolt_preload(
    thread: str, torque: float, condition: str, prevailing: float, grade: str | None = None
) -> Outcome:
    """Preload in N for a torque in N*m; `low` and `high` in N by the `scatter` (a fraction).

    Raises UnknownName, OutOfRange.

    Example: 6 N·m on a dry M5 (K = 0.3) clamp with 6 / (0.3 × 0.005) = 4000 N, give or take 35 %.

        pitcrew figure bolt-preload thread=M5 torque="6 N*m" condition=dry
        bolt-preload: 4000 N
    """
    found = find_thread(thread)
    state = find_condition(condition, None if grade is None else known_grade(grade))
    if torque <= prevailing:
        raise OutOfRange(
            f"bolt-preload: the torque of {torque:.4g} N*m does not exceed the run-on torque of "
            f"{prevailing:.4g} N*m, so "
            "nothing is clamped. Measure both again.",
            "torque",
        )
    preload = (torque - prevailing) / (state.factor.value * found.diameter)
    scatter = state.scatter.value
    because = (
        f"{mark(torque, 'torque')} on {found.name}, {state.name} (K = {state.factor.value:g}), "
        "clamp with about "
        f"{mark(preload, 'force')}, give or take {100 * scatter:g} %."
    )
    return Outcome(
        preload,
        because,
        _scattered(preload, scatter) | {"scatter": scatter, "factor": state.factor.value},
    )


def _up_to(bounds: dict[str, float], most: float | None) -> dict[str, float]:
    """Bounds of a torque, none above the printed torque at which the screw yields."""
    return {name: min(value, most or value) for name, value in bounds.items()}


def _scattered(value: float, scatter: float) -> dict[str, float]:
    return {"low": value * (1 - scatter), "high": value * (1 + scatter)}
