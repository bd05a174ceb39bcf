"""Importing a robot's log by command: what it answers, what it adds, and that a second time adds
nothing."""

import json
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner

from pitcrew.cli.main import main
from pitcrew.pit.commands import AT_THE_LAPTOP
from pitcrew.pit.logs import LogStore, import_stored
from pitcrew.pit.pit import glance, open_pit
from tests.logmaker import make_log
from tests.world import make_world


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_world(tmp_path / "pit")


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "match.csv"
    path.write_bytes(make_log(11, 40.0)[0])
    return path


def run(*arguments: object, code: int = 0) -> str:
    answer = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert answer.exit_code == code, answer.output
    return answer.output


def imported(folder: Path, log: Path, *more: str) -> dict:
    return json.loads(
        run("import-log", folder, log, "--match", "12", "--battery", "4", *more, "--json")
    )


def test_the_numbers_are_answered_and_stored(folder: Path, log: Path) -> None:
    _, truth = make_log(11, 40.0)
    found = imported(folder, log)
    assert (found["known"], found["rows"], found["bad_rows"]) == (
        False,
        len(truth.elapsed),
        truth.bad_rows,
    )
    assert found["lowest_voltage"] == pytest.approx(truth.voltage.min(), abs=1e-3)
    assert found["charge"] == pytest.approx(truth.charge, rel=1e-3)
    assert found["peak_current"] == pytest.approx(truth.current.max(), rel=1e-3)
    assert found["resistance"]["low"] < found["resistance"]["value"] < found["resistance"]["high"]
    assert set(found["seconds_below"]) == {"12", "11", "10", "9", "8", "7", "6.8"}
    facts = glance(folder).state.robot_logs["4"]
    assert [(fact.match, fact.body.file, fact.body.rows) for fact in facts] == [
        ("fjord/12/1", found["file"], found["rows"])
    ]
    assert (folder / "logs" / f"{found['file']}.csv").read_bytes() == log.read_bytes()


def test_the_same_file_again_adds_nothing(folder: Path, log: Path, tmp_path: Path) -> None:
    first, head = imported(folder, log), glance(folder).state.head
    copy = tmp_path / "another name.csv"
    copy.write_bytes(log.read_bytes())
    second = imported(folder, copy)
    assert (
        second["known"]
        and glance(folder).state.head == head
        and len(list((folder / "logs").glob("*.csv"))) == 1
    )
    assert {name: first[name] for name in ("charge", "rows", "resistance", "match")} == {
        name: second[name] for name in ("charge", "rows", "resistance", "match")
    }
    assert "in the logbook already" in run("import-log", folder, copy, "--battery", "5")


def test_named_columns_are_remembered_for_the_same_headings(folder: Path, tmp_path: Path) -> None:
    text = (
        "a,b,c\n"
        + "\n".join(f"{at / 50},{12 - at % 7 / 10},{at % 7 * 10}" for at in range(200))
        + "\n"
    )
    (tmp_path / "one.csv").write_text(text)
    (tmp_path / "two.csv").write_text(text.replace("12", "12.1"))
    assert "No column of the log is known as voltage" in run(
        "import-log", folder, tmp_path / "one.csv", "--battery", "4", code=2
    )
    assert not list((folder / "logs").glob("*.csv"))
    imported(folder, tmp_path / "one.csv", "--columns", "time=a,voltage=b,current=c")
    assert imported(folder, tmp_path / "two.csv")["columns"] == {
        "time": "a",
        "voltage": "b",
        "current": "c",
    }


def test_a_role_that_no_column_has_is_not_sought(folder: Path, tmp_path: Path) -> None:
    text = (
        "time,volts,amps\n"
        + "\n".join(f"{at / 50},{12 - at % 7 / 10},{at % 7 * 10}" for at in range(200))
        + "\n"
    )
    (tmp_path / "one.csv").write_text(text)
    (tmp_path / "two.csv").write_text(text.replace("12", "12.1"))
    assert (
        imported(folder, tmp_path / "one.csv", "--columns", "time=time,voltage=volts,current=")[
            "charge"
        ]
        is None
    )
    assert imported(folder, tmp_path / "two.csv")["charge"] is None


def test_an_import_that_fails_throws_nothing_away_that_is_in_the_logbook(
    folder: Path, log: Path
) -> None:
    kept = folder / "logs" / f"{imported(folder, log)['file']}.csv"
    assert "names no run" in run(
        "import-log", folder, log, "--match", "a/b", "--battery", "4", code=2
    )
    assert kept.read_bytes() == log.read_bytes()


def test_two_imports_at_once_add_one_entry(folder: Path, log: Path) -> None:
    pit = open_pit(folder)
    digest = LogStore(folder).keep(BytesIO(log.read_bytes()))
    with ThreadPoolExecutor(4) as threads:
        found = list(
            threads.map(
                lambda _: import_stored(pit, digest, "m.csv", "4", author=AT_THE_LAPTOP)["known"],
                range(4),
            )
        )
    pit.close()
    assert (
        sorted(found) == [False, True, True, True]
        and len(glance(folder).state.robot_logs["4"]) == 1
    )


def test_bad_rows_and_an_unknown_match_are_said(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        "time,volts,amps\n"
        + "\n".join(f"{at},12,{at % 3}" for at in range(90))
        + "\n90,nan,1\n91,1"
    )
    said = run("import-log", folder, path, "--match", "99", "--battery", "X")
    for sentence in (
        "2 bad rows left out.",
        "line 92: no number for voltage: nan",
        "line 93: 2 fields instead of 3",
        "The schedule has no match 99.",
        "No build sheet lists a battery 'X'.",
    ):
        assert sentence in said


def test_what_cannot_be_read_is_said(folder: Path, tmp_path: Path) -> None:
    assert "cannot be read" in run(
        "import-log", folder, tmp_path / "none.csv", "--battery", "4", code=1
    )
    (tmp_path / "empty.csv").write_text("")
    assert "empty" in run("import-log", folder, tmp_path / "empty.csv", "--battery", "4", code=2)
    (tmp_path / "short.csv").write_text("time,volts\n0,12.4\n")
    assert "at least 2 are wanted" in run(
        "import-log", folder, tmp_path / "short.csv", "--battery", "4", code=2
    )


def test_a_current_that_counts_downwards_is_turned(folder: Path, tmp_path: Path) -> None:
    rows = [f"{at / 50},{12.5 - at % 9 * 0.2:.2f},{-(at % 9) * 10}" for at in range(400)]
    path = tmp_path / "log.csv"
    path.write_text("time,volts,amps\n" + "\n".join(rows) + "\n")
    found = imported(folder, path)
    assert found["charge"] > 0 and found["peak_current"] == 80
    assert found["resistance"]["value"] == pytest.approx(0.02, rel=1e-6)


def test_a_log_without_a_current_says_what_it_can(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        "time,volts\n" + "".join(f"{at / 50},{12.5 - at % 9 * 0.7:.2f}\n" for at in range(400))
    )
    assert "no column is known as the whole current" in run(
        "import-log", folder, path, "--battery", "4"
    )
    found = imported(folder, path)
    assert (found["charge"], found["resistance"], found["lowest_voltage"]) == (None, None, 6.9)


def test_a_number_finds_its_match_whatever_letters_stand_before_it(
    folder: Path, log: Path, tmp_path: Path
) -> None:
    schedule = tmp_path / "matches.csv"
    schedule.write_text(
        "match,date,time,red"
        " 1\nQ12,2026-03-07,10:00,12\nQ13,2026-03-07,11:00,12\nE13,2026-03-07,15:00,12\n"
    )
    run("import-schedule", folder, schedule)
    assert imported(folder, log)["match"] == "fjord/Q12/1"
    other = tmp_path / "other.csv"
    other.write_bytes(make_log(12, 20.0)[0])
    assert "The schedule has no match 13." in run(
        "import-log", folder, other, "--match", "13", "--battery", "4"
    )
