"""What readings are taken with, and how far each may be off. A build sheet states its own under `[instruments]`.

An uncertainty is expanded (k = 2: about 95 of 100 readings lie within it). In percent it is a share of the reading.
The defaults are common practice for the tools of a pit, not measured values.
"""

from dataclasses import dataclass

from pitcrew.domain.robot.tables import Field


@dataclass(frozen=True)
class Instrument:
    """An instrument as sentences name it, the dimension of its uncertainty and the default (SI; % where it is a share)."""

    label: str
    dimension: str
    uncertainty: float


INSTRUMENTS: dict[str, Instrument] = {
    "ruler": Instrument("the ruler", "length", 0.001),
    "tape": Instrument("the tape", "length", 0.002),
    "calliper": Instrument("the calliper", "length", 0.0001),
    "feeler": Instrument("the feeler gauge", "length", 0.00005),
    "protractor": Instrument("the protractor", "angle", 0.0175),
    "torque_wrench": Instrument("the torque wrench", "percent", 6.0),
    "luggage_scale": Instrument("the luggage scale", "percent", 4.0),
    "bathroom_scale": Instrument("the scale", "mass", 0.5),
    "voltmeter": Instrument("the voltmeter", "voltage", 0.02),
    "ammeter": Instrument("the load tester", "percent", 3.0),
    "ohmmeter": Instrument("the ohmmeter", "percent", 2.0),
    "pressure_gauge": Instrument("the gauge", "pressure", 10_000.0),
    "stopwatch": Instrument("the stopwatch", "time", 0.5),
    "tone_app": Instrument("the tone reading", "percent", 2.0),
}


def instrument_fields() -> tuple[Field, ...]:
    """The keys of `[instruments]`: each instrument's uncertainty with its unit, none of them required."""
    return tuple(
        Field(name, instrument.dimension, f"how far {instrument.label} may be off", default=instrument.uncertainty, least=0)
        for name, instrument in INSTRUMENTS.items()
    )
