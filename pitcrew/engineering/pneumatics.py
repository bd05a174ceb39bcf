"""Compressed air: how fast a filled and closed system leaks."""

from pitcrew.base.units import mark
from pitcrew.engineering.figures import Outcome, figure
from pitcrew.engineering.parameters import quantity

ATMOSPHERE = 101_325.0


@figure(
    "leak-rate",
    "m^3/s",
    value_is="leak as free air at one atmosphere",
    source=(
        "pressure decay of an ideal gas at constant temperature: Q = V dp / (p0 t), p0 = 101325 Pa"
    ),
    range=(
        "closed volume, compressor off, readings after the air has cooled (a warm fill drops by"
        " itself), drop below 20 bar"
    ),
    extra_units={"drop_per_minute": "Pa"},
    volume=quantity("volume", "volume of tanks and tubes under pressure", above=0, most=10),
    drop=quantity("pressure", "fall of the gauge between the two readings", least=0, most=2e6),
    time=quantity("time", "time between the two readings", above=0, most=1e6),
)
def leak_rate(volume: float, drop: float, time: float) -> Outcome:
    """Free-air leak in m^3/s for a volume in m^3, a drop in Pa (gauge or absolute, it is a
    difference) and a time in s.

    Example: Tanks of 1.2 liters lose 0.2 bar in 10 minutes. As free air, at 1.01325 bar, that is
    1.2 × 0.2 / (1.01325 × 10) = 0.02369 l a minute.

        pitcrew figure leak-rate volume="1.2 l" drop="0.2 bar" time="10 min" --units metric
        leak-rate: 0.02369 l/min
    """
    value = volume * drop / (ATMOSPHERE * time)
    per_minute = drop / time * 60
    because = (
        f"{mark(drop, 'pressure')} in {time / 60:.3g} min from {mark(volume, 'volume')} is"
        f" {value * 6e4:.3g} l/min of free air. Stabilise before the first reading; then find the"
        " place with soapy water."
    )
    return Outcome(value, because, {"drop_per_minute": per_minute})
