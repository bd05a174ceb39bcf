"""The log file: a header line, then one checksummed line per record, appended and fsynced, never
rewritten.

A torn last line (a crash in the middle of a write) is cut and reported, its bytes kept beside the
file. Damage with intact lines after it is refused: any prefix of the file is a valid log, so the
way out is to keep the part before it.
"""

import errno
import gc
import os
import re
import uuid
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, NamedTuple

from pitcrew.base.errors import Damaged, DiskFull, Missing, PitcrewError
from pitcrew.storage.codec import decode_line, encode_line
from pitcrew.storage.durable import replace_whole, sync
from pitcrew.storage.journal import LogRecord
from pitcrew.storage.table import TABLE, EntryStorage
from pitcrew.storage.torn import is_whole, may_have_been

FORMAT = 1
_FULL = (errno.ENOSPC, errno.EDQUOT)


class Scan(NamedTuple):
    """What a log file holds: its id, the intact records, their length with the header in bytes, and
    the bytes that follow that."""

    log: str
    records: list[LogRecord]
    length: int
    end: bytes

    @property
    def torn(self) -> int:
        """How many bytes follow the intact lines."""
        return len(self.end)


def scan(path: Path) -> Scan:
    """Read a log file without changing it. Raises Missing and, for damage that is not just a torn
    end, Damaged."""
    records: list[LogRecord] = []
    length = 0
    try:
        file = path.open("rb")
    except FileNotFoundError:
        raise Missing(f"{path} does not exist. Is this the pit folder?") from None
    with file, collector_resting():
        log = _read_header(path, header := file.readline())
        for number, line in enumerate(file, 2):
            record = decode_line(line)
            if record is None:
                if any(_holds_record(damaged) for damaged in (line, *file)):
                    raise Damaged(
                        f"{path}, line {number} is damaged, and intact entries follow it."
                        f" {_way_out(path, number)}"
                    )
                break
            records.append(record)
            length += len(line)
        length += len(header)
        file.seek(length)
        return Scan(log, records, length, file.read())


def create_log(path: Path) -> None:
    """Make an empty log with a new id, whole or not at all."""
    _write_log(path, _header(1), b"")


def _header(generation: int) -> dict[str, Any]:
    return {"format": FORMAT, "log": uuid.uuid4().hex, "generation": generation}


def _write_log(path: Path, header: dict[str, Any], lines: bytes) -> None:
    """Put a log with this header and these record lines in the place of `path`, whole or not at
    all."""
    replace_whole(path, encode_line(header) + lines)


class LinesStorage(EntryStorage):
    """TinyDB's storage over a log file."""

    def __init__(self, path: Path, *, create: bool = False, fsync: bool = True) -> None:
        """Open the file, with `create` make it where there is none; cut a torn end. Raises Missing,
        Damaged, PitcrewError."""
        self._path = path
        self._fsync = fsync
        try:
            if create and not (path.exists() and path.stat().st_size):
                create_log(path)
            self.log, self._loaded, self._length, end = scan(path)
            _refuse_gaps(path, self._loaded)
            self.report = [_keep_torn_end(path, end)] if end else []
            self.cut = may_have_been(end) if is_whole(end) else ""
            self.torn = 0 if self.cut else len(end)
            self._handle = self._open()
        except OSError as error:
            raise PitcrewError(
                f"{path} cannot be opened for writing ({error.strerror}). Check the folder and who"
                " owns it."
            ) from error

    def read(self) -> dict[str, dict[str, Any]]:
        """All records as they are in the file, by number, as TinyDB wants them."""
        return {TABLE: {str(record["seq"]): record for record in scan(self._path).records}}

    def take_loaded(self) -> list[LogRecord]:
        """The records that the file held when it was opened; handed over once."""
        loaded, self._loaded = self._loaded, []
        return loaded

    def append(self, records: Sequence[LogRecord]) -> None:
        """Write records and wait until the disk has them. Raises DiskFull; then the file is as it
        was before."""
        data = b"".join(map(encode_line, records))
        self._check_untouched()
        try:
            self._write(data)
        except OSError as error:
            self._reopen()
            raise _not_stored(error) from error
        except BaseException:
            self._reopen()
            raise
        self._length += len(data)

    def renew(self) -> None:
        """Write the same records under a new id into a new file, which then takes the place of this
        one."""
        self._check_untouched()
        try:
            with self._path.open("rb") as file:
                header = _header((decode_line(file.readline()) or {}).get("generation", 1) + 1)
                lines = file.read()
            self.close()
            _write_log(self._path, header, lines)
            self.log, self._length = header["log"], len(encode_line(header)) + len(lines)
            self._handle = self._open()
        except OSError as error:
            raise _not_stored(error) from error

    def close(self) -> None:
        """Close the file."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1

    def _open(self) -> int:
        """A handle at the end of the durable part; what lies behind it is cut. A file that is
        shorter stays so."""
        handle = os.open(self._path, os.O_RDWR | getattr(os, "O_BINARY", 0))
        if os.lseek(handle, 0, os.SEEK_END) > self._length:
            os.ftruncate(handle, self._length)
            os.lseek(handle, self._length, os.SEEK_SET)
        return handle

    def _write(self, data: bytes) -> None:
        view = memoryview(data)
        while view:
            view = view[os.write(self._handle, view) :]
        if self._fsync:
            sync(self._handle)

    def _check_untouched(self) -> None:
        """Raise Damaged when another program (an editor, a synced folder) changed or replaced the
        file under the server."""
        try:
            if self._handle < 0:
                self._handle = self._open()
            ours = os.fstat(self._handle)
            same = ours.st_size == self._length and os.path.samestat(os.stat(self._path), ours)
        except FileNotFoundError:
            same = False
        except OSError as error:
            raise _not_stored(error) from error
        if not same:
            raise Damaged(
                f"{self._path} was changed, replaced or removed by another program while the server"
                " ran, so nothing more is stored. Keep what was sent, stop the server, put the"
                " file back as it was, and start again."
            )

    def _reopen(self) -> None:
        """After a failed write or fsync: never try the fsync again; close, open again, cut the
        tail, now or at the next append."""
        with suppress(OSError):
            os.close(self._handle)
        self._handle = -1
        with suppress(OSError):
            self._handle = self._open()


@contextmanager
def collector_resting() -> Iterator[None]:
    """Keep the garbage collector from walking over the growing log again and again: half of the
    time of a load."""
    worked = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if worked:
            gc.enable()


def _holds_record(line: bytes) -> bool:
    """Whether an intact record stands somewhere in damaged bytes: the newline before it may be what
    was hurt."""
    return any(
        decode_line(line[found.start() :]) is not None for found in re.finditer(rb'\["', line)
    )


def _read_header(path: Path, line: bytes) -> str:
    header = decode_line(line) or {}
    if header.get("format") != FORMAT or not isinstance(header.get("log"), str):
        raise Damaged(
            f"{path}, line 1 is not the header of a logbook of format {FORMAT}. Nothing was"
            " changed. The first line never changes: put it back from any older copy of this file,"
            " or put back a whole copy."
        )
    return header["log"]


def _refuse_gaps(path: Path, records: list[LogRecord]) -> None:
    """Raise Damaged unless the numbers run 1, 2, 3, …: whole lines were removed, doubled or
    moved."""
    for due, record in enumerate(records, 1):
        if record.get("seq") != due:
            raise Damaged(
                f"{path}, line {due + 1} holds entry {record.get('seq')} where entry {due} is due."
                f" {_way_out(path, due + 1)}"
            )


def _way_out(path: Path, number: int) -> str:
    return (
        "Nothing was changed. First copy the file away. Then put back a whole copy; or go on with"
        f" what stands before line {number}, which is a valid log: head -n {number - 1} {path.name}"
        f" > part.jsonl, rename it to {path.name}, and run pitcrew verify. Phones still hold what"
        " they sent."
    )


def _keep_torn_end(path: Path, end: bytes) -> str:
    """Keep the bytes that are about to be cut, where the disk has room, and say what was found."""
    aside = path.with_name(path.name + ".cut")
    kept = f"kept in {aside.name}"
    try:
        with aside.open("ab") as file:
            file.write(end)
    except OSError as error:
        kept = f"not kept: {error.strerror}"
    what = f"{path.name}: the last {len(end)} bytes were torn and were cut ({kept})"
    if not is_whole(end):
        return f"{what}. It was a write cut short by a crash; nothing acknowledged was in it."
    return (
        f"{what}. An entry is lost: {may_have_been(end)}. Phones may still hold it; to know what is"
        " missing: pitcrew verify --head with the head of the last sheet."
    )


def _not_stored(error: OSError) -> DiskFull:
    reason = (
        "The disk is full"
        if error.errno in _FULL
        else f"The disk does not take it ({error.strerror})"
    )
    return DiskFull(
        f"{reason}: this is not stored on the laptop. Keep it, free some space, and send it again."
    )
