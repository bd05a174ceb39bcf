"""Logs as people have them: wordings, marks and clocks that were read wrongly once, each with the
truth that it was made from."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

import numpy as np
import pytest

from pitcrew.base.errors import BadInput
from pitcrew.robotlog.clocks import Expected
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.power import charge_drawn, run_time
from pitcrew.robotlog.reading import look_at, read_log
from pitcrew.robotlog.results import measured
from tests.logmaker import electrical

TRUTH = electrical(np.random.default_rng(77), 60.0)
EVENING = datetime(2026, 3, 7, 23, 59, 30)
Texts = Sequence[str]


def plain(places: int = 3, factor: float = 1.0) -> Callable[[np.ndarray], Texts]:
    """Numbers with so many decimals, times a factor."""
    return lambda values: [f"{value * factor:.{places}f}" for value in values]


def marked(
    pattern: str, factor: float = 1.0, decimal: str = ".", thousands: str = ""
) -> Callable[[np.ndarray], Texts]:
    """Numbers by a format, with other marks; `{}` stands for the number."""

    def write(values: np.ndarray) -> Texts:
        texts = (
            f"{value * factor:,.2f}".replace(",", "\0")
            .replace(".", decimal)
            .replace("\0", thousands)
            for value in values
        )
        return [pattern.format(text) for text in texts]

    return write


def clock(form: str, begin: datetime = EVENING) -> Callable[[np.ndarray], Texts]:
    """Times of day; `%f` is cut to thousandths."""

    def write(values: np.ndarray) -> Texts:
        moments = [begin + timedelta(seconds=float(value)) for value in values]
        return [
            moment.strftime(form.replace("%f", f"{moment.microsecond // 1000:03d}"))
            for moment in moments
        ]

    return write


def share(part: float, places: int = 3) -> Callable[[np.ndarray], Texts]:
    """A part of the current."""
    return plain(places, part)


def made(headings: str, time: Texts, *columns: Texts, mark: str = ",", above: str = "") -> bytes:
    """A file of these columns."""
    return (
        above
        + headings
        + "\n"
        + "".join(mark.join(row) + "\n" for row in zip(time, *columns, strict=True))
    ).encode()


def read(raw: bytes) -> LogData:
    return read_log(*look_at(iter([raw])))


T, V, A = TRUTH.elapsed, TRUTH.voltage, TRUTH.current
GROUPED = marked('"{}"', 1e3, thousands=",")
CASES: dict[str, bytes] = {
    "a clock in another word": made(
        "epoch,panelVoltage,panelTotalCurrent", plain()(T + 1772878800), plain()(V), plain()(A)
    ),
    "a clock known by its even steps": made("pulse,Volts,Amps", plain()(T), plain()(V), plain()(A)),
    "thousandths without a unit": made(
        "t,vbatt,ibatt", plain(0, 1e3)(T), plain(0, 1e3)(V), plain(0, 1e3)(A)
    ),
    "totals in short": made("t,vtot,itot", plain()(T), plain()(V), plain()(A)),
    "units for headings": made("S,V,A", plain()(T), plain()(V), plain()(A)),
    "a battery without a word for volts": made(
        "clock,Main Battery,Robot draw", plain()(T), plain()(V), plain()(A)
    ),
    "twelve hours twice a day": made(
        "clock,volts,amps", clock("03/07/2026 %I:%M:%S.%f %p")(T), plain()(V), plain()(A)
    ),
    "midnight with its date": made(
        "clock,volts,amps", clock("%Y-%m-%d %H:%M:%S.%fZ")(T), plain()(V), plain()(A)
    ),
    "minutes and seconds": made(
        "clock,volts,amps", clock("%M:%S.%f", datetime(2026, 3, 7))(T), plain()(V), plain()(A)
    ),
    "days of a spreadsheet": made(
        "when,volts,amps", plain(10, 1)(46088 + T / 86400), plain()(V), plain()(A)
    ),
    "points between thousands": made(
        "Laufzeit (ms);Akkuspannung (mV);Gesamtstrom (mA)",
        *(marked("{}", 1e3, ",", ".")(values) for values in (T, V, A)),
        mark=";",
    ),
    "commas between thousands": made(
        "time (ms),supply (mV),draw (mA)", GROUPED(T), GROUPED(V), GROUPED(A)
    ),
    "thin blanks between thousands": made(
        "temps (ms);tension (mV);courant (mA)",
        *(marked("{}", 1e3, ",", "\u202f")(values) for values in (T, V, A)),
        mark=";",
    ),
    "units in the cells": made(
        "time,voltage,current", marked("{} s")(T), marked("{} V")(V), marked("{}A")(A)
    ),
    "a line break in the headings": made(
        '"Time\n(s)","Battery\nvolts","Whole\ndraw (A)"', plain()(T), plain()(V), plain()(A)
    ),
    "names in steps": made(
        "clock,/bench/power box/volts,/bench/power"
        " box/wholeCurrent,/bench/drive/leftMotorVolts,/bench/drive/leftMotorCurrent",
        plain()(T),
        plain()(V),
        plain()(A),
        share(0.03)(V),
        share(0.6)(A),
    ),
    "extremes beside the value": made(
        "sec,Volts,Amps,Peak Amps,Min Volts",
        plain()(T),
        plain()(V),
        plain()(A),
        plain()(np.maximum.accumulate(A)),
        plain()(np.minimum.accumulate(V)),
    ),
    "the sum of the channels by name": made(
        "clock,battery volts,Sum of all channel currents [A],Used charge [Ah]",
        plain()(T),
        plain()(V),
        plain()(A),
        plain()(T / 100),
    ),
    "currents of parts beside the whole": made(
        "clock,robot_volts,fl_drive_supply_current,lift_supply_current,lift_stator_current,battery_current",
        plain()(T),
        plain()(V),
        share(0.7)(A),
        share(0.25)(A),
        share(0.5)(A),
        plain()(A),
    ),
    "currents of parts that make up the whole": made(
        "clock,robot_volts,fl_drive_supply_current,fl_drive_stator_current,lift_supply_current",
        plain()(T),
        plain()(V),
        share(0.75, 4)(A),
        share(1.5)(A),
        share(0.25, 4)(A),
    ),
    "the sum of one mechanism beside the whole": made(
        "clock,bus volts,chassis/total amps,lift/total amps,bench/total amps",
        plain()(T),
        plain()(V),
        share(0.7)(A),
        share(0.2)(A),
        plain()(A),
    ),
    "channels without a word for amps": made(
        ",".join(["clock", "bus volts", *(f"Ch {at}" for at in range(8))]),
        plain()(T),
        plain()(V),
        *[share(1 / 8, 5)(A)] * 8,
    ),
    "volts of wheels beside the battery's": made(
        " clock, left_voltage, right_voltage, battery_voltage, amps,",
        plain()(T),
        share(0.05)(A),
        share(0.06)(A),
        plain()(V),
        plain()(A),
        [""] * len(T),
    ),
    "a line of data about the columns above them": made(
        "clock,bus volts,whole amps",
        plain()(T),
        plain()(V),
        plain()(A),
        above=(
            '{"columns": [{"name": "clock", "unit": "s"}, {"name": "bus volts", "unit": "V"}],'
            ' "by": "bench, 2"}\n'
        ),
    ),
    "minutes in words": made(
        "Elapsed (minutes),Volts,Amps", plain(6, 1 / 60)(T), plain()(V), plain()(A)
    ),
    "hours in short": made(
        "Log time [hrs],Volts,Amps", plain(8, 1 / 3600)(T), plain()(V), plain()(A)
    ),
    "headings of units below a title of two words": made(
        "time,Volts,Amps",
        plain()(T),
        plain()(V),
        plain()(A),
        above="Robot log\nDate: 2026-03-07\nRobot,Tern\n\n",
    ),
    "headings of units below a title as wide as they": made(
        "time,Volts,Amps", plain()(T), plain()(V), plain()(A), above="Robot,Tern,blue\n"
    ),
    "whole seconds that count down": made(
        "seconds remaining,volts,amps", plain(0)(np.ceil(90 - T)), plain()(V), plain()(A)
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_wild_log_is_read_as_it_was_made(name: str) -> None:
    data = read(CASES[name])
    assert data.current is not None and data.bad_rows == 0
    assert data.voltage == pytest.approx(V, abs=6e-3) and data.current == pytest.approx(A, abs=6e-3)
    elapsed = run_time(data.clock).elapsed
    assert elapsed == pytest.approx(
        T, abs=0.021
    )  # clocks of days and of whole seconds are good to a row
    assert charge_drawn(elapsed, data.current) == pytest.approx(TRUTH.charge, rel=2e-3)


def test_the_current_of_one_part_is_not_taken_for_the_whole() -> None:
    """Its line would give twice the resistance of battery and wiring."""
    data = read(made("clock,volts,lift_current", plain()(T), plain()(V), share(0.5)(A)))
    assert data.current is None and "current" not in data.names


def test_the_volts_of_one_part_are_not_taken_for_the_batterys() -> None:
    with pytest.raises(BadInput, match="No column of the log is known as voltage"):
        read(made("clock,left_voltage,whole amps", plain()(T), share(0.05)(A), plain()(A)))


def one_below_the_other(pause: float) -> bytes:
    """The same run twice in one file; the second begins `pause` s after the first ended."""
    time = np.concatenate([T, T + T[-1] + pause])
    return made("time,Volts,Amps", *(plain()(c) for c in (time, np.tile(V, 2), np.tile(A, 2))))


@pytest.mark.parametrize("pause, asked", [(1.0, False), (25.0, False), (750.0, True)])
def test_a_gap_long_enough_to_change_the_battery_is_asked_about(pause: float, asked: bool) -> None:
    """A straight line across 750 s once made several times the charge of both runs, untold."""
    body, _ = measured(read(one_below_the_other(pause)), 6.8)
    assert (
        any("no rows for" in doubt and "battery changed" in doubt for doubt in body["doubts"])
        is asked
    )


@pytest.mark.parametrize("match, asked", [(60.0, True), (180.0, False)])
def test_a_clock_that_starts_over_is_asked_about_where_it_lasts_too_long(
    match: float, asked: bool
) -> None:
    """Two runs of 60 s: within one match of 180 s a controller may just have started again."""
    raw = one_below_the_other(-T[-1])
    body, _ = measured(read(raw), 6.8, Expected(match_length=match))
    assert any("starts over after 60 s" in doubt for doubt in body["doubts"]) is asked


@pytest.mark.parametrize(
    "heading, words",
    [
        ("robot state", ["standing", "driven", "standing"]),
        ("bench/isEnabled", ["isEnabled false", "isEnabled true", "isEnabled false"]),
        ("game mode", ["game mode 0", "game mode 2", "game mode 0"]),
    ],
)
def test_phases_of_states_and_switches(heading: str, words: list[str]) -> None:
    told = [word.rpartition(" ")[2] for word in words]
    phases = [told[0] if at < 5 else told[1] if at < 50 else told[2] for at in T]
    lift = ["up" if at % 2 < 1 else "down" for at in T]
    data = read(
        made(
            f"clock,volts,amps,lift state,{heading}",
            plain()(T),
            plain()(V),
            plain()(A),
            lift,
            phases,
        )
    )
    assert [word for _, word in data.phases] == words and data.names["phase"] == heading


def test_rows_without_a_voltage_that_a_controller_could_run_on_are_left_out() -> None:
    dead = np.where(T < 1, 0, V)
    data = read(made("clock,volts,amps", plain()(T), plain()(dead), plain()(A)))
    assert (data.bad_rows, len(data.clock)) == (50, len(T) - 50)
    assert data.bad[0].why == "0.000 for voltage, under which no controller runs"


def test_rows_that_stand_out_of_order_are_put_in_order_and_that_is_told() -> None:
    rows = np.arange(len(T))
    rows[100:110] = rows[100:110][::-1]
    body, more = measured(
        read(made("clock,volts,amps", plain()(T[rows]), plain()(V[rows]), plain()(A[rows]))), 6.8
    )
    assert more["out_of_order"] == 9 and more["clock_restarts"] == 0
    assert body["duration"] == pytest.approx(T[-1]) and body["charge"] == pytest.approx(
        TRUTH.charge, rel=1e-3
    )


def test_a_robot_that_mostly_stands_still_has_a_line() -> None:
    """Rows of standing have no scatter; by theirs alone every row of driving would be an
    outlier."""
    still = np.arange(0, 240, 0.02)
    idle = np.full(len(still), TRUTH.open_circuit - 2 * TRUTH.resistance)
    text = made(
        "clock,volts,amps",
        plain()(np.concatenate([still, 240 + T])),
        plain()(np.concatenate([idle, V])),
        plain()(np.concatenate([np.full(len(still), 2.0), A])),
    )
    body, _ = measured(read(text), 6.8)
    assert body["resistance"] == pytest.approx(TRUTH.resistance, rel=0.02)


def test_of_two_columns_with_one_heading_the_one_that_can_be_it_is_taken() -> None:
    raw = made("clock,volts,volts,amps", plain()(T), ["3.3"] * len(T), plain()(V), plain()(A))
    for given in ({}, {"voltage": "volts"}):
        layout, blocks = look_at(iter([raw]))
        assert read_log(layout, blocks, given).voltage == pytest.approx(V, abs=1e-3)


def test_the_first_numbers_of_rows_are_no_clock() -> None:
    text = made(
        "row,volts,amps,count of seconds",
        [str(at) for at in range(len(T))],
        plain()(V),
        plain()(A),
        plain()(T),
    )
    assert read(text).names["time"] == "count of seconds"
