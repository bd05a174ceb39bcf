"""The unit of a log's clock, doubts about what cannot be, and corrections of a stored log."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from pitcrew.base.errors import BadInput
from pitcrew.cli.main import main
from pitcrew.pit.pit import glance
from pitcrew.robotlog.clocks import Expected
from pitcrew.robotlog.data import LogData
from pitcrew.robotlog.power import run_time
from pitcrew.robotlog.reading import look_at, read_log
from tests.world import make_world

ROWS = 1350


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_world(tmp_path / "pit")


def run(*arguments: object, code: int = 0) -> str:
    answer = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert answer.exit_code == code, answer.output
    return answer.output


def imported(folder: Path, log: Path, *more: str) -> dict:
    return json.loads(run("import-log", folder, log, "--battery", "4", *more, "--json"))


def read(
    text: str, given: dict[str, str] | None = None, expected: Expected | None = None
) -> LogData:
    return read_log(*look_at(iter([text.encode()])), given, expected)


def duration(data: LogData) -> float:
    return float(run_time(data.clock).elapsed[-1])


def rows(
    step: float, count: int = ROWS, amps: float = 2.0, volts: float = 12.4, head: str = "clock"
) -> str:
    lines = (
        f"{at * step:.6g},{volts - at % 7 / 10:.2f},{amps + at % 3 - 1:g}" for at in range(count)
    )
    return f"{head},volts,amps\n" + "\n".join(lines) + "\n"


def stamped(step: int, form: str, head: str = "Timestamp", count: int = ROWS) -> str:
    """Rows with clock times that stand `step` s apart, from 09:00 on."""
    lines = []
    for at in range(count):
        seconds = 9 * 3600 + at * step
        text = form.format(hour=seconds // 3600, minute=seconds // 60 % 60, second=seconds % 60)
        lines.append(f"{text},{12.4 - at % 7 / 10:.2f},{2 + at % 3}")
    return f"{head},volts,amps\n" + "\n".join(lines) + "\n"


@pytest.mark.parametrize("head", ["Timestamp", "Timestamp [ms]"])
@pytest.mark.parametrize(
    "form",
    [
        "{hour:02}:{minute:02}:{second:02}",
        "2026-03-07 {hour:02}:{minute:02}:{second:02}",
        "2026-03-07T{hour:02}:{minute:02}:{second:02}Z",
    ],
)
@pytest.mark.parametrize("step", [1, 6, 30])
def test_dates_and_clock_times_are_seconds_whatever_the_step(
    step: int, form: str, head: str
) -> None:
    """A row every 6 s was once read as one every 6 ms: 8.1 s instead of 8 094 s (1 349 steps)."""
    assert duration(read(stamped(step, form, head))) == pytest.approx((ROWS - 1) * step)


def test_a_clock_of_minutes_goes_on_above_ninety_nine() -> None:
    """1 349 steps of 6 s are 134:54; from 100:00 on the rows were once bad ones."""
    lines = "".join(f"{at * 6 // 60}:{at * 6 % 60:02},{12 - at % 7 / 10},2\n" for at in range(ROWS))
    assert duration(read("clock,volts,amps\n" + lines)) == pytest.approx((ROWS - 1) * 6)


@pytest.mark.parametrize(
    "step, count, seconds",
    [
        (0.02, 6750, 135.0),  # seconds: no robot logs 50 000 rows a second
        (20, 6750, 135.0),  # milliseconds: 37 h at 2 A are more than a battery holds
        (20_000, 6750, 135.0),  # microseconds
        (1, 150, 149.0),  # a row a second for 149 s, and not for 0.149 s
        (1, 150_000, 149.999),  # 150 s of milliseconds, and not 41 h
        (6, 25_000, 149.994),  # 150 s at 6 ms, and not 41 h at 6 s
        (6, 30, 174.0),  # 174 s at 6 s, and not 0.17 s at 6 ms
    ],
)
def test_a_plain_number_is_decided_by_the_whole(step: float, count: int, seconds: float) -> None:
    assert duration(read(rows(step, count))) == pytest.approx(seconds, abs=0.03)


def test_the_charge_decides_where_the_duration_does_not() -> None:
    """8 094 s or 8.1 s: at 60 A the first would take 135 A*h out of a battery of 18 A*h."""
    with pytest.raises(BadInput, match="seconds or milliseconds"):
        read(rows(6, amps=2))
    assert duration(read(rows(6, amps=60))) == pytest.approx(8.094)


def test_the_schedules_match_length_decides() -> None:
    text = rows(10, 200, amps=2)
    assert duration(read(text, expected=Expected(match_length=1800))) == pytest.approx(1990)
    assert duration(read(text, expected=Expected(match_length=5))) == pytest.approx(1.99)


def test_seconds_since_1970_are_told_by_their_size() -> None:
    lines = "".join(f"{1_772_877_600 + at * 6},12.{at % 7},2\n" for at in range(ROWS))
    assert duration(read("clock,volts,amps\n" + lines)) == pytest.approx(8094)
    lines = "".join(f"{1_772_877_600_000 + at * 6},12.{at % 7},2\n" for at in range(ROWS))
    assert duration(read("clock,volts,amps\n" + lines)) == pytest.approx(8.094)


@pytest.mark.parametrize("unit, seconds", [("s", 8094.0), ("ms", 8.094), ("us", 0.008094)])
def test_the_clocks_unit_can_be_named(unit: str, seconds: float) -> None:
    data = read(rows(6), {"time": f"clock:{unit}"})
    assert duration(data) == pytest.approx(seconds) and data.names["time"] == "clock"
    assert duration(
        read(rows(6, head="clock [ms]"), {"time": f"clock [ms]:{unit}"})
    ) == pytest.approx(seconds)


def test_a_heading_that_ends_like_a_unit_stays_a_heading() -> None:
    assert duration(read(rows(0.02, 600, head="robot:s"), {"time": "robot:s"})) == pytest.approx(
        11.98
    )


def test_an_undecidable_unit_stops_with_its_question(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(rows(6))
    said = run("import-log", folder, path, "--battery", "4", code=2)
    for piece in (
        "seconds or milliseconds?",
        "clock:s",
        "clock:ms",
        "a match lasts 180 s",
        "1350 rows",
    ):
        assert piece in said
    assert not list((folder / "logs").glob("*.csv")) and not glance(folder).state.robot_logs
    found = imported(folder, path, "--columns", "time=clock:s,voltage=volts,current=amps")
    assert found["duration"] == pytest.approx(8094)
    assert (found["columns"]["time"], found["clock_unit"]) == ("clock", "s")
    again = tmp_path / "again.csv"
    again.write_text(rows(6, volts=12.5))
    assert imported(folder, again)["duration"] == pytest.approx(
        8094
    )  # the unit is remembered with the heading


@pytest.mark.parametrize("unit, size", [("ms", 1e-3), ("us", 1e-6)])
def test_a_unit_named_for_one_log_does_not_decide_another_that_tells_its_own(
    folder: Path, tmp_path: Path, unit: str, size: float
) -> None:
    """The same headings, another program: the log as a whole says what its clock counts."""
    (tmp_path / "s.csv").write_text(rows(0.02, 6750))
    (tmp_path / "other.csv").write_text(rows(0.02 / size, 6750, volts=12.5))
    named = imported(
        folder, tmp_path / "s.csv", "--columns", "time=clock:s,voltage=volts,current=amps"
    )
    other = imported(folder, tmp_path / "other.csv")
    assert (named["doubts"], other["doubts"]) == ([], [])
    assert other["duration"] == pytest.approx(named["duration"], rel=0.01)


def test_a_unit_that_was_named_is_not_asked_for_again(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(rows(6))
    (doubt,) = imported(
        folder, path, "--match", "12", "--columns", "time=clock:s,voltage=volts,current=amps"
    )["doubts"]
    assert "'clock' counts s, as you said" in doubt and "--columns" not in doubt


def test_a_column_that_an_earlier_log_did_not_have_is_told_by_name(
    folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "one.csv").write_text(rows(0.02, 6750))
    (tmp_path / "two.csv").write_text(rows(0.02, 6750, volts=12.5))
    imported(folder, tmp_path / "one.csv", "--columns", "time=clock,voltage=volts,current=")
    said = run("import-log", folder, tmp_path / "two.csv", "--battery", "4")
    assert "No column is read as the current" in said and "--columns current=NAME" in said


def test_doubts_are_printed_stored_and_listed_and_stop_nothing(
    folder: Path, tmp_path: Path
) -> None:
    """363 V is no battery of 12 V; 8 094 s are no match of 180 s. Both are asked about, neither is
    refused."""
    path = tmp_path / "log.csv"
    path.write_text(rows(6, volts=363))
    found = imported(
        folder, path, "--match", "12", "--columns", "time=clock:s,voltage=volts,current=amps"
    )
    assert len(found["doubts"]) == 2
    assert "a match 180 s" in found["doubts"][0] and "363 V" in found["doubts"][1]
    assert glance(folder).state.robot_logs["4"][0].body.doubts == found["doubts"]
    said = run("import-log", folder, path, "--battery", "4")
    assert all(f"Doubt: {doubt}" in said for doubt in found["doubts"])


@pytest.mark.parametrize(
    "text, asked",
    [
        (rows(0.02, 7000, amps=900), "arcs above 500 A"),
        (rows(0.1, 14_000, amps=60), "more than the battery holds"),
        (rows(0.02, 7000, volts=4.2), "The middle of 'volts'"),
        (rows(0.02, 600), "It lasts 12 s, a match 180 s"),
    ],
)
def test_what_a_battery_or_a_match_cannot_be_is_asked_about(
    folder: Path, tmp_path: Path, text: str, asked: str
) -> None:
    path = tmp_path / "log.csv"
    path.write_text(text)
    assert any(asked in doubt for doubt in imported(folder, path, "--match", "12")["doubts"])


def test_times_under_a_voltage_are_told_in_units_a_person_reads(
    folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "log.csv"
    path.write_text(rows(6))
    named = "time=clock:s,voltage=volts,current="
    said = run("import-log", folder, path, "--battery", "4", "--columns", named)
    assert "e+03" not in said and "under 12 V" in said
    assert "read this file again with --columns current=" in said


def test_a_log_like_a_match_has_no_doubt(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(rows(0.02, 6750, amps=48))
    assert imported(folder, path, "--match", "12")["doubts"] == []


def test_a_stored_log_is_corrected_by_a_new_entry(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(rows(6))
    first = imported(
        folder, path, "--match", "12", "--columns", "time=clock:ms,voltage=volts,current="
    )
    assert (first["charge"], first["duration"]) == (None, pytest.approx(8.094))
    head = glance(folder).state.head
    better = imported(folder, path, "--columns", "time=clock:s,voltage=volts,current=amps")
    assert better["known"] and better["corrected"] and better["match"] == "fjord/12/1"
    assert better["duration"] == pytest.approx(8094) and better["charge"] == pytest.approx(
        2 * 8094 / 3600, rel=0.01
    )
    state = glance(folder).state
    fact = state.robot_logs["4"][0]
    assert (
        state.head == head + 1
        and fact.body.duration == pytest.approx(8094)
        and len(state.corrections[fact.id]) == 1
    )
    assert state.entries_by_id[fact.id].body["duration"] == pytest.approx(
        8.094
    )  # what it said first stays
    same = imported(folder, path, "--columns", "time=clock:s,voltage=volts,current=amps")
    assert same["known"] and not same["corrected"] and glance(folder).state.head == head + 1
    run("verify", folder)


def test_one_column_is_not_two_things() -> None:
    with pytest.raises(BadInput, match="named as voltage and as current"):
        read(rows(0.1), {"voltage": "volts", "current": "volts"})


@pytest.mark.parametrize("head, doubted", [
    ("clock", True), ("seconds remaining", False), ("match countdown", False),
])  # fmt: skip
def test_a_clock_that_runs_down_is_asked_about_unless_its_heading_says_so(
    folder: Path, tmp_path: Path, head: str, doubted: bool
) -> None:
    """The newest row first, as some exports have it, looks just like a countdown."""
    first, *rest = rows(0.1, head=head).splitlines()
    log = tmp_path / "down.csv"
    log.write_text("\n".join([first, *rest[::-1]]) + "\n")
    found = imported(folder, log)
    assert any("runs down" in doubt for doubt in found["doubts"]) is doubted


def test_clock_times_with_the_newest_row_first_are_turned_around(
    folder: Path, tmp_path: Path
) -> None:
    first, *rest = stamped(1, "{hour:02}:{minute:02}:{second:02}", count=150).splitlines()
    plain, turned = tmp_path / "plain.csv", tmp_path / "turned.csv"
    plain.write_text("\n".join([first, *rest]) + "\n")
    turned.write_text("\n".join([first, *rest[::-1]]) + "\n")
    expected, found = imported(folder, plain), imported(folder, turned)
    assert "Its newest row stood first: it was read from the end." in found["remarks"]
    for name in ("lowest_at", "duration", "charge", "open_circuit", "doubts"):
        assert found[name] == expected[name], name


def test_a_clock_that_may_be_a_row_number_is_asked_about_until_its_unit_is_named(
    folder: Path, tmp_path: Path
) -> None:
    log = tmp_path / "numbered.csv"
    log.write_text(rows(1, count=170))
    assert any("row numbers" in doubt for doubt in imported(folder, log)["doubts"])
    named = imported(folder, log, "--columns", "time=clock:s")
    assert named["corrected"] and named["doubts"] == []
    assert (named["columns"]["time"], named["clock_unit"]) == ("clock", "s")
    halves = tmp_path / "halves.csv"
    halves.write_text(rows(0.5, count=340))
    assert imported(folder, halves)["doubts"] == []
