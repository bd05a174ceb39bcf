"""Reading robot logs: invented logs with their truth known, and each wild form by itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.loadlines import load_line
from pitcrew.robotlog.power import charge_drawn, run_time
from pitcrew.robotlog.reading import look_at, read_log
from tests.logmaker import make_log


def read(raw: bytes | str, given: dict[str, str] | None = None, block: int = 1 << 20) -> LogData:
    raw = raw.encode() if isinstance(raw, str) else raw
    layout, blocks = look_at(raw[at : at + block] for at in range(0, len(raw), block))
    return read_log(layout, blocks, given)


@pytest.mark.parametrize("seed", range(40))
def test_an_invented_log_is_read_as_it_was_made(seed: int) -> None:
    raw, truth = make_log(seed, 40.0)
    data = read(raw, block=30_000)
    assert {role: data.names[role] for role in truth.names} == truth.names
    assert (len(data.clock), data.bad_rows) == (len(truth.elapsed), truth.bad_rows)
    assert data.voltage == pytest.approx(truth.voltage, abs=2e-4) and data.current == pytest.approx(
        truth.current, abs=2e-3
    )
    elapsed = run_time(data.clock).elapsed
    assert elapsed == pytest.approx(truth.elapsed - truth.elapsed[0], abs=2e-3)
    assert charge_drawn(elapsed, data.current) == pytest.approx(truth.charge, rel=2e-3)


def test_where_blocks_are_cut_changes_nothing() -> None:
    raw, _ = make_log(7, 20.0)
    whole = read(raw)
    for block in (70_001, 131_072, 400_003):
        cut = read(raw, block=block)
        assert np.array_equal(cut.clock, whole.clock) and np.array_equal(cut.voltage, whole.voltage)
        assert cut.means == pytest.approx(whole.means)


ROWS = (
    "time,volts,amps\n s, V, A\n 0.02, 12.1, 5,\n 0.04, 12.0, 6,\n 0.06, NaN,"
    " 6,\ntime,volts,amps\n0.08, 11.9, 7,\n0.1,11."
)


def test_bad_rows_are_counted_and_shown() -> None:
    """Units in row two, leading blanks, trailing commas, not a number, the headings again, a cut
    last row."""
    data = read(ROWS)
    assert list(data.clock) == [0.02, 0.04, 0.08] and list(data.current) == [5, 6, 7]
    assert data.bad_rows == 2 and data.headers_again == 1
    assert [(row.line, row.why) for row in data.bad] == [
        (5, "no number for voltage: NaN"),
        (8, "2 fields instead of 4"),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Zeit;Spannung;Strom\n0,02;12,1;5\n0,04;12,0;6\n",
        '"time","volts","amps"\n"0,02","12,1","5"\n"0,04","12,0","6"\n',
        "# made by hand\n\ntime\tvolts\tamps\n0.02\t12.1\t5\n0.04\t12.0\t6\n",
        "time,volts,amps\r0.02,12.1,5\r0.04,12.0,6\r",
        "time_ms,supply_mV,draw_mA\n20,12100,5000\n40,12000,6e3\n",
        "clock,U_batt,I_total\n20000,12.1,+5\n40000,12.0,6\n",
        "clock,ch 0 (A),bus volts,ch 1 (A)\n10:00:00.02,2,12.1,3\n10:00:00.04,4,12.0,2\n",
        (
            "2026-03-07"
            " time,volts,amps\n2026-03-07T10:00:00.02,12.1,5\n2026-03-07T10:00:00.04,12.0,6\n"
        ),
    ],
    ids=[
        "decimal commas",
        "quoted",
        "tabs below a remark",
        "old line ends",
        "thousandths",
        "microseconds",
        "channels",
        "dates",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le"])
def test_wild_forms(text: str, encoding: str) -> None:
    data = read(text.encode(encoding))
    assert list(data.voltage) == pytest.approx([12.1, 12.0]) and list(
        data.current
    ) == pytest.approx([5, 6])
    assert run_time(data.clock).elapsed == pytest.approx([0, 0.02], abs=1e-9) and data.bad_rows == 0


def test_columns_can_be_named() -> None:
    text = "a,b,c\n1,12,3\n2,11,4\n"
    with pytest.raises(BadInput, match="No column of the log is known as time"):
        read(text)
    assert list(read(text, {"time": "a", "voltage": "b", "current": "3"}).current) == [3, 4]
    with pytest.raises(UnknownName, match="'d' is not known"):
        read(text, {"time": "d", "voltage": "b"})


def test_the_battery_is_told_from_other_volts_and_amps() -> None:
    text = (
        "Motor output volts,Channel 3 current [A],Brownout volts,Battery volts,Total current,Time\n"
        "3,1,6.8,12.5,9,0.0\n4,2,6.8,12.4,8,0.02\n"
    )
    names = read(text).names
    assert (names["voltage"], names["current"], names["time"]) == (
        "Battery volts",
        "Total current",
        "Time",
    )
    assert read(text).means == pytest.approx({"Channel 3 current [A]": 1.5})


def test_phases_and_late_loops() -> None:
    head = "time,volts,amps,match phase,loop overruns\n"
    counter = head + "0,12,1,auto,0\n1,12,2,auto,1\n2,12,1,teleop,3\n"
    assert read(counter).phases == ((0, "auto"), (2, "teleop")) and read(counter).overruns == 3
    flags = head + "0,12,1,auto,true\n1,12,2,auto,false\n2,12,1,teleop,true\n"
    assert read(flags).overruns == 2


@pytest.mark.parametrize(
    "raw, said",
    [
        (b"", "empty"),
        (b"hello", "no columns"),
        (b"time,volts\nx,y\nz,w\n", "no rows of numbers"),
        (b"\x00\x00\x00\x00ab", "not a text file"),
        (b"time,volts\n1,12\n,\n", "1 rows can be read"),
    ],
)
def test_what_is_no_log_is_said(raw: bytes, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read(raw)


def test_phases_are_told_apart_by_their_last_16_letters() -> None:
    words = [
        "autonomous period",
        "Autonomous period",
        "driver-controlled",
        "driver-controlled",
        "end",
    ]
    data = read(
        "time,volts,match phase\n" + "".join(f"{at},12,{word}\n" for at, word in enumerate(words))
    )
    assert data.phases == ((0, "autonomous period"), (2, "driver-controlled"), (4, "end"))


def test_a_units_row_with_many_strange_units_is_one() -> None:
    """Most cells are units that concern no one here; time is in ms by it, not in s."""
    text = (
        "Time,Battery,Main"
        " current,Arm,Wrist,Lift\nms,V,A,in,deg/s,ft\n20,12.1,5,1,2,3\n40,12.0,6,1,2,3\n"
    )
    data = read(text)
    assert (
        list(data.clock) == pytest.approx([0.02, 0.04])
        and data.names["current"] == "Main current"
        and data.bad_rows == 0
    )


def test_a_column_that_changes_all_the_time_holds_no_phases() -> None:
    rows = "".join(f"{at},12,{at % 9},{at}\n" for at in range(200))
    assert read("time,volts,amps,match phase\n" + rows).phases == ()


def test_a_log_of_changes_holds_each_value_until_the_next() -> None:
    rows = "".join(
        f"{at / 50},{12 - at % 4 / 10 if at % 4 == 0 else ''},{at if at % 3 == 0 else ''}\n"
        for at in range(3000)
    )
    data = read("time,volts,amps\n" + rows, block=9_000)
    assert data.held and data.bad_rows == 0 and len(data.clock) == 3000
    assert list(data.current) == [at - at % 3 for at in range(3000)]
    assert not read(ROWS).held


NUMBERS = st.one_of(
    st.floats(-1e6, 1e6).map(lambda value: f"{value:.4f}"),
    st.integers(-(10**9), 10**9).map(str),
    st.floats(-1e3, 1e3).map(repr),
    st.sampled_from(
        [
            "12.",
            ".5",
            "-.5",
            "+3",
            "1e-3",
            "-0.0",
            "00012.50",
            "0.30000000000000004",
            "12345678.1234567",
            "9.99E2",
        ]
    ),
)


@given(st.lists(NUMBERS, min_size=2, max_size=30), st.sampled_from([" {} ", "{}", '"{}"']))
def test_numbers_are_read_exactly_as_python_reads_them(texts: list[str], form: str) -> None:
    data = read(
        "time,volts,amps\n"
        + "".join(f"{at},12,{form.format(text)}\n" for at, text in enumerate(texts))
    )
    assert list(data.current) == [float(text) for text in texts]
    commas = read(
        "time;volts;amps\n"
        + "".join(
            f"{at};12,5;{form.format(text).replace('.', ',')}\n" for at, text in enumerate(texts)
        )
    )
    assert list(commas.current) == [float(text) for text in texts]


@pytest.mark.parametrize("noise", [0.5, 2.0])
def test_a_mostly_idle_log_does_not_make_a_worn_battery_look_good(noise: float) -> None:
    """Amps of 8 ± 3 A, each row for itself, by a meter that is off by 0.5 or 2 A: its noise
    flattens the line by 3 or 31 %. Known truth 20 mΩ; at least 54 of 60 intervals of 95 % hold it."""
    chance, held = np.random.default_rng(12), 0
    elapsed = np.arange(3000) * 0.02
    for _ in range(60):
        true = chance.normal(8, 3, 3000)
        volts = 12.5 - 0.02 * true + chance.normal(0, 0.02, 3000)
        found = load_line(elapsed, volts, true + chance.normal(0, noise, 3000))
        held += found is not None and found.low <= 0.02 <= found.high
    assert held >= 54


def test_a_current_that_may_be_the_meters_noise_tells_no_resistance() -> None:
    chance = np.random.default_rng(13)
    true = chance.normal(5, 1.5, 3000)
    volts = 12.5 - 0.02 * true + chance.normal(0, 0.02, 3000)
    assert load_line(np.arange(3000) * 0.02, volts, true) is None
