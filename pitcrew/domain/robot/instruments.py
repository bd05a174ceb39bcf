"""What readings are taken with, and how far each may be off. A build sheet states its own under
`[instruments]`.

An uncertainty is expanded (k = 2: about 95 of 100 readings lie within it): a share of the reading,
a floor, or both. The defaults are common practice for the tools of a pit, not measured values;
those of meters are makers' statements for cheap ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pitcrew.base.accuracy import Accuracy
from pitcrew.domain.robot.tables import Field


@dataclass(frozen=True)
class Instrument:
    """An instrument as sentences name it, the dimension that it shows, and how far it may be off
    unless the sheet says.

    `usual` is the reading (SI) at which one number stands for share and floor together.
    """

    label: str
    dimension: str
    accuracy: Accuracy
    usual: float = 0.0

    def plain(self, accuracy: Accuracy) -> tuple[float, str]:
        """One number for it with its dimension: percent where it is only a share, else SI at the
        usual reading."""
        if accuracy.share and not accuracy.floor:
            return 100 * accuracy.share, "percent"
        return accuracy.at(self.usual), self.dimension


def _floor(label: str, dimension: str, floor: float) -> Instrument:
    return Instrument(label, dimension, Accuracy(floor=floor))


def _share(label: str, dimension: str, percent: float, usual: float) -> Instrument:
    return Instrument(label, dimension, Accuracy(share=percent / 100), usual)


INSTRUMENTS: dict[str, Instrument] = {
    "ruler": _floor("the ruler", "length", 0.001),
    "tape": _floor("the tape", "length", 0.002),
    "calliper": _floor("the caliper", "length", 0.0001),
    "micrometer": _floor("the micrometer", "length", 0.00001),
    "feeler": _floor("the feeler gauge", "length", 0.00005),
    "protractor": _floor("the protractor", "angle", 0.0175),
    "torque_wrench": _share("the torque wrench", "torque", 6, 10.0),
    "luggage_scale": _share("the luggage scale", "force", 4, 100.0),
    "bathroom_scale": _floor("the scale", "mass", 0.5),
    "voltmeter": Instrument(
        "the voltmeter", "voltage", Accuracy(0.005, 0.02), 12.7
    ),  # 0.5 % + 2 digits of 10 mV
    "ammeter": Instrument(
        "the load tester", "current", Accuracy(0.02, 0.5), 50.0
    ),  # a clamp: 2 % + 5 digits of 0.1 A
    "ohmmeter": _share("the ohmmeter", "resistance", 2, 60.0),
    "pressure_gauge": _floor("the gauge", "pressure", 10_000.0),
    "stopwatch": _floor("the stopwatch", "time", 0.5),
    "tone_app": _share("the tone reading", "frequency", 2, 100.0),
}


def instrument_fields() -> tuple[Field, ...]:
    """The keys of `[instruments]`: how far each may be off, none of them required."""
    return tuple(
        Field(
            name,
            "accuracy",
            f"how far {instrument.label} may be off",
            default=instrument.accuracy,
            choices=(instrument.dimension,),
        )
        for name, instrument in INSTRUMENTS.items()
    )


def american(table: Any) -> Any:
    """A table of instruments in which `caliper` is the key that files have used from the start."""
    if not isinstance(table, dict) or "calliper" in table:
        return table
    return {"calliper" if name == "caliper" else name: value for name, value in table.items()}


def plain_numbers(accuracies: Mapping[str, Accuracy]) -> dict[str, float]:
    """Each instrument's one number, as formulas that know no more use it."""
    return {name: INSTRUMENTS[name].plain(accuracy)[0] for name, accuracy in accuracies.items()}
