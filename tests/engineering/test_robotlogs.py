"""Numbers of robot logs against a battery whose resistance is known, numpy's trapezoid rule, and
what must not matter."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import stdtrit

from pitcrew.base.errors import OutOfRange
from pitcrew.robotlog.loadlines import BLOCKS, REACH, load_line
from pitcrew.robotlog.power import (
    brown_outs,
    charge_drawn,
    course,
    rows_in_order,
    run_time,
    seconds_below,
    sustained_current,
)
from tests.logmaker import electrical

FEW, MANY = 60, 500


def covered(seeds: range) -> int:
    """How many intervals of 95 % hold the true resistance."""
    found = 0
    for seed in seeds:
        truth = electrical(np.random.default_rng(seed))
        line = load_line(truth.elapsed, truth.voltage, truth.current)
        assert line is not None
        found += line.low <= truth.resistance <= line.high
        assert line.resistance == pytest.approx(truth.resistance, rel=0.01)
        assert line.open_circuit == pytest.approx(truth.open_circuit, abs=0.02)
    return found


def test_the_reach_of_the_interval_is_students() -> None:
    assert pytest.approx(float(stdtrit(BLOCKS - 3, 0.975)), abs=1e-6) == REACH


def test_the_interval_covers_the_truth(capsys: pytest.CaptureFixture[str]) -> None:
    """At 95 % of 60 seeds fewer than 52 would come about once in 200 times."""
    found = covered(range(FEW))
    with capsys.disabled():
        print(f" [{found} of {FEW} intervals cover the resistance]", end="")
    assert found >= 52


@pytest.mark.soak
def test_the_interval_covers_the_truth_in_500_seeds(capsys: pytest.CaptureFixture[str]) -> None:
    """95 % of 500 within three standard deviations: 460 to 490."""
    found = covered(range(MANY))
    with capsys.disabled():
        print(f" [{found} of {MANY} intervals cover the resistance]", end="")
    assert 460 <= found <= 490


def test_the_course_is_like_a_counted_match() -> None:
    """A counted match: 135 s, mean 48 A, peak 202 A, lowest 8.75 V, 1.84 A*h (a public match log).
    Over many seeds the maker is near it."""
    truths = [electrical(np.random.default_rng(seed)) for seed in range(40)]
    assert 40 < np.mean([truth.current.mean() for truth in truths]) < 56
    assert 150 < np.mean([truth.current.max() for truth in truths]) < 230
    assert 1.4 < np.mean([truth.charge for truth in truths]) < 2.2
    assert 7.8 < np.mean([truth.voltage.min() for truth in truths]) < 10


def test_outliers_do_not_move_the_line() -> None:
    truth = electrical(np.random.default_rng(1))
    clean = load_line(truth.elapsed, truth.voltage, truth.current)
    spoilt = truth.voltage.copy()
    spoilt[::50] = 0.0
    dirty = load_line(truth.elapsed, spoilt, truth.current)
    assert clean is not None and dirty is not None
    assert dirty.resistance == pytest.approx(clean.resistance, rel=0.005)


def test_noise_in_the_current_does_not_flatten_the_line() -> None:
    """Least squares alone would be 1 - 8² / (40² + 8²) of the truth, 4 % too low."""
    rng = np.random.default_rng(5)
    truth = electrical(rng)
    noisy = truth.current + rng.normal(0, 8, len(truth.current))
    line = load_line(truth.elapsed, truth.voltage, noisy)
    assert line is not None and line.resistance == pytest.approx(truth.resistance, rel=0.01)


@pytest.mark.parametrize("rows", [-5, 2, 5, 10])
def test_amps_that_come_later_than_the_volts_do_not_flatten_the_line(rows: int) -> None:
    """As they stand, five rows of 20 ms would make it 5 % too low."""
    truth = electrical(np.random.default_rng(3))
    line = load_line(truth.elapsed, truth.voltage, np.roll(truth.current, rows))
    assert line is not None and line.resistance == pytest.approx(truth.resistance, rel=0.005)


def apart(step: float, rows: float, seeds: range) -> int:
    """How many intervals hold the true resistance where the amps come so many rows after the
    volts."""
    found = 0
    for seed in seeds:
        truth = electrical(np.random.default_rng(seed), step=step)
        late = np.interp(truth.elapsed - rows * step, truth.elapsed, truth.current)
        line = load_line(truth.elapsed, truth.voltage, late)
        found += line is not None and line.low <= truth.resistance <= line.high
    return found


@pytest.mark.parametrize(
    "step, rows", [(0.02, 2), (0.1, 1), (0.1, 2), (0.1, -1), (0.1, 0.5), (0.1, 1.5)]
)
def test_the_interval_holds_where_volts_and_amps_are_rows_apart(
    step: float, rows: float, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two rows of 0.1 s, or half a row, once left an interval that never held. At 95 % of 12 fewer
    than 9 come once in 400 times."""
    found = apart(step, rows, range(12))
    with capsys.disabled():
        print(f" [{found} of 12 hold]", end="")
    assert found >= 9


@pytest.mark.soak
@pytest.mark.parametrize(
    "step, rows",
    [(0.02, 1), (0.02, 2), (0.02, 0.5), (0.05, 2), (0.1, 1), (0.1, 2), (0.1, 0.25), (0.1, 1.5)],
)
def test_the_interval_holds_where_volts_and_amps_are_rows_apart_in_200_seeds(
    step: float,
    rows: float,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """95 % of 200 within three standard deviations: 181 or more; with a part of a row it may hold
    more."""
    found = apart(step, rows, range(200))
    with capsys.disabled():
        print(f" [{found} of 200 hold]", end="")
    assert found >= 181


def test_no_line_without_a_changing_current() -> None:
    elapsed = np.arange(0, 10, 0.02)
    assert load_line(elapsed, np.full(500, 12.0), np.full(500, 20.0)) is None
    assert load_line(elapsed[:20], np.full(20, 12.0), np.arange(20.0)) is None


@pytest.mark.parametrize("rise", [0.0, 0.01])
def test_no_line_where_the_voltage_does_not_fall_with_the_current(rise: float) -> None:
    elapsed = np.arange(0, 10, 0.02)
    current = 20 + 15 * np.sin(elapsed)
    assert load_line(elapsed, 12 + rise * current, current) is None


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.floats(-1e5, 1e5), st.sampled_from([2, 3, 5]))
def test_shifting_time_splitting_rows_and_thinning_leave_charge_and_resistance(
    seed: int, shift: float, every: int
) -> None:
    truth = electrical(np.random.default_rng(seed), seconds=60)
    charge, line = (
        charge_drawn(truth.elapsed, truth.current),
        load_line(truth.elapsed, truth.voltage, truth.current),
    )
    assert line is not None
    moved = run_time(truth.elapsed + shift).elapsed
    assert charge_drawn(moved, truth.current) == pytest.approx(charge, rel=1e-6)
    middle = (
        truth.elapsed[1:] + truth.elapsed[:-1]
    ) / 2  # a row put on the straight line between two rows
    split = np.sort(np.concatenate([truth.elapsed, middle]))
    assert charge_drawn(split, np.interp(split, truth.elapsed, truth.current)) == pytest.approx(
        charge, rel=1e-9
    )
    thin = slice(None, None, every)
    assert charge_drawn(truth.elapsed[thin], truth.current[thin]) == pytest.approx(charge, rel=0.03)
    slower = load_line(truth.elapsed[thin], truth.voltage[thin], truth.current[thin])
    assert slower is not None and slower.resistance == pytest.approx(line.resistance, rel=0.02)


def test_charge_is_numpys_trapezoid_over_uneven_steps_and_gaps() -> None:
    elapsed = np.array([0, 0.02, 0.05, 3.0, 3.02])
    current = np.array([10.0, 20, 20, 40, 0])
    assert charge_drawn(elapsed, current) == float(np.trapezoid(current, elapsed)) / 3600
    assert charge_drawn(np.array([0.0, 3600.0]), np.array([2.0, 2.0])) == 2.0


@pytest.mark.parametrize(
    "clock, elapsed, gaps, restarts",
    [
        ([5, 6, 7, 8], [0, 1, 2, 3], 0, 0),
        ([15, 14, 13, 135, 134], [0, 1, 2, 3, 4], 0, 1),
        ([0, 1, 2, 3, 13, 14], [0, 1, 2, 3, 13, 14], 1, 0),
        ([0, 1, 2, 9999, 4, 5, 6], [0, 1, 2, 3, 4, 5, 6], 0, 0),
        ([-1, -1, 0, 1, 2], [0, 0, 1, 2, 3], 0, 0),
    ],
    ids=["up", "down and set anew", "gap", "one wild row", "standing"],
)
def test_clocks(clock: list[float], elapsed: list[float], gaps: int, restarts: int) -> None:
    found = run_time(np.array(clock, float))
    assert list(found.elapsed) == elapsed and (found.gaps, len(found.restarts)) == (gaps, restarts)


@pytest.mark.parametrize("sign", [1, -1], ids=["up", "down"])
def test_rows_out_of_order_are_put_in_order(sign: int) -> None:
    clock = sign * np.arange(100.0)
    mixed = clock.copy()
    mixed[[40, 41, 42]] = mixed[[42, 40, 41]]
    order = rows_in_order(mixed)
    assert order is not None and list(mixed[order]) == list(clock)
    assert rows_in_order(clock) is None
    assert rows_in_order(np.concatenate([clock, clock])) is None  # set again
    assert (
        rows_in_order(np.repeat([-1.0, 15, 14, 13, 12], 50)) is None
    )  # whole seconds before and in the match


def test_a_clock_that_stands_is_no_clock() -> None:
    with pytest.raises(OutOfRange, match="never moves"):
        run_time(np.zeros(5))


def test_a_voltage_that_trembles_about_the_edge_is_one_brown_out() -> None:
    elapsed = np.arange(10.0)
    found = brown_outs(elapsed, np.array([12, 6.7, 6.9, 6.7, 6.9, 7.4, 12, 6.0, 12, 12]), 6.8)
    assert [(item.at, item.seconds, item.lowest) for item in found] == [(1, 4, 6.7), (7, 1, 6.0)]
    assert [item.seconds for item in brown_outs(elapsed, np.full(10, 6.0), 6.8)] == [9]


def test_seconds_below_leave_gaps_out() -> None:
    time = run_time(np.array([0, 1, 2, 3, 4, 100.0]))
    assert seconds_below(time, np.array([12, 9, 9, 12, 12, 9.0]), (10.0, 8.0)) == {
        10.0: 2.0,
        8.0: 0.0,
    }


def test_the_sustained_current_is_no_spike() -> None:
    elapsed = np.arange(0, 10, 0.02)
    current = np.full(500, 30.0)
    current[100] = 250
    current[300:400] = 120  # two seconds
    assert sustained_current(elapsed, current) == pytest.approx(120, rel=0.01)


def test_a_course_keeps_the_lowest_volts_and_the_highest_amps() -> None:
    truth = electrical(np.random.default_rng(2))
    thin = course(truth.elapsed, truth.voltage, truth.current)
    assert len(thin["time"]) == 240
    assert min(thin["voltage"]) == pytest.approx(truth.voltage.min(), abs=1e-3)
    assert max(thin["current"]) == pytest.approx(truth.current.max(), abs=0.01)
