"""Files replaced as a whole: the old content or the new one, never half, with the mode that was
asked for."""

import os
import stat
from pathlib import Path

import pytest

from pitcrew.storage import durable
from pitcrew.storage.durable import replace_whole


def test_the_new_content_stands_in_the_old_ones_place(tmp_path: Path) -> None:
    path = tmp_path / "pins.json"
    replace_whole(path, b"old")
    replace_whole(path, b"new\r\n", mode=0o600)
    assert path.read_bytes() == b"new\r\n"
    assert os.listdir(tmp_path) == ["pins.json"]
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_disk_that_fails_leaves_the_old_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(handle: int) -> None:
        raise OSError(5, "the drive gave up")

    path = tmp_path / "pins.json"
    replace_whole(path, b"old")
    monkeypatch.setattr(durable, "sync", fails)
    with pytest.raises(OSError, match="gave up"):
        replace_whole(path, b"new")
    assert path.read_bytes() == b"old"


def test_the_name_is_synced_after_the_bytes_and_the_rename(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rename before its bytes are on the drive can leave an empty file after a power cut."""
    order: list[str] = []
    monkeypatch.setattr(durable, "sync", lambda handle: order.append("bytes"))
    monkeypatch.setattr(durable, "sync_folder", lambda folder: order.append("name"))
    moved = os.replace
    monkeypatch.setattr(os, "replace", lambda old, new: (order.append("rename"), moved(old, new)))
    replace_whole(tmp_path / "x", b"1")
    assert order == ["bytes", "rename", "name"]
