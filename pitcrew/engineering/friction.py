"""How a joint's surface turns torque into preload: the nut factor K and its scatter."""

from dataclasses import dataclass

from pitcrew.engineering.constants import MEASURED, Constant
from pitcrew.engineering.grades import Grade
from pitcrew.engineering.lookup import other_names, row
from pitcrew.engineering.parameters import text

_SHIGLEY = "Shigley's Mechanical Engineering Design, table 8-15"
# Black alloy screws leave the plant with a film of oil. Of eight printed sources six give them 0.17
# to 0.21 (an ISO 7380 button-head sheet 0.19, an ISO 4762 12.9 table 0.20, an inch socket-cap table
# 0.21, a trade letter 0.20, data of the Industrial Fasteners Institute 0.20, a torque card 0.17);
# the textbook's 0.30 is for plain threads without any oil.
_AS_RECEIVED = "published seating torques of black alloy socket screws as received (0.17 to 0.21)"
DRY_SCATTER = Constant(
    0.35, "1", MEASURED, "NASA torque-wrench scatter, unlubricated (from memory)"
)
CADMIUM_SCATTER = Constant(
    0.30, "1", MEASURED, "NASA torque-wrench scatter, cadmium plated (from memory)"
)
OILED_SCATTER = Constant(
    0.25, "1", MEASURED, "Industrial Fasteners Institute note: torque wrench ±25 %"
)


@dataclass(frozen=True)
class ThreadCondition:
    """A state of the threads and the bearing face: the nut factor and the scatter of the preload as
    a fraction.

    `oiled` says that the screw still has the film of oil it came with, unless it is taken off.
    """

    name: str
    factor: Constant
    scatter: Constant
    oiled: bool = False


def _condition(name: str, factor: float, scatter: Constant) -> ThreadCondition:
    return ThreadCondition(name, Constant(factor, "1", MEASURED, _SHIGLEY), scatter)


CONDITIONS: dict[str, ThreadCondition] = {
    condition.name: condition
    for condition in (
        _condition("dry", 0.30, DRY_SCATTER),
        _condition("black", 0.30, DRY_SCATTER),
        _condition("degreased", 0.30, DRY_SCATTER),
        _condition("zinc", 0.20, DRY_SCATTER),
        _condition("lubricated", 0.18, OILED_SCATTER),
        _condition("cadmium", 0.16, CADMIUM_SCATTER),
        _condition("anti-seize", 0.12, OILED_SCATTER),
        _condition("grip nut", 0.09, OILED_SCATTER),
    )
}
AS_RECEIVED = ThreadCondition(
    "black, as received", Constant(0.20, "1", MEASURED, _AS_RECEIVED), DRY_SCATTER, oiled=True
)
_MAYBE_OILED = ("dry", "black")  # what people call an alloy screw straight from its bag
_OTHER_NAMES = other_names(
    {
        "dry": "plain; bare; unplated; unlubricated; nonplated; non-plated",
        "black": (
            "black finish; black oxide; black as received; "
            "nonplated black; non-plated black; nonplated black finish"
        ),
        "degreased": "cleaned; washed; solvent cleaned; no oil; oil-free; oil free",
        "zinc": "zinc plated; zinc-plated; galvanized; as received",
        "lubricated": "lubed; oiled; oil",
        "cadmium": "cadmium plated; cadmium-plated",
        "anti-seize": "antiseize; anti seize; bowman anti-seize",
        "grip nut": "grip nuts; grip-nut; bowman-grip; bowman grip; bowman-grip nuts",
    }
)
CONDITION = text(
    "state of the threads; black alloy screws as they come are oiled, not dry", *CONDITIONS
)


def condition(name: object, grade: Grade | None = None) -> ThreadCondition:
    """The condition as written (`zinc plated`, `oiled`, `black`), on a bolt of that grade where it
    is known.

    A black alloy screw counts as oiled, as it comes, unless it is `degreased`. Raises UnknownName
    with the nearest.
    """
    found = row("The thread condition", name, CONDITIONS, _OTHER_NAMES)[1]
    return (
        AS_RECEIVED if grade is not None and grade.alloy and found.name in _MAYBE_OILED else found
    )
