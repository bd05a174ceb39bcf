"""A disk that takes no more: the entry is refused with a sentence, the file is as before, and later
entries go in again."""

import errno
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pitcrew.base.errors import Damaged, DiskFull
from pitcrew.base.paths import ROOT
from pitcrew.storage import lines
from pitcrew.storage.opening import open_journal, read_records
from tests.storage.engines import draft, opened, stamp, three_entries


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return three_entries(tmp_path)


def failing(number: int) -> Callable[..., None]:
    """A stand-in for a system call that fails."""

    def fail(*arguments: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.ENOSPC, "The disk is full"),
        (errno.EDQUOT, "The disk is full"),
        (errno.EIO, "Input/output error"),
    ],
)
def test_a_write_that_fails_half_way_stores_nothing_and_the_next_one_works(
    log: Path, monkeypatch: pytest.MonkeyPatch, number: int, said: str
) -> None:
    """Half of a batch reaches the disk: the batch is refused, the tail cut, the numbers are not
    used up."""
    journal = open_journal(log, stamp, fsync=False)
    before = log.read_bytes()
    real = os.write

    def short_then_failing(handle: int, data: bytes) -> int:
        return real(handle, data[: len(data) - 40]) if len(data) > 50 else failing(number)()  # type: ignore[func-returns-value]

    monkeypatch.setattr(lines.os, "write", short_then_failing)
    with pytest.raises(DiskFull, match=f"{said}.*not stored on the laptop"):
        journal.append([draft(4), draft(5)])
    monkeypatch.undo()
    assert log.read_bytes() == before
    assert (journal.head()[0], journal.get("id-4")) == (3, None)
    assert journal.append([draft(5)])[0].record["seq"] == 4
    journal.close()
    assert [record["id"] for record in read_records(log).records] == [
        "id-1",
        "id-2",
        "id-3",
        "id-5",
    ]


def test_a_short_write_is_carried_on(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = open_journal(log, stamp, fsync=False)
    real = os.write
    monkeypatch.setattr(lines.os, "write", lambda handle, data: real(handle, data[:7]))
    journal.append([draft(4), draft(5)])
    monkeypatch.undo()
    journal.close()
    assert [record["id"] for record in read_records(log).records][3:] == ["id-4", "id-5"]


def test_a_failed_fsync_is_never_tried_again(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system may have dropped the bytes that it could not write and would then call the second
    fsync a success."""
    journal = open_journal(log, stamp)
    before = log.read_bytes()
    calls: list[int] = []

    def fail(handle: int) -> None:
        calls.append(handle)
        failing(errno.EIO)()

    monkeypatch.setattr(lines, "sync", fail)
    with pytest.raises(DiskFull):
        journal.append([draft(4)])
    assert len(calls) == 1
    assert log.read_bytes() == before
    monkeypatch.undo()
    assert journal.after(3) == []
    journal.append([draft(4)])
    journal.close()
    assert len(read_records(log).records) == 4


def test_nothing_is_published_before_its_fsync(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = open_journal(log, stamp)
    heard: list[int] = []
    journal.subscribe(lambda records: heard.extend(record["seq"] for record in records))
    real = lines.sync
    during: list[object] = []

    def look(handle: int) -> None:
        during.append((journal.head()[0], journal.after(3), journal.get("id-4"), list(heard)))
        real(handle)
        during.append((journal.head()[0], journal.after(3), journal.get("id-4"), list(heard)))

    monkeypatch.setattr(lines, "sync", look)
    journal.append([draft(4)])
    assert during == [(3, [], None, [])] * 2
    assert (journal.head()[0], heard) == (4, [4])
    journal.close()


def test_a_disk_that_cannot_even_be_opened_again_refuses_until_it_can(
    log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = open_journal(log, stamp, fsync=False)
    before = log.read_bytes()
    monkeypatch.setattr(lines.os, "write", failing(errno.EIO))
    monkeypatch.setattr(lines.os, "open", failing(errno.EIO))
    for _ in range(2):
        with pytest.raises(DiskFull):
            journal.append([draft(4)])
    monkeypatch.undo()
    assert log.read_bytes() == before
    assert journal.append([draft(4)])[0].record["seq"] == 4
    journal.close()


def test_an_interrupt_in_the_middle_of_a_write_leaves_no_half_line(
    log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = open_journal(log, stamp, fsync=False)
    before = log.read_bytes()
    real = os.write

    def interrupted(handle: int, data: bytes) -> int:
        real(handle, data[:20])
        raise KeyboardInterrupt

    monkeypatch.setattr(lines.os, "write", interrupted)
    with pytest.raises(KeyboardInterrupt):
        journal.append([draft(4)])
    monkeypatch.undo()
    assert log.read_bytes() == before
    assert journal.append([draft(4)])[0].state == "stored"
    journal.close()


def test_known_entries_are_answered_while_the_disk_is_full(
    log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    journal = open_journal(log, stamp, fsync=False)
    monkeypatch.setattr(lines.os, "write", failing(errno.ENOSPC))
    assert journal.append([draft(2)])[0].state == "known"
    with pytest.raises(DiskFull):
        journal.append([draft(2), draft(4)])
    journal.close()


def test_a_torn_end_is_cut_on_a_full_disk_too(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The cut bytes cannot be kept then; opening says so and goes on."""
    whole = log.read_bytes()
    log.write_bytes(whole + b'["12')
    real = Path.open

    def refuse_to_add(path: Path, mode: str = "r", **options: object):
        return failing(errno.ENOSPC)() if mode == "ab" else real(path, mode, **options)  # type: ignore[call-overload, func-returns-value]

    monkeypatch.setattr(Path, "open", refuse_to_add)
    journal = open_journal(log, stamp, fsync=False)
    assert "not kept: No space left on device" in journal.report[0]
    assert log.read_bytes() == whole
    journal.close()


def test_the_drive_itself_is_asked_where_the_system_can(
    log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """macOS: F_FULLFSYNC (fcntl(2)); a drive that does not know it is asked by plain fsync, any
    other error stands."""
    fcntl = pytest.importorskip("fcntl", reason="this system has no fcntl")
    asked: list[tuple[int, int]] = []
    plain: list[int] = []
    monkeypatch.setattr(fcntl, "F_FULLFSYNC", 51, raising=False)
    monkeypatch.setattr(fcntl, "fcntl", lambda handle, what: asked.append((handle, what)))
    monkeypatch.setattr(lines.os, "fsync", plain.append)
    lines.sync(7)
    assert (asked, plain) == ([(7, 51)], [])

    monkeypatch.setattr(fcntl, "fcntl", failing(errno.ENOTSUP))
    lines.sync(7)
    assert plain == [7]

    monkeypatch.setattr(fcntl, "fcntl", failing(errno.EIO))
    with pytest.raises(OSError, match="Input/output"):
        lines.sync(7)
    assert plain == [7]


FILLS_UP_TO_A_LIMIT = """
import resource, sys
from pathlib import Path
from pitcrew.base.errors import DiskFull
from tests.storage.engines import draft, opened
journal = opened("file", Path(sys.argv[1]), fsync=True)
hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
resource.setrlimit(resource.RLIMIT_FSIZE, (4000, hard))
stored = 0
try:
    while True:
        journal.append([draft(stored, "x" * 100), draft(f"{stored} too", "x" * 100)])
        stored += 1
except DiskFull as error:
    print(error.sentence)
assert journal.head()[0] == 2 * stored
resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
assert journal.append([draft("with space again")])[0].record["seq"] == 2 * stored + 1
print(stored)
"""


@pytest.mark.skipif(os.name != "posix", reason="file size limits are a thing of POSIX systems")
def test_the_system_itself_cuts_a_write_short(tmp_path: Path) -> None:
    """A file size limit: the kernel takes part of the batch, then refuses; the file is cut back to
    its last whole batch."""
    done = subprocess.run(
        [sys.executable, "-c", FILLS_UP_TO_A_LIMIT, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=ROOT,
    )
    assert done.returncode == 0, done.stderr
    sentence, stored = done.stdout.splitlines()
    assert "this is not stored on the laptop" in sentence
    read = read_records(tmp_path / "logbook.jsonl")
    assert len(read.records) == 2 * int(stored) + 1
    assert read.report == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of 64 KiB."""
    place = tmp_path / "disk"
    place.mkdir()
    if (
        sys.platform != "linux"
        or subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        ).returncode
    ):
        pytest.skip("mounting a small disk needs Linux and root")
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_really_full_disk_refuses_and_goes_on_when_there_is_space(small_disk: Path) -> None:
    ballast = small_disk / "photos"
    ballast.write_bytes(b"x" * 30_000)
    journal = opened("file", small_disk, fsync=True)
    stored = 0
    with pytest.raises(DiskFull, match="The disk is full"):
        while True:
            journal.append([draft(stored, "x" * 1000)])
            stored += 1
    whole = (small_disk / "logbook.jsonl").read_bytes()
    with pytest.raises(DiskFull):
        journal.append([draft("big", "x" * 20_000)])
    assert (small_disk / "logbook.jsonl").read_bytes() == whole
    ballast.unlink()
    assert journal.append([draft("big", "x" * 20_000)])[0].record["seq"] == stored + 1
    journal.close()
    assert len(read_records(small_disk / "logbook.jsonl").records) == stored + 1


def test_a_file_replaced_under_a_failing_disk_is_not_written_to(
    log: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The handle was lost in a failure, and meanwhile a shorter file took the place of ours."""
    journal = open_journal(log, stamp, fsync=False)
    monkeypatch.setattr(lines.os, "write", failing(errno.EIO))
    monkeypatch.setattr(lines.os, "open", failing(errno.EIO))
    with pytest.raises(DiskFull):
        journal.append([draft(4)])
    monkeypatch.undo()
    log.write_bytes(b"short")
    with pytest.raises(Damaged):
        journal.append([draft(4)])
    assert log.read_bytes() == b"short"
    journal.close()
