"""Runs an electrochemical lead-acid model and writes model_snapshots/lead_acid.toml. Not run by the
tests: the model is heavy.

    pip install pybamm==26.10.1.1        (in a virtual environment of its own: about 1 GB)
    python tests/engineering/remake/lead_acid.py

The parameter set Sulzer2019 describes six cells of 17 A*h, practically the 12 V battery of a robot;
it is isothermal, so it says nothing about temperature. `State of Charge` is in percent there.
"""

import os
from pathlib import Path

os.environ["PYBAMM_DISABLE_TELEMETRY"] = "true"

import numpy as np
import pybamm

TARGET = Path(__file__).parent.parent / "model_snapshots" / "lead_acid.toml"
SET = "Sulzer2019"
CURRENTS = (0.85, 1.7, 3.4, 8.5, 17.0, 34.0, 51.0, 85.0)
PAIRS = ((1.7, 17.0), (17.0, 51.0), (51.0, 85.0))
CHARGES = (100, 90, 80, 75, 70, 60, 50, 40, 30, 25, 20, 10)
TAKEN = (0.465, 3.72, 7.68, 11.86)  # A*h taken before the rested pulses
MODELS = {"loqs": pybamm.lead_acid.LOQS, "full": pybamm.lead_acid.Full}


def solve(model: str, current: float, hours: float, points: int = 400) -> pybamm.Solution:
    """A discharge from full at one current. A time grid is needed: without one the solver steps
    over the end voltage."""
    values = pybamm.ParameterValues(SET)
    values["Current function [A]"] = current
    return pybamm.Simulation(MODELS[model](), parameter_values=values).solve(
        np.linspace(0, hours * 3600, points)
    )


def volts(solution: pybamm.Solution) -> np.ndarray:
    return solution["Battery voltage [V]"].entries


def open_circuit() -> list[tuple[int, float]]:
    """Rest voltage against charge, from a slow discharge's open-circuit voltage."""
    slow = solve("loqs", 0.85, 26)
    charge, voltage = (
        slow["State of Charge"].entries,
        slow["Battery open-circuit voltage [V]"].entries,
    )
    return [(share, float(np.interp(share, charge[::-1], voltage[::-1]))) for share in CHARGES]


def capacity(model: str, current: float) -> float:
    """A*h to 10.5 V."""
    end = solve(model, current, 26 * 0.85 / current * 1.02)
    return float(current * end.t[-1] / 3600)


def loads(model: str) -> dict[float, tuple[float, float]]:
    """Voltage just after connecting and after 10 s, from full, by current."""
    found = {}
    for current in sorted({current for pair in PAIRS for current in pair}):
        short = volts(solve(model, current, 10 / 3600, 21))
        found[current] = (float(short[0]), float(short[-1]))
    return found


def rested(model: str, taken: float) -> dict[str, float]:
    """Rest voltage after a discharge at 8.5 A and 1 h of rest, and the voltages after 10 s at 17 A
    and at 51 A."""

    def pulse(current: float) -> pybamm.Solution:
        steps = [
            f"Discharge at 8.5 A for {taken / 8.5 * 3600:.1f} seconds",
            "Rest for 1 hour",
            f"Discharge at {current} A for 10 seconds",
        ]
        experiment = pybamm.Experiment(steps, period="1 second")
        return pybamm.Simulation(
            MODELS[model](), parameter_values=pybamm.ParameterValues(SET), experiment=experiment
        ).solve()

    low, high = pulse(17), pulse(51)
    rest = low.cycles[1]
    return {
        "charge": float(rest["State of Charge"].entries[-1]),
        "rest": float(volts(rest)[-1]),
        "v17": float(volts(low.cycles[2])[-1]),
        "v51": float(volts(high.cycles[2])[-1]),
    }


def lines() -> list[str]:
    out = [
        f"# Written by remake/{Path(__file__).name}; do not edit.",
        f'version = "pybamm {pybamm.__version__}"',
        f'parameters = "{SET}"',
        (
            'note = "6 cells, 17 A*h nominal, end voltage 10.5 V, 294.85 K; volts, amperes, ampere'
            ' hours"'
        ),
        "open_circuit = [",
        *(f"    [{share}, {voltage:.4f}]," for share, voltage in open_circuit()),
        "]",
    ]
    for model in MODELS:
        out += ["", f"[{model}]", f"currents = {list(CURRENTS)}"]
        out += [
            f"capacities = [{', '.join(f'{capacity(model, current):.4f}' for current in CURRENTS)}]"
        ]
        out += ["loads = [  # current, volts at once, volts after 10 s"]
        out += [
            f"    [{current}, {at_once:.5f}, {later:.5f}],"
            for current, (at_once, later) in loads(model).items()
        ]
        out += [
            "]",
            (
                "rested = [  # charge in %, rest voltage, volts after 10 s at 17 A and at 51 A,"
                " from the same rest"
            ),
        ]
        pulse = (
            "    {{ charge = {charge:.2f}, rest = {rest:.4f}, v17 = {v17:.5f}, v51 = {v51:.5f} }},"
        )
        out += [pulse.format(**rested(model, taken)) for taken in TAKEN]
        out += ["]"]
    return out


if __name__ == "__main__":
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text("\n".join(lines()) + "\n", encoding="utf-8")
    print(f"{TARGET} written")
