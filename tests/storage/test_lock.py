"""One server per pit folder: the second is told who holds it, and a killed holder lets go."""

import json
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from pitcrew.errors import Locked
from pitcrew.storage import lock
from pitcrew.storage.lock import FolderLock, read_holder

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
    process = subprocess.Popen([sys.executable, "-c", HOLD, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    yield process
    process.kill()
    process.communicate()


def test_a_held_folder_names_its_holder(holder: subprocess.Popen, tmp_path: Path) -> None:
    with pytest.raises(Locked) as caught, FolderLock(tmp_path, {}):
        raise AssertionError("two may not hold one folder")
    for wanted in (f"process {holder.pid}", "http://localhost:8765", "since 2026-03-07T10:00:00Z"):
        assert wanted in caught.value.sentence
    found = read_holder(tmp_path)
    assert found is not None
    assert (found["pid"], found["port"]) == (holder.pid, 8765)


def test_a_killed_holder_lets_go(holder: subprocess.Popen, tmp_path: Path) -> None:
    os.kill(holder.pid, signal.SIGKILL)
    holder.wait(10)
    assert read_holder(tmp_path) is None
    with FolderLock(tmp_path, {"port": 1}) as mine:
        assert json.loads((tmp_path / lock.INFO_FILE).read_text())["secret"] == mine.secret


def test_the_secret_is_for_this_user_alone_and_goes_with_the_holder(tmp_path: Path) -> None:
    with FolderLock(tmp_path, {}) as held:
        info = tmp_path / lock.INFO_FILE
        assert stat.S_IMODE(info.stat().st_mode) == 0o600
        assert len(held.secret) == 32
    assert not info.exists()
    assert read_holder(tmp_path) is None
