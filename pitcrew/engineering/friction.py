"""How a joint's surface turns torque into preload: the nut factor K and its scatter."""

from dataclasses import dataclass

from pitcrew.engineering.constants import MEASURED, Constant
from pitcrew.engineering.figures import text
from pitcrew.engineering.lookup import other_names, row

_SHIGLEY = "Shigley's Mechanical Engineering Design, table 8-15"
DRY_SCATTER = Constant(0.35, "1", MEASURED, "NASA torque-wrench scatter, unlubricated (from memory)")
CADMIUM_SCATTER = Constant(0.30, "1", MEASURED, "NASA torque-wrench scatter, cadmium plated (from memory)")
OILED_SCATTER = Constant(0.25, "1", MEASURED, "Industrial Fasteners Institute note: torque wrench ±25 %")


@dataclass(frozen=True)
class Condition:
    """A state of the threads and the bearing face: the nut factor and the scatter of the preload as a fraction."""

    name: str
    factor: Constant
    scatter: Constant


def _condition(name: str, factor: float, scatter: Constant) -> Condition:
    return Condition(name, Constant(factor, "1", MEASURED, _SHIGLEY), scatter)


CONDITIONS: dict[str, Condition] = {
    condition.name: condition
    for condition in (
        _condition("dry", 0.30, DRY_SCATTER),
        _condition("zinc", 0.20, DRY_SCATTER),
        _condition("lubricated", 0.18, OILED_SCATTER),
        _condition("cadmium", 0.16, CADMIUM_SCATTER),
        _condition("anti-seize", 0.12, OILED_SCATTER),
        _condition("grip nut", 0.09, OILED_SCATTER),
    )
}
_OTHER_NAMES = other_names(
    {
        "dry": "black; plain; bare; unplated; unlubricated; nonplated; non-plated; black finish; black oxide; nonplated black; "
        "non-plated black; nonplated black finish",
        "zinc": "zinc plated; zinc-plated; galvanized; as received",
        "lubricated": "lubed; oiled; oil",
        "cadmium": "cadmium plated; cadmium-plated",
        "anti-seize": "antiseize; anti seize; bowman anti-seize",
        "grip nut": "grip nuts; grip-nut; bowman-grip; bowman grip; bowman-grip nuts",
    }
)
CONDITION = text("state of the threads", *CONDITIONS)


def condition(name: object) -> Condition:
    """The condition as written (`zinc plated`, `oiled`, `black`). Raises UnknownName with the nearest."""
    return row("The thread condition", name, CONDITIONS, _OTHER_NAMES)[1]
