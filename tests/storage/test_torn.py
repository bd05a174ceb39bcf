"""The log file under damage: a torn end is cut and reported, a damaged middle is refused with its
line and the way out."""

import os
import subprocess
import zlib
from pathlib import Path

import pytest

from pitcrew.base.errors import Damaged, Missing, PitcrewError
from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.opening import open_journal, read_records
from tests.storage.engines import draft, opened, stamp, three_entries


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return three_entries(tmp_path)


def line_ends(raw: bytes) -> list[int]:
    """The length of the file up to and with each line."""
    return [place + 1 for place, byte in enumerate(raw) if byte == ord("\n")]


def test_each_line_is_readable_json_and_carries_its_checksum() -> None:
    """CRC-32/ISO-HDLC: the check value of `123456789` is cbf43926 (the catalogue of parametrised
    CRC algorithms)."""
    assert f"{zlib.crc32(b'123456789'):08x}" == "cbf43926"

    line = encode_line({"text": "Ø\n"})
    assert line == b'["%08x",{"text":"\xc3\x98\\n"}]\n' % zlib.crc32(b'{"text":"\xc3\x98\\n"}')
    assert decode_line(line) == {"text": "Ø\n"}


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"\n",
        b"[]\n",
        b'["00000000",]\n',
        encode_line({})[:-1],
        b'["%08x",[1]]\n' % zlib.crc32(b"[1]"),
    ],
)
def test_what_is_no_line_is_no_record(line: bytes) -> None:
    assert decode_line(line) is None


def test_a_log_cut_anywhere_keeps_exactly_its_whole_lines(log: Path) -> None:
    raw = log.read_bytes()
    ends = line_ends(raw)
    for cut in range(ends[0], len(raw) + 1):
        log.write_bytes(raw[:cut])
        whole = sum(end <= cut for end in ends) - 1
        read = read_records(log)
        assert (len(read.records), bool(read.report)) == (whole, cut not in ends)
        assert log.read_bytes() == raw[:cut]
        journal = open_journal(log, stamp, fsync=False)
        assert journal.head()[0] == whole
        assert bool(journal.report) == (cut not in ends)
        assert journal.append([draft("new")])[0].record["seq"] == whole + 1
        journal.close()
        assert read_records(log).report == []


def test_a_log_cut_within_its_header_is_refused_as_it_stands(log: Path) -> None:
    """The header is made whole or not at all, so this is no crash of ours."""
    raw = log.read_bytes()
    for cut in range(1, line_ends(raw)[0]):
        log.write_bytes(raw[:cut])
        with pytest.raises(Damaged, match="line 1"):
            opened("file", log.parent)
        assert log.read_bytes() == raw[:cut]


def test_a_batch_cut_anywhere_keeps_its_whole_lines(tmp_path: Path) -> None:
    log = three_entries(tmp_path)
    before = log.stat().st_size
    journal = open_journal(log, stamp, fsync=False)
    journal.append([draft(f"batch {number}", "é" * number) for number in range(4)])
    journal.close()
    raw = log.read_bytes()
    for cut in range(before, len(raw) + 1, 3):
        log.write_bytes(raw[:cut])
        assert len(read_records(log).records) == sum(end <= cut for end in line_ends(raw)) - 1


@pytest.mark.parametrize(
    "tail",
    [
        b"\0" * 4096,
        b"\xff\xfe garbage",
        b'["00000000",{}]\n',
        b"\n\n\n",
        b'["',
        b"\0" * 300 + b"\n",
    ],
)
def test_a_tail_of_rubbish_is_cut_reported_and_kept_beside(log: Path, tail: bytes) -> None:
    whole = log.read_bytes()
    log.write_bytes(whole + tail)
    journal = open_journal(log, stamp, fsync=False)
    assert journal.head()[0] == 3
    assert f"the last {len(tail)} bytes were torn" in journal.report[0]
    journal.close()
    assert log.read_bytes() == whole
    assert (log.parent / "logbook.jsonl.cut").read_bytes() == tail


def test_zeros_in_place_of_the_last_bytes_are_a_torn_end(log: Path) -> None:
    """After power loss a file may have its length and not its bytes."""
    raw = log.read_bytes()
    start = line_ends(raw)[2]
    for place in range(start, len(raw)):
        log.write_bytes(raw[:place] + bytes(len(raw) - place))
        assert [record["id"] for record in read_records(log).records] == ["id-1", "id-2"]


def test_the_report_tells_a_cut_write_from_an_end_that_may_have_been_acknowledged(
    log: Path,
) -> None:
    raw = log.read_bytes()
    log.write_bytes(raw[:-5])
    cut = opened("file", log.parent)
    cut.close()
    log.write_bytes(raw[:-9] + b"?" + raw[-8:])
    whole_line = opened("file", log.parent)
    whole_line.close()
    assert "nothing acknowledged was in it" in cut.report[0]
    assert "pitcrew verify --head" in whole_line.report[0]


def test_any_flipped_bit_before_the_last_line_is_refused_with_its_line(log: Path) -> None:
    raw = log.read_bytes()
    starts = [0, *line_ends(raw)]
    for place in range(starts[3]):
        for bit in (0x01, 0x20):
            broken = bytearray(raw)
            broken[place] ^= bit
            log.write_bytes(bytes(broken))
            number = sum(start <= place for start in starts)
            with pytest.raises(Damaged) as caught:
                open_journal(log, stamp, fsync=False)
            assert f"line {number}" in caught.value.sentence
            assert log.read_bytes() == bytes(broken)


def test_a_flipped_bit_in_the_last_line_never_yields_another_entry(log: Path) -> None:
    raw = log.read_bytes()
    for place in range(line_ends(raw)[2], len(raw)):
        broken = bytearray(raw)
        broken[place] ^= 0x04
        log.write_bytes(bytes(broken))
        assert [record["id"] for record in read_records(log).records] == ["id-1", "id-2"]


@pytest.mark.parametrize("order", [[0, 1, 3], [0, 2, 3], [0, 2, 1, 3], [0, 1, 1, 2, 3]])
def test_lines_removed_moved_or_doubled_are_refused_by_the_server_and_read_by_verify(
    log: Path, order: list[int]
) -> None:
    lines = log.read_bytes().splitlines(keepends=True)
    log.write_bytes(b"".join(lines[number] for number in order))
    with pytest.raises(Damaged, match=r"holds entry \d where entry \d is due"):
        open_journal(log, stamp)
    assert len(read_records(log).records) == len(order) - 1


def test_the_way_out_of_a_damaged_middle_works(log: Path) -> None:
    """The message names a command; what it keeps is a valid log."""
    raw = log.read_bytes().split(b"\n")
    log.write_bytes(b"\n".join([raw[0], raw[1], b"x" + raw[2], raw[3], b""]))
    with pytest.raises(Damaged) as caught:
        read_records(log)
    command = caught.value.sentence.partition(": head ")[2].partition(",")[0]
    subprocess.run(f"head {command}", shell=True, check=True, cwd=log.parent)
    os.replace(log.parent / "part.jsonl", log)
    assert [record["id"] for record in read_records(log).records] == ["id-1"]


def test_an_empty_file_begins_anew_and_a_strange_one_is_refused_untouched(tmp_path: Path) -> None:
    place = tmp_path / "logbook.jsonl"
    place.touch()
    journal = opened("file", tmp_path)
    assert journal.head() == (0, "")
    journal.close()
    for strange in (
        encode_line({"hello": 1}) + encode_line({"seq": 1}),
        b"\x89PNG\r\n",
        b"A letter to the team\n",
        b"no line at all",
    ):
        place.write_bytes(strange)
        with pytest.raises(Damaged, match="line 1"):
            opened("file", tmp_path)
        assert place.read_bytes() == strange


def test_a_log_that_is_not_there_is_said_and_not_made_unasked(tmp_path: Path) -> None:
    nowhere = tmp_path / "nowhere.jsonl"
    with pytest.raises(Missing):
        open_journal(nowhere, stamp)
    assert read_records(nowhere).records == []
    assert not nowhere.exists()
    with pytest.raises(PitcrewError, match="cannot be opened for writing"):
        open_journal(tmp_path / "no folder" / "logbook.jsonl", stamp, create=True)


def test_reading_beside_a_writer_sees_the_whole_lines_and_touches_nothing(log: Path) -> None:
    journal = open_journal(log, stamp, fsync=False)
    with log.open("ab") as half_written:
        half_written.write(encode_line(draft(4))[:40])
    before = log.read_bytes()
    read = read_records(log)
    assert [record["id"] for record in read.records] == ["id-1", "id-2", "id-3"]
    assert read.log == journal.log
    assert "40 bytes after entry 3" in read.report[0]
    assert log.read_bytes() == before
    journal.close()


@pytest.mark.parametrize("meddle", ["replaced", "removed", "cut", "longer"])
def test_a_file_changed_under_the_server_stores_nothing_more(log: Path, meddle: str) -> None:
    """An editor that saves puts another file in the place of ours; what is written to the old one
    would be lost."""
    journal = open_journal(log, stamp, fsync=False)
    raw = log.read_bytes()
    if meddle == "replaced":
        (log.parent / "saved").write_bytes(raw)
        os.replace(log.parent / "saved", log)
    elif meddle == "removed":
        log.unlink()
    else:
        os.truncate(log, len(raw) - 10 if meddle == "cut" else len(raw) + 10)
    changed = log.read_bytes() if log.exists() else None
    with pytest.raises(Damaged, match="another program"):
        journal.append([draft(4)])
    assert journal.head()[0] == 3
    assert (log.read_bytes() if log.exists() else None) == changed
    journal.close()
