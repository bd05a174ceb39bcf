"""A restored log takes a new id: the same records, whole or not at all, and appends go on."""

import os
from pathlib import Path

import pytest

from pitcrew.base.errors import DiskFull
from pitcrew.storage.lines import scan
from tests.storage.engines import ENGINES, draft, opened


@pytest.mark.parametrize("engine", ENGINES)
def test_the_records_stay_and_appends_go_on(tmp_path: Path, engine: str) -> None:
    journal = opened(engine, tmp_path)
    journal.append([draft(1), draft(2)])
    before, old = journal.after(0), journal.log
    journal.renew(old)
    assert journal.log != old and journal.after(0) == before
    assert journal.append([draft(3)])[0].record["seq"] == 3
    assert journal.append([draft(1)])[0].state == "known"


@pytest.mark.parametrize("engine", ENGINES)
def test_only_the_log_that_was_meant(tmp_path: Path, engine: str) -> None:
    """Two phones that prove the same loss at once bring one new generation, not two."""
    journal = opened(engine, tmp_path)
    old = journal.log
    journal.renew(old)
    new = journal.log
    journal.renew(old)
    assert journal.log == new


def test_the_file_reads_back_with_the_new_id(tmp_path: Path) -> None:
    journal = opened("file", tmp_path)
    for number in range(12):  # past the generation whose number has one digit more
        journal.append([draft(number)])
        journal.renew(journal.log)
    journal.append([draft(99)])
    journal.close()
    again = opened("file", tmp_path)
    assert (again.log, len(again.after(0)), again.report) == (journal.log, 13, [])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["logbook.jsonl"]


def test_a_full_disk_leaves_the_old_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = opened("file", tmp_path)
    journal.append([draft(1)])
    old = journal.log

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(DiskFull):
        journal.renew(old)
    monkeypatch.undo()
    assert journal.log == old == scan(tmp_path / "logbook.jsonl").log
    assert journal.append([draft(2)])[0].record["seq"] == 2
