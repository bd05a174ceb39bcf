"""Invented robot logs with their truth known: a seed draws the columns, their wording, the step,
the clock, gaps and the end.

The electrical course is like a counted real match: about 135 s, mean 48 A, peak 200 A, lowest 8.7
V, 1.8 A*h. Battery and wiring are a constant resistance behind a voltage that falls with the charge
drawn; the meter adds noise to volts and to amps.
"""

from dataclasses import dataclass, field

import numpy as np

TIME = ("Elapsed (s)", "time_s", "T", "Timestamp [ms]", "clock_us", "Zeit", "Log time")
LEFT = ("Match clock (s)", "time remaining", "countdown_s")
VOLTS = (
    "Pack volts",
    "battery_voltage",
    "Supply [V]",
    "U_batt",
    "Bus Voltage (V)",
    "mainVoltage",
    "Spannung (V)",
    "supply_mV",
)
AMPS = (
    "Total draw / A",
    "total_current",
    "I_total [A]",
    "Pack Amps",
    "supplyCurrent",
    "Strom (A)",
    "Battery Current",
)
OTHERS = (
    "Left speed (rpm)",
    "arm_angle_deg",
    "CPU load %",
    "Intake temperature [degC]",
    "heading",
    "Enabled",
    "Pose X (m)",
    "loop time (ms)",
    "Motor output volts",
    "air pressure",
    "Radio trip time (ms)",
    "LED mode",
    "Joystick 1 axis 2",
)
UNIT = {"[ms]": 1e3, "_us": 1e6, "_mV": 1e3}


@dataclass
class Truth:
    """What the log was made from. `resistance` ohm, `open_circuit` V at the start, `charge` A*h;
    the rows that are in the file."""

    resistance: float
    open_circuit: float
    elapsed: np.ndarray
    voltage: np.ndarray
    current: np.ndarray
    charge: float = 0.0
    bad_rows: int = 0
    names: dict[str, str] = field(default_factory=dict)


def electrical(
    rng: np.random.Generator, seconds: float = 135.0, step: float = 0.02, noise: float = 0.03
) -> Truth:
    """The course alone: a robot that drives in bursts, with its true resistance."""
    elapsed = np.arange(0, seconds, step)
    current = np.full(len(elapsed), rng.uniform(2, 5))
    at = 0.0
    while at < seconds:
        length, amps = (
            rng.uniform(0.3, 2.5),
            rng.choice([8.0, 25.0, 45.0, 80.0, 130.0], p=[0.2, 0.25, 0.25, 0.2, 0.1]),
        )
        inside = (elapsed >= at) & (elapsed < at + length)
        current[inside] += (
            amps * (0.7 + 0.5 * np.exp(-(elapsed[inside] - at) / 0.3)) * rng.uniform(0.8, 1.2)
        )
        at += length
    resistance, rest = rng.uniform(0.014, 0.026), rng.uniform(12.5, 13.0)
    drawn = (
        np.concatenate([[0], np.cumsum(np.diff(elapsed) * (current[1:] + current[:-1]) / 2)]) / 3600
    )
    voltage = (
        rest
        - rng.uniform(0.02, 0.12) * drawn
        - resistance * current
        + rng.normal(0, noise, len(elapsed))
    )
    measured = np.maximum(current + rng.normal(0, 0.3, len(elapsed)), 0)
    return Truth(
        resistance, rest, elapsed, voltage, measured, float(np.trapezoid(measured, elapsed)) / 3600
    )


def make_log(seed: int, seconds: float = 135.0, columns: int | None = None) -> tuple[bytes, Truth]:
    """A whole CSV and its truth."""
    rng = np.random.default_rng(seed)
    truth = electrical(rng, seconds, float(rng.choice([0.02, 0.02, 0.04, 0.1])))
    _gaps(rng, truth)
    down = rng.random() < 0.3
    names = [str(rng.choice(LEFT if down else TIME)), str(rng.choice(VOLTS)), str(rng.choice(AMPS))]
    clock = (
        np.ceil(truth.elapsed[-1]) - truth.elapsed if down else truth.elapsed + rng.uniform(0, 500)
    )
    values = [clock, truth.voltage, truth.current]
    places = [4, 4, 3]
    for at, name in enumerate(names):
        factor = next((factor for mark, factor in UNIT.items() if name.endswith(mark)), 1.0)
        values[at], places[at] = values[at] * factor, max(places[at] - int(np.log10(factor)), 0)
    many = columns or int(rng.choice([3, 8, 20, 89]))
    for at in range(many - 3):
        names.append(
            str(OTHERS[at])
            if at < len(OTHERS)
            else f"Channel {at} current [A]"
            if at < 30
            else f"sensor {at}"
        )
        values.append(rng.uniform(0, 3, len(truth.elapsed)))
        places.append(3)
    order = rng.permutation(many)
    truth.names = dict(zip(("time", "voltage", "current"), names[:3], strict=True))
    return (
        _written(
            rng,
            truth,
            [names[at] for at in order],
            [values[at] for at in order],
            [places[at] for at in order],
        ),
        truth,
    )


def _gaps(rng: np.random.Generator, truth: Truth) -> None:
    keep = np.ones(len(truth.elapsed), bool)
    for _ in range(int(rng.integers(0, 4))):
        begin = rng.uniform(5, truth.elapsed[-1] - 5)
        keep &= (truth.elapsed < begin) | (truth.elapsed > begin + rng.uniform(0.5, 3))
    truth.elapsed, truth.voltage, truth.current = (
        truth.elapsed[keep],
        truth.voltage[keep],
        truth.current[keep],
    )
    truth.charge = float(np.trapezoid(truth.current, truth.elapsed)) / 3600


def _written(
    rng: np.random.Generator,
    truth: Truth,
    names: list[str],
    values: list[np.ndarray],
    places: list[int],
) -> bytes:
    mark = str(rng.choice([",", ",", ";", "\t"]))
    comma = mark == ";" and rng.random() < 0.7
    lead, tail = " " if rng.random() < 0.3 else "", mark if rng.random() < 0.3 else ""
    rows = [
        mark.join(lead + f"{column[row]:.{places[at]}f}" for at, column in enumerate(values)) + tail
        for row in range(len(truth.elapsed))
    ]
    if comma:
        rows = [row.replace(".", ",") for row in rows]
    header = mark.join(names) + tail
    units = [mark.join(_unit(name) for name in names) + tail] if rng.random() < 0.3 else []
    if rng.random() < 0.2:
        rows.insert(len(rows) // 2, header)
    text = "\n".join([header, *units, *rows])
    if rng.random() < 0.4:  # the last row is cut
        text = text[: len(text) - len(rows[-1]) + rows[-1].index(mark) + 1]
        truth.bad_rows = 1
        truth.elapsed, truth.voltage, truth.current = (
            truth.elapsed[:-1],
            truth.voltage[:-1],
            truth.current[:-1],
        )
        truth.charge = float(np.trapezoid(truth.current, truth.elapsed)) / 3600
    else:
        text += "\n"
    if rng.random() < 0.3:
        text = text.replace("\n", "\r\n")
    return text.encode(str(rng.choice(["utf-8", "utf-8", "utf-8-sig", "utf-16"])))


def _unit(name: str) -> str:
    for word, unit in (
        ("mV", "mV"),
        ("ms", "ms"),
        ("_us", "us"),
        ("olt", "V"),
        ("A", "A"),
        ("pack", "V"),
        ("s)", "s"),
    ):
        if word in name:
            return unit
    return "-"
