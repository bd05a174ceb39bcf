"""The log file: a header line, then one checksummed line per record, appended and fsynced, never rewritten.

A torn last line (a crash in the middle of a write) is cut and reported. Damage with intact lines after it is refused: any
prefix of the file is a valid log, so the way out is to keep the part before it.
"""

import errno
import os
import re
import uuid
from pathlib import Path
from typing import Any

from tinydb.storages import Storage

from pitcrew.errors import Damaged, DiskFull, Missing
from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.journal import ReadLog, Record

FORMAT = 1
TABLE = "entries"


def read_file(path: Path) -> tuple[ReadLog, int]:
    """The intact records of a log file and the length of that intact part in bytes. Raises Missing and Damaged."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise Missing(f"{path} does not exist. Is this the pit folder?") from None
    lines = raw.split(b"\n")
    records: list[Record] = []
    good = 0
    for number, line in enumerate(lines[:-1], 1):
        record = decode_line(line)
        if record is None:
            _refuse_damaged_middle(path, number, lines[number - 1 :])
            break
        records.append(record)
        good += len(line) + 1
    torn = len(raw) - good
    report = [f"{path.name}: a torn last line of {torn} bytes was left out; nothing acknowledged was in it."] if torn else []
    if not records:
        return ReadLog("", [], report), 0
    header = records[0]
    if header.get("format") != FORMAT or not isinstance(header.get("log"), str):
        raise Damaged(f"{path}, line 1: this is not a pitcrew log of format {FORMAT}. Put back a copy of the file.")
    return ReadLog(header["log"], records[1:], report), good


def _refuse_damaged_middle(path: Path, number: int, rest: list[bytes]) -> None:
    if any(_holds_a_record(line) for line in rest):
        raise Damaged(
            f"{path}, line {number} is damaged, and intact entries follow it. Nothing was changed. Put back a copy of the file; or, "
            f"to go on with what stands before the damage, keep this file aside and keep its first {number - 1} lines: "
            f"head -n {number - 1} {path.name} > intact.jsonl"
        )


def _holds_a_record(line: bytes) -> bool:
    """Whether an intact record stands anywhere in a damaged line (its own beginning or the newline before it may be hurt)."""
    starts = (found.start() for found in re.finditer(rb'\["', line))
    return any(decode_line(line[start:]) is not None for start in starts)


class LinesStorage(Storage):
    """TinyDB's storage over a log file: `read` gives the records, `append` adds some; nothing can be rewritten."""

    def __init__(self, path: Path, *, create: bool = False, fsync: bool = True) -> None:
        """Open or create the file; cut a torn tail. Raises Missing and Damaged."""
        self._path = path
        self._fsync = fsync
        if create and (not path.exists() or path.stat().st_size == 0):
            self._create()
        (self.log, self._records, self.report), self._length = read_file(path)
        if not self.log:
            self._create()
            (self.log, self._records, _), self._length = read_file(path)
        self._handle = self._open()

    def read(self) -> dict[str, dict[str, Any]]:
        """All records, by number, as TinyDB wants them."""
        return {TABLE: {str(record["seq"]): record for record in self._records}}

    def write(self, data: dict[str, dict[str, Any]]) -> None:
        """Refused: the log is never rewritten."""
        raise TypeError("the log is append-only; use append()")

    def records(self) -> list[Record]:
        """The records that stood in the file when it was opened; handed over once."""
        records, self._records = self._records, []
        return records

    def append(self, records: list[Record]) -> None:
        """Write records and wait until the disk has them. Raises DiskFull; then the file is as it was before."""
        data = b"".join(encode_line(record) for record in records)
        try:
            self._write(data)
        except OSError as error:
            self._recover()
            full = error.errno in (errno.ENOSPC, errno.EDQUOT)
            reason = "The disk is full" if full else f"The disk does not take it ({error.strerror})"
            raise DiskFull(f"{reason}: this is not stored on the laptop. Keep it, free some space, and send it again.") from error
        self._length += len(data)

    def close(self) -> None:
        """Close the file."""
        os.close(self._handle)

    def _create(self) -> None:
        header = encode_line({"format": FORMAT, "log": uuid.uuid4().hex})
        with open(self._path, "wb") as file:
            file.write(header)
            file.flush()
            os.fsync(file.fileno())
        if os.name == "posix":
            folder = os.open(self._path.parent, os.O_RDONLY)
            try:
                os.fsync(folder)
            finally:
                os.close(folder)

    def _open(self) -> int:
        """A handle at the end of the intact part; what lies behind it is cut."""
        handle = os.open(self._path, os.O_RDWR | getattr(os, "O_BINARY", 0))
        os.ftruncate(handle, self._length)
        os.lseek(handle, self._length, os.SEEK_SET)
        return handle

    def _write(self, data: bytes) -> None:
        view = memoryview(data)
        while view:
            view = view[os.write(self._handle, view) :]
        if self._fsync:
            sync(self._handle)

    def _recover(self) -> None:
        """After a failed write or fsync: never try the fsync again; close, open anew, cut the tail."""
        try:
            os.close(self._handle)
        finally:
            self._handle = self._open()


def sync(handle: int) -> None:
    """Wait until the drive itself has the bytes (on macOS fsync alone does not ask the drive)."""
    try:
        import fcntl

        full = getattr(fcntl, "F_FULLFSYNC", None)
    except ImportError:
        full = None
    if full is None:
        os.fsync(handle)
    else:
        fcntl.fcntl(handle, full)
