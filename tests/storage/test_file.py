"""The log file under damage: torn tails are cut, a damaged middle is refused, a full disk refuses and recovers."""

import errno
import os
import threading
from pathlib import Path

import pytest
from tinydb import Query

from pitcrew.errors import Damaged, DiskFull, Missing
from pitcrew.storage import lines
from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.opening import open_journal, read_records
from tests.storage.engines import draft, opened, stamp


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """A log of three entries."""
    journal = opened("file", tmp_path)
    journal.append([draft(1), draft(2), draft(3)])
    journal.close()
    return tmp_path / "logbook.jsonl"


def test_each_line_is_readable_json_and_carries_its_checksum() -> None:
    """CRC-32/ISO-HDLC: the check value of `123456789` is cbf43926 (the catalogue of parametrised CRC algorithms)."""
    line = encode_line({"text": "Ø"})
    assert decode_line(line[:-1]) == {"text": "Ø"}
    import zlib

    assert f"{zlib.crc32(b'123456789'):08x}" == "cbf43926"
    assert line.startswith(b'["%08x",' % zlib.crc32(line[12:-2]))


def test_a_log_cut_anywhere_keeps_exactly_its_whole_lines(log: Path) -> None:
    raw = log.read_bytes()
    ends = [place + 1 for place, byte in enumerate(raw) if byte == ord("\n")]
    for cut in range(ends[0], len(raw) + 1):
        log.write_bytes(raw[:cut])
        whole = sum(end <= cut for end in ends) - 1
        assert len(read_records(log).records) == whole
        journal = open_journal(log, stamp, fsync=False)
        assert journal.head()[0] == whole
        assert bool(journal.report) == (cut not in ends)
        assert journal.append([draft("new")])[0].record["seq"] == whole + 1
        journal.close()
        assert read_records(log).report == []


@pytest.mark.parametrize("tail", [b"\0" * 4096, b"\xff\xfe garbage", b'["00000000",{}]\n', b"\n\n\n"])
def test_a_tail_of_rubbish_is_cut_and_reported(log: Path, tail: bytes) -> None:
    log.write_bytes(log.read_bytes() + tail)
    journal = open_journal(log, stamp, fsync=False)
    assert journal.head()[0] == 3
    assert "torn last line" in journal.report[0]
    journal.close()


def test_any_flipped_bit_before_the_last_line_is_refused_with_its_line(log: Path) -> None:
    raw = log.read_bytes()
    starts = [0, *(place + 1 for place, byte in enumerate(raw) if byte == ord("\n"))]
    for place in range(starts[3]):
        broken = bytearray(raw)
        broken[place] ^= 0x20
        log.write_bytes(bytes(broken))
        number = sum(start <= place for start in starts)
        with pytest.raises(Damaged) as caught:
            open_journal(log, stamp, fsync=False)
        assert f"line {number}" in caught.value.sentence
        assert log.read_bytes() == bytes(broken)


def test_the_way_out_of_a_damaged_middle_works(log: Path, tmp_path: Path) -> None:
    """The message names a command; what it keeps is a valid log."""
    raw = log.read_bytes().split(b"\n")
    log.write_bytes(b"\n".join([raw[0], raw[1], b"x" + raw[2], raw[3], b""]))
    with pytest.raises(Damaged, match="head -n 2"):
        read_records(log)
    kept = tmp_path / "intact.jsonl"
    kept.write_bytes(b"\n".join([*log.read_bytes().split(b"\n")[:2], b""]))
    assert len(read_records(kept).records) == 1


def test_an_empty_file_begins_anew_and_a_strange_one_is_refused(tmp_path: Path) -> None:
    place = tmp_path / "logbook.jsonl"
    place.touch()
    journal = opened("file", tmp_path)
    assert journal.head() == (0, "")
    journal.close()
    place.write_bytes(encode_line({"hello": 1}) + encode_line({"seq": 1}))
    with pytest.raises(Damaged, match="line 1"):
        open_journal(place, stamp)
    with pytest.raises(Missing):
        open_journal(tmp_path / "nowhere.jsonl", stamp)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EIO])
def test_a_write_that_fails_stores_nothing_and_the_next_one_works(log: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """Half of a batch reaches the disk, then it is full: the batch is refused, the tail cut, the numbers are not used up."""
    journal = open_journal(log, stamp, fsync=False)
    before = log.read_bytes()
    real = os.write

    def short_then_full(handle: int, data: bytes) -> int:
        if len(data) < 50:
            raise OSError(number, os.strerror(number))
        return real(handle, data[: len(data) - 40])

    monkeypatch.setattr(lines.os, "write", short_then_full)
    with pytest.raises(DiskFull, match="not stored on the laptop"):
        journal.append([draft(4), draft(5)])
    monkeypatch.undo()
    assert log.read_bytes() == before
    assert journal.head()[0] == 3
    assert journal.append([draft(5)])[0].record["seq"] == 4
    journal.close()
    assert [record["id"] for record in read_records(log).records] == ["id-1", "id-2", "id-3", "id-5"]


def test_a_failed_fsync_is_never_tried_again(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = open_journal(log, stamp, fsync=True)
    calls = []

    def fail(handle: int) -> None:
        calls.append(handle)
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(lines, "sync", fail)
    with pytest.raises(DiskFull):
        journal.append([draft(4)])
    assert len(calls) == 1
    monkeypatch.undo()
    assert journal.after(3) == []
    journal.append([draft(4)])
    journal.close()
    assert len(read_records(log).records) == 4


def test_a_really_full_disk_refuses_with_a_sentence(log: Path) -> None:
    if not os.path.exists("/dev/full"):
        pytest.skip("this system has no /dev/full to stand for a full disk")
    journal = open_journal(log, stamp, fsync=False)
    storage = journal._storage  # type: ignore[attr-defined]
    good, storage._handle = storage._handle, os.open("/dev/full", os.O_WRONLY)
    with pytest.raises(DiskFull, match="The disk is full"):
        journal.append([draft(4)])
    os.close(good)
    assert journal.append([draft(4)])[0].record["seq"] == 4
    journal.close()


def test_all_who_wait_in_a_failed_group_are_told(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also the one who brought the same entry again: it is not durable yet."""
    journal = open_journal(log, stamp, fsync=True)
    inside, go = threading.Event(), threading.Event()

    def slow_then_fail(handle: int) -> None:
        inside.set()
        go.wait(5)
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(lines, "sync", slow_then_fail)
    errors: list[str] = []

    def write(number: int) -> None:
        try:
            journal.append([draft(number)])
        except DiskFull as error:
            errors.append(error.sentence)

    threads = [threading.Thread(target=write, args=(number,)) for number in (4, 5, 5, 6)]
    threads[0].start()
    inside.wait(5)
    for thread in threads[1:]:
        thread.start()
    go.set()
    for thread in threads:
        thread.join()
    assert len(errors) == 4
    assert journal.head()[0] == 3
    journal.close()


def test_writers_that_wait_share_an_fsync(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    journal = opened("file", tmp_path, fsync=True)
    calls = []
    real = lines.sync

    def counted(handle: int) -> None:
        calls.append(handle)
        threading.Event().wait(0.002)
        real(handle)

    monkeypatch.setattr(lines, "sync", counted)
    threads = [threading.Thread(target=lambda who=who: [journal.append([draft(f"{who}-{n}")]) for n in range(10)]) for who in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert journal.head()[0] == 160
    assert len(calls) < 80
    journal.close()


def test_tinydb_itself_reads_the_log_and_may_not_change_it(log: Path) -> None:
    journal = open_journal(log, stamp, fsync=False)
    table = journal._table  # type: ignore[attr-defined]
    assert len(table) == 3
    assert [row["seq"] for row in table.search(Query().body.text == "x")] == [1, 2, 3]
    assert table.get(doc_id=2)["id"] == "id-2"
    assert table.get(Query().id == "id-3").doc_id == 3
    for change in (lambda: table.update({"kind": "y"}), lambda: table.remove(doc_ids=[1]), lambda: table.truncate(),
                   lambda: table.upsert({"id": "z"}, Query().id == "id-1")):
        with pytest.raises(TypeError):
            change()
    assert len(read_records(log).records) == 3
    journal.close()
