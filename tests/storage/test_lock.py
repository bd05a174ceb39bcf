"""One server per pit folder: the second is told who holds it, and a killed holder lets go."""

import json
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from pitcrew.base.errors import Locked
from pitcrew.storage import lock
from pitcrew.storage.lock import LOCK_FILE, FolderLock, read_holder

HOLD = """
import sys, time
from pathlib import Path
from pitcrew.storage.lock import FolderLock
with FolderLock(Path(sys.argv[1]), {"port": 8765, "scheme": "http", "started": "2026-03-07T10:00:00Z"}):
    print("held", flush=True)
    time.sleep(60)
"""


@pytest.fixture
def holder(tmp_path: Path):
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    yield process
    process.kill()
    process.communicate()


def info_of(folder: Path) -> dict:
    return json.loads((folder / LOCK_FILE).read_text())


def test_a_held_folder_names_its_holder(holder: subprocess.Popen, tmp_path: Path) -> None:
    with pytest.raises(Locked) as caught, FolderLock(tmp_path, {}):
        raise AssertionError("two may not hold one folder")
    for wanted in (
        str(tmp_path),
        f"process {holder.pid}",
        "http://localhost:8765",
        "since 2026-03-07T10:00:00Z",
        "stop it first",
    ):
        assert wanted in caught.value.sentence
    found = read_holder(tmp_path)
    assert found is not None
    assert (found["pid"], found["port"], found["secret"]) == (
        holder.pid,
        8765,
        info_of(tmp_path)["secret"],
    )


def test_a_refused_server_leaves_the_holder_as_it_was(
    holder: subprocess.Popen, tmp_path: Path
) -> None:
    before = info_of(tmp_path)
    with pytest.raises(Locked), FolderLock(tmp_path, {"port": 1}):
        raise AssertionError("two may not hold one folder")
    assert info_of(tmp_path) == before


def test_a_killed_holder_lets_go(holder: subprocess.Popen, tmp_path: Path) -> None:
    """Its words still are in the file, longer than ours: they are not read."""
    os.kill(holder.pid, signal.SIGKILL)
    holder.wait(10)
    assert info_of(tmp_path)["pid"] == holder.pid
    assert read_holder(tmp_path) is None
    with FolderLock(tmp_path, {"port": 1}) as mine:
        assert info_of(tmp_path) == {"pid": os.getpid(), "port": 1, "secret": mine.secret}
        assert read_holder(tmp_path) == info_of(tmp_path)


def test_a_command_at_work_is_named_too(tmp_path: Path) -> None:
    with (
        FolderLock(tmp_path, {"command": "import-schedule"}),
        pytest.raises(Locked, match="held by pitcrew import-schedule"),
    ):
        FolderLock(tmp_path, {}).__enter__()


@pytest.mark.skipif(os.name != "posix", reason="file modes are a thing of POSIX systems")
def test_the_secret_is_for_this_user_alone_and_goes_with_the_holder(tmp_path: Path) -> None:
    lock_file = tmp_path / LOCK_FILE
    lock_file.touch(mode=0o644)
    with FolderLock(tmp_path, {}) as held:
        assert stat.S_IMODE(lock_file.stat().st_mode) == 0o600
        assert len(held.secret) == 32
    assert held.secret not in lock_file.read_text()
    assert read_holder(tmp_path) is None


def test_each_holder_has_a_secret_of_its_own(tmp_path: Path) -> None:
    secrets = set()
    for _ in range(3):
        with FolderLock(tmp_path, {}) as held:
            secrets.add(held.secret)
    assert len(secrets) == 3


def test_a_folder_that_was_never_served_has_no_holder_and_asking_makes_no_file(
    tmp_path: Path,
) -> None:
    assert read_holder(tmp_path) is None
    assert list(tmp_path.iterdir()) == []


def test_what_goes_wrong_inside_lets_go(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), FolderLock(tmp_path, {}):
        _ = 1 / 0
    with FolderLock(tmp_path, {}):
        assert read_holder(tmp_path) is not None


def test_who_only_asks_does_not_keep_a_server_from_starting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Asking takes the lock for a moment; whoever wants to hold it waits that moment out."""
    lock_file = (tmp_path / LOCK_FILE).open("w+b")
    assert lock._take(lock_file.fileno(), shared=True)
    monkeypatch.setattr(lock.time, "sleep", lambda seconds: lock_file.close())
    with FolderLock(tmp_path, {"port": 1}):
        assert lock_file.closed


def test_words_that_cannot_be_read_are_no_words(tmp_path: Path) -> None:
    """A holder that is just writing: it is there, and says nothing yet."""
    with FolderLock(tmp_path, {}):
        for text in (b"", b'{"pid": 12', b"\xff\xff", b"7"):
            (tmp_path / LOCK_FILE).write_bytes(text)
            assert read_holder(tmp_path) == {}
