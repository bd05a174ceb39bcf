"""`pitcrew patterns`, `export` and `sheet season` on a small pit folder."""

import csv
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pitcrew.cli.main import main
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import open_pit
from tests.world import make_world

FIRST = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
LEAD = Author("laptop", "Ada", "lead")
CHAIN = "lift.chain.left"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Twelve matches with a fault in two of them, and one of no match."""
    return filled(make_world(tmp_path / "pit"), (2, 9))


def filled(folder: Path, broken: tuple[int, ...]) -> Path:
    """Twelve matches, and a fault in those named."""
    pit = open_pit(folder, lambda: FIRST + timedelta(hours=8), fsync=False)
    for number in range(1, 13):
        at = FIRST + timedelta(minutes=30 * number)
        run = f"fjord/{number}/1"
        pit.record(
            "match_run",
            {"planned": at.isoformat(), "actual": at.isoformat(), "ours": "red 1"},
            LEAD,
            match=run,
        )
        if number in broken:
            pit.record(
                "fault",
                {"part": CHAIN, "symptom": "=loose", "grade": "stop"},
                LEAD,
                match=run,
                at=at,
            )
    pit.record("fault", {"part": CHAIN, "symptom": "loose", "grade": "watch"}, LEAD)
    pit.close()
    return folder


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(item) for item in arguments])


def test_every_number_has_its_count_and_exposure(folder: Path) -> None:
    found = json.loads(run("patterns", folder, "--json").stdout)
    row = found["rankings"]["part"]["rows"][0]
    assert (row["often"]["count"], row["often"]["exposure"], row["often"]["unit"]) == (
        2,
        12,
        "match",
    )
    assert row["often"]["low"] == pytest.approx(
        0.02086, abs=5e-6
    )  # Clopper-Pearson 2 in 12, 95 % (scipy's binomtest)
    assert len(row["faults"]) == 3 and len(row["outside"]) == 1
    assert found["exposures"][0]["entries"][0] == "fjord/1/1"


def test_event_and_part_narrow_it(folder: Path) -> None:
    assert (
        json.loads(run("patterns", folder, "--event", "inlet", "--json").stdout)["exposures"][0][
            "amount"
        ]
        == 0
    )
    assert (
        json.loads(run("patterns", folder, "--part", "drive", "--json").stdout)["rankings"]["part"][
            "rows"
        ]
        == []
    )


@pytest.mark.parametrize(
    ("option", "name", "near"),
    [("--event", "fjrod", "fjord"), ("--part", "lift.chian.left", CHAIN)],
)
def test_an_event_or_part_that_may_be_mistyped_is_said(
    folder: Path, option: str, name: str, near: str
) -> None:
    answer = run("patterns", folder, option, name)
    assert answer.exit_code == 0 and name in answer.stderr and near in answer.stderr
    assert run("patterns", folder, option, near).stderr == ""


def test_in_sentences_few_data_are_said(folder: Path) -> None:
    said = run("patterns", folder).output
    assert "12 matches are few" in said and "2 in 12 matches: 17 % a match" in said


def test_several_folders_are_held_against_the_first(folder: Path, tmp_path: Path) -> None:
    other = filled(make_world(tmp_path / "other"), (1, 2, 3, 4, 5, 6))
    found = json.loads(run("patterns", folder, other, "--json").stdout)
    assert set(found["pits"]) == {str(folder), str(other)}
    assert found["compared"][1]["ratio"] == pytest.approx(3)
    assert f"3 times {folder}" in run("patterns", folder, other).output


def test_the_export_lies_beside_its_dictionary(folder: Path, tmp_path: Path) -> None:
    target = tmp_path / "season.csv"
    assert run("export", folder, target).exit_code == 0
    with target.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["text"] for row in rows if row["kind"] == "fault"] == [
        "'=loose",
        "'=loose",
        "loose",
    ]
    assert "`happened_at`" in (tmp_path / "season.dictionary.md").read_text(encoding="utf-8")
    assert run("export", folder, tmp_path / "season.jsonl").exit_code == 0
    assert len((tmp_path / "season.jsonl").read_text(encoding="utf-8").splitlines()) == len(rows)


def test_another_ending_is_refused_with_a_sentence(folder: Path, tmp_path: Path) -> None:
    answer = run("export", folder, tmp_path / "season.xls")
    assert answer.exit_code == 2 and "wanted .csv or .jsonl" in answer.output


def test_the_season_report_is_a_pdf(folder: Path, tmp_path: Path) -> None:
    from pypdf import PdfReader

    target = tmp_path / "season.pdf"
    answer = run("sheet", "season", folder, "-o", target)
    assert answer.exit_code == 0, answer.output
    text = " ".join(page.extract_text() for page in PdfReader(target).pages)
    assert "Season report" in text and "2 in 12 matches" in " ".join(text.split())
