"""Invented logs of the demo's robot, as its controller would write them: one row each 0.1 s, units
in row two."""

from random import Random

STEP = 0.1
PHASES = (("waiting", 4.0), ("autonomous", 15.0), ("driver", 118.0), ("stopped", 3.0))
"""The phases of a match and their seconds."""
CHANNELS = {
    "Drive front left": 0.17,
    "Drive front right": 0.18,
    "Drive rear left": 0.17,
    "Drive rear right": 0.17,
    "Lift": 0.16,
    "Intake": 0.08,
}
"""What each channel takes of the current that the idling controller does not."""
IDLE = 2.5
"""A that the controller and the radio draw"""
BURSTS = ((6, 3), (25, 5), (50, 5), (85, 3), (140, 2))
"""A while driving, and how often so much is drawn."""
NOISE = 0.04
"""V by which the controller's own reading scatters"""


def match_log(rng: Random, resistance: float, open_circuit: float) -> bytes:
    """The CSV of one match: battery and wiring of `resistance` ohm behind `open_circuit` V at the
    start."""
    names = ["Time", "Match phase", "Pack voltage", "Total current", *CHANNELS]
    lines = [", ".join(names), ", ".join(["s", "", "V", *["A"] * (len(names) - 3)])]
    elapsed = drawn = 0.0
    for phase, seconds in PHASES:
        for amps in _course(rng, round(seconds / STEP), phase in ("autonomous", "driver")):
            drawn += amps * STEP / 3600
            volts = open_circuit - 0.06 * drawn - resistance * amps + rng.gauss(0, NOISE)
            shares = [
                share * max(amps - IDLE, 0) * rng.uniform(0.8, 1.2) for share in CHANNELS.values()
            ]
            lines.append(
                ", ".join(
                    [f"{elapsed:.2f}", phase, *(f"{value:.2f}" for value in (volts, amps, *shares))]
                )
            )
            elapsed += STEP
    return ("\n".join(lines) + "\n").encode()


def _course(rng: Random, steps: int, drives: bool) -> list[float]:
    """The current in A, step by step: bursts that begin high, as motors do that stand."""
    found: list[float] = []
    while len(found) < steps:
        amps = (
            rng.choices([amps for amps, _ in BURSTS], [often for _, often in BURSTS])[0]
            * rng.uniform(0.8, 1.2)
            if drives
            else 0.0
        )
        length = rng.randint(3, 25)
        found += [
            IDLE + amps * (0.75 + 0.45 * 0.75**at) + rng.uniform(0, 0.5) for at in range(length)
        ]
    return found[:steps]
