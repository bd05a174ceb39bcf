"""Numbers that more than one formula needs, each with how well it is known and where it comes
from."""

from dataclasses import dataclass

EXACT, CONVENTIONAL, MEASURED, DATA_SHEET = "exact", "conventional", "measured", "data sheet"


@dataclass(frozen=True)
class Constant:
    """A known number: `value` in `unit`; `grade` is exact, conventional, measured or data sheet;
    `source` names the print."""

    value: float
    unit: str
    grade: str
    source: str


GRAVITY = Constant(9.80665, "m/s^2", CONVENTIONAL, "3rd CGPM (1901): standard gravity")
INCH = Constant(0.0254, "m", EXACT, "international inch (1959)")
POUND_FORCE = Constant(
    4.4482216152605, "N", EXACT, "avoirdupois pound (0.45359237 kg) times standard gravity"
)
KSI = Constant(
    1000 * POUND_FORCE.value / INCH.value**2, "Pa", EXACT, "1000 lbf over one square inch"
)
INCH_POUND = Constant(POUND_FORCE.value * INCH.value, "N*m", EXACT, "one lbf at one inch")
MEGAPASCAL = Constant(1e6, "Pa", EXACT, "SI prefix")
