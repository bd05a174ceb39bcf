"""Batteries against a stored electrochemical model, and what must hold whatever the numbers are."""

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering import batteries, charge
from pitcrew.engineering.lines import line

MODEL = tomllib.loads(
    (Path(__file__).parent / "model_snapshots" / "lead_acid.toml").read_text(encoding="utf-8")
)
REST = st.floats(12.0, 13.5)


def test_our_model_table_is_the_stored_one() -> None:
    assert MODEL["version"].startswith("pybamm")
    assert {volts: share for volts, share in charge.CHARGE_TABLES["model"]} == {
        volts: share for share, volts in MODEL["open_circuit"]
    }


@pytest.mark.parametrize("model", ["loqs", "full"])
def test_charge_of_a_rested_model_battery(model: str) -> None:
    for pulse in MODEL[model]["rested"]:
        assert charge.battery_charge(
            rest_voltage=pulse["rest"], table="model"
        ).value == pytest.approx(pulse["charge"], abs=0.5)


def test_two_load_resistance_of_the_model() -> None:
    """The full model's 17 against 51 A after 10 s lies at 13.3 mohm (± 0.3) at full and rises as it
    empties."""
    found = [
        batteries.battery_resistance(pulse["v17"], 17, pulse["v51"], 51).value
        for pulse in MODEL["full"]["rested"]
    ]
    assert found[0] == pytest.approx(0.0133, abs=0.0003)
    assert found == sorted(found)


def test_resistance_depends_on_the_load_pair() -> None:
    """Published for the full model, 10 s: 22.56, 13.27 and 8.75 mohm for three pairs of the same
    full battery."""
    volts = {current: later for current, _, later in MODEL["full"]["loads"]}
    pairs = {(1.7, 17): 0.02256, (17, 51): 0.01327, (51, 85): 0.00875}
    for (low, high), printed in pairs.items():
        found = batteries.battery_resistance(volts[low], low, volts[high], high)
        assert found.value == pytest.approx(printed, abs=5e-6)
        assert (found.extras["load_low"], found.extras["load_high"]) == (low, high)


def test_resistance_names_its_load_pair_and_marks_a_rest_reading() -> None:
    assert "17 A and 51 A" in batteries.battery_resistance(12.6, 17, 12.1, 51).say()
    assert "reads higher" in batteries.battery_resistance(12.9, 0, 12.6, 17).say()


def test_peukert_exponent_of_the_model() -> None:
    """Published log fit over eight currents: 1.1450 (full) and 1.0545 (leading order)."""
    for model, printed in (("full", 1.1450), ("loqs", 1.0545)):
        logs = [math.log(current) for current in MODEL[model]["currents"]]
        times = [
            math.log(charge / current)
            for charge, current in zip(
                MODEL[model]["capacities"], MODEL[model]["currents"], strict=True
            )
        ]
        assert -line(logs, times).value == pytest.approx(printed, abs=0.001)


def test_the_linear_law_of_capacity_fails_where_the_range_ends() -> None:
    """A sheet gives 65 % at -15 °C; the line would say 76 %. So the figure refuses."""
    with pytest.raises(OutOfRange):
        batteries_figure("battery-capacity", capacity=11.7, temperature=258.15, rated_time=72000.0)


def batteries_figure(name: str, **arguments: float) -> float:
    from pitcrew.engineering.catalogue import find

    return find(name).compute(arguments).value


@given(REST, REST, st.sampled_from(sorted(charge.CHARGE_TABLES)))
def test_more_voltage_is_never_less_charge(first: float, second: float, table: str) -> None:
    low, high = sorted((first, second))
    less, more = (
        charge.battery_charge(rest_voltage=low, table=table),
        charge.battery_charge(rest_voltage=high, table=table),
    )
    assert less.value <= more.value
    for outcome in (less, more):
        assert 0 <= outcome.extras["low"] <= outcome.value <= outcome.extras["high"] <= 100


@given(st.floats(0.001, 0.05), st.floats(1, 100), st.floats(1, 100))
def test_resistance_of_an_ohmic_battery_comes_back(
    resistance: float, first: float, step: float
) -> None:
    second = first + step
    found = batteries.battery_resistance(
        12.7 - first * resistance, first, 12.7 - second * resistance, second
    )
    swapped = batteries.battery_resistance(
        12.7 - second * resistance, second, 12.7 - first * resistance, first
    )
    assert found.value == pytest.approx(resistance, rel=1e-6)
    assert found.value == swapped.value


@given(st.floats(1, 1.6), st.floats(1, 50), st.floats(1.1, 10))
def test_peukert_exponent_comes_back_from_its_own_times(
    exponent: float, current: float, ratio: float
) -> None:
    times = [
        batteries.peukert_time(18, 72000, amperes, exponent).value
        for amperes in (current, current * ratio)
    ]
    found = batteries.peukert_exponent(current, times[0], current * ratio, times[1])
    assert found.value == pytest.approx(exponent, abs=1e-6)


@given(st.floats(10, 60), st.floats(3600, 72000))
def test_the_rated_current_lasts_the_rated_time(capacity: float, rated_time: float) -> None:
    rated = capacity * 3600 / rated_time
    assert batteries.peukert_time(capacity, rated_time, rated, 1.3).value == pytest.approx(
        rated_time, rel=1e-9
    )


@given(st.floats(0.005, 0.03), st.floats(0, 0.01), st.floats(0, 200))
def test_sag_is_linear_and_its_margin_adds_up(
    resistance: float, wiring: float, current: float
) -> None:
    found = batteries.battery_sag(12.7, resistance, current, wiring, 6.8)
    assert found.value == pytest.approx(12.7 - current * (resistance + wiring))
    assert found.extras["margin"] == pytest.approx(found.value - 6.8)
    edge = found.extras["highest_current"]
    assert 12.7 - edge * (resistance + wiring) == pytest.approx(6.8)


@given(st.floats(254.66, 323), st.floats(254.66, 323))
def test_a_warmer_starter_battery_must_hold_more(first: float, second: float) -> None:
    low, high = sorted((first, second))
    assert (
        8.5
        <= batteries.load_test_minimum(low).value
        <= batteries.load_test_minimum(high).value
        <= 9.6
    )


def test_the_starter_table_judges_no_robot_battery() -> None:
    assert "judges no sealed 18 A·h battery" in batteries.load_test_minimum(294.0).because


def test_a_sag_onto_the_brown_out_itself_leaves_no_margin_and_no_stray_digits() -> None:
    found = batteries.battery_sag(12.8, 0.020, 300.0)
    assert found.extras["margin"] == 0 and "leaves 6.8 V, exactly the brown-out" in found.say()
    assert "0.2 V BELOW" in batteries.battery_sag(12.8, 0.020, 310.0).say()
