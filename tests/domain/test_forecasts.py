"""The forecast of the lowest voltage: its interval on logs whose truth is known, its record, and
what it does without one."""

from random import Random
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.special import stdtrit
from scipy.stats import binom

from pitcrew.demo.readings import LOGS
from pitcrew.demo.robotlog import match_log
from pitcrew.domain.batteries.forecasts import (
    NEAR,
    SHARE,
    Forecast,
    course_of,
    interval,
    misses,
    student,
)
from pitcrew.robotlog.loadlines import load_line
from pitcrew.robotlog.power import charge_drawn
from pitcrew.robotlog.reading import look_at, read_log
from pitcrew.robotlog.results import measured
from tests.logmaker import electrical


def season(seed: int, matches: int = 14) -> list[SimpleNamespace]:
    """The logs of one robot with four batteries: true resistances of 15 to 24 mohm with the wiring,
    an open circuit of 12.7 ± 0.15 V that differs from match to match, a slope of 0.06 V per A*h,
    0.03 V of noise, 0.1 s from row to row.
    """
    rng = np.random.default_rng(seed)
    ohms, wiring = rng.uniform(0.011, 0.018, 4), rng.uniform(0.004, 0.006)
    found = []
    for number in range(matches):
        battery = int(rng.integers(0, 4))
        course = electrical(rng, step=0.1)
        drawn = (
            np.concatenate(
                [
                    [0],
                    np.cumsum(
                        np.diff(course.elapsed) * (course.current[1:] + course.current[:-1]) / 2
                    ),
                ]
            )
            / 3600
        )
        true = ohms[battery] + wiring
        volts = (
            rng.normal(12.7, 0.15)
            - 0.06 * drawn
            - true * course.current
            + rng.normal(0, 0.03, len(drawn))
        )
        line = load_line(course.elapsed, volts, course.current)
        assert line is not None and line.resistance == pytest.approx(true, rel=0.05)
        at = int(volts.argmin())
        body = SimpleNamespace(
            battery=str(battery),
            lowest_voltage=float(volts[at]),
            lowest_at=float(course.elapsed[at]),
            duration=float(course.elapsed[-1]),
            peak_current=float(course.current.max()),
            sustained_current=None,
            resistance=line.resistance,
            open_circuit=line.open_circuit,
            charge=charge_drawn(course.elapsed, course.current),
            charge_slope=line.charge_slope,
            doubts=[],
        )
        found.append(SimpleNamespace(body=body, number=number))
    return found


def demo_logs(seed: int) -> list[SimpleNamespace]:
    """The demo's four logs with other chances."""
    rng, found = Random(seed), []
    for battery, ohms in zip("5625", LOGS.values(), strict=True):
        raw = match_log(rng, ohms, 12.75 + rng.uniform(0, 0.1))
        body, _ = measured(read_log(*look_at(iter([raw]))), 6.8)
        found.append(SimpleNamespace(body=SimpleNamespace(battery=battery, **body)))
    return found


def held(logs: list) -> list[bool]:
    """For each log but the first whether the interval made from the logs before it held its lowest
    voltage."""
    missed = misses(logs)
    found = []
    for at, miss in enumerate(missed):
        middle, reach = interval(missed[:at])
        found.append(abs(miss - middle) <= reach)
    return found


def covered(seeds: range, capsys: pytest.CaptureFixture[str]) -> tuple[int, int]:
    found = [inside for seed in seeds for inside in held(season(seed))]
    with capsys.disabled():
        print(
            f" [{sum(found)} of {len(found)} intervals of {100 * SHARE:.0f} % hold the lowest"
            " voltage]",
            end="",
        )
    return sum(found), len(found)


def test_the_interval_holds_the_lowest_voltage_at_its_stated_share(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Fewer than these would come once in 200 times if the share were 90 %."""
    inside, count = covered(range(4), capsys)
    assert count == 52 and inside >= binom.ppf(0.005, count, SHARE)


@pytest.mark.soak
def test_the_interval_holds_it_in_a_hundred_seasons(capsys: pytest.CaptureFixture[str]) -> None:
    """1 300 forecasts: 88 % or more. They hold more than they state, above all the first ones of a
    season, which have no record; an interval that held all of them would say nothing."""
    inside, count = covered(range(100), capsys)
    assert 0.88 * count <= inside < 0.995 * count


@pytest.mark.soak
def test_the_interval_holds_where_a_lug_comes_loose_among_the_first_matches(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The demo's four logs, drawn again 40 times: of three forecasts one meets a lug that has come
    loose since, 5.7 mohm at 195 A."""
    found = [inside for seed in range(40) for inside in held(demo_logs(seed))]
    with capsys.disabled():
        print(f" [{sum(found)} of {len(found)} hold]", end="")
    assert sum(found) >= SHARE * len(found)


def test_a_poor_record_makes_a_wide_band_and_a_good_one_a_narrow_one() -> None:
    poor, good = (
        [0.9, -1.1, 1.0, -0.8, 1.2, -1.0, 0.9, -1.1],
        [
            0.1,
            -0.1,
            0.05,
            -0.1,
            0.1,
            -0.05,
            0.1,
            -0.1,
        ],
    )
    assert interval(poor)[1] > 1.7 and interval(good)[1] < 0.5 * interval(poor)[1]
    assert interval([])[1] > interval([0.1])[1] > interval([0.1, -0.1])[1], "no record: the widest"


def test_a_steady_miss_is_learned() -> None:
    middle, reach = interval([-0.5] * 16)
    assert middle == pytest.approx(-0.5, abs=0.05) and reach < 0.5


def test_the_prediction_of_a_normal_sample_is_students() -> None:
    """With a large sample the prior is gone: mean and t(n - 1) s sqrt(1 + 1/n), the textbook's
    predictive interval."""
    rng = np.random.default_rng(1)
    sample = list(rng.normal(0.2, 0.4, 2000))
    middle, reach = interval(sample)
    assert middle == pytest.approx(np.mean(sample), abs=1e-3)
    assert reach == pytest.approx(
        float(stdtrit(1999, 0.95)) * np.std(sample, ddof=1) * np.sqrt(1 + 1 / 2000), rel=0.005
    )


@pytest.mark.parametrize("freedom", [2, 3, 5, 10, 30, 200])
def test_students_t_by_its_series(freedom: int) -> None:
    """Abramowitz and Stegun 26.7.5 against scipy."""
    assert student(freedom) == pytest.approx(float(stdtrit(freedom, 0.95)), rel=0.004)


def test_the_record_is_said() -> None:
    found = Forecast(8.8, 8.2, 9.4, 2.0, 190.0, 0.018, 14, 16)
    assert found.record == f"our forecasts were within {NEAR:g} V in 14 of 16 matches"
    assert "could be checked yet" in Forecast(8.8, 5.8, 11.8, 2.0, 190.0, 0.018).record


def test_an_interval_that_reaches_below_the_brown_out_says_so() -> None:
    assert (
        Forecast(7.7, 6.2, 9.2, 0.9, 190.0, 0.024).against_brown_out
        == "0.9 V above brown-out, at worst 0.6 V BELOW"
    )
    assert Forecast(9.0, 8.5, 9.5, 2.2, 190.0, 0.018).against_brown_out == "2.2 V above brown-out"
    assert Forecast(6.5, 6.0, 7.0, -0.3, 190.0, 0.03).against_brown_out == "0.3 V BELOW brown-out"


def test_the_forecast_is_ohms_law_at_the_peak_behind_a_falling_voltage() -> None:
    """12.8 V - 0.06 V/A*h x 0.9 A*h - 200 A x 18 mohm = 9.146 V: a later log that says so is
    forecast without a miss."""
    body = SimpleNamespace(
        battery="1",
        lowest_voltage=9.146,
        lowest_at=67.5,
        duration=135.0,
        peak_current=200.0,
        sustained_current=120.0,
        resistance=0.018,
        open_circuit=12.8,
        charge=1.8,
        charge_slope=0.06,
        doubts=[],
    )
    log = SimpleNamespace(body=body)
    assert misses([log, log]) == [pytest.approx(0.0, abs=1e-9)]
    course = course_of([log])
    assert course is not None and (course.current, course.drawn, course.slope) == (
        200.0,
        pytest.approx(0.9),
        0.06,
    )
