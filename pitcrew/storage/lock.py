"""One server per pit folder. The lock is the operating system's, so a killed holder gives it back
by dying.

The lock file (mode 0600) tells who holds it, where that server listens, and a secret by which
commands on this laptop hand their work over to it.
"""

import json
import os
import secrets
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from pitcrew.base.errors import Locked

LOCK_FILE = "server.lock"
_TRIES = 25
_PAUSE = 0.02
_LOCKED_BYTE = 1 << 30


class FolderLock:
    """The folder's lock as a context manager. Entering raises Locked naming the holder."""

    def __init__(self, folder: Path, info: dict[str, Any]) -> None:
        """`info` is shown to whoever asks for the holder (`port`, `scheme`, `started`, or
        `command`)."""
        self.secret = secrets.token_hex(16)
        self._folder = folder
        self._info = {"pid": os.getpid(), **info, "secret": self.secret}
        self._handle = -1

    def __enter__(self) -> Self:
        handle = os.open(self._folder / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            if not _take_patiently(handle):
                raise Locked(_who(self._folder, _read_info(handle)))
            if os.name == "posix":
                os.fchmod(handle, 0o600)
            _write_info(handle, self._info)
        except BaseException:
            os.close(handle)
            raise
        self._handle = handle
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        os.ftruncate(self._handle, 0)
        os.close(self._handle)


def read_holder(folder: Path) -> dict[str, Any] | None:
    """What the present holder of the folder's lock says of itself, or None when no one holds it."""
    try:
        handle = os.open(folder / LOCK_FILE, os.O_RDWR)
    except FileNotFoundError:
        return None
    try:
        return None if _take(handle, shared=True) else _read_info(handle)
    finally:
        os.close(handle)


def _who(folder: Path, info: dict[str, Any]) -> str:
    what = f"pitcrew {info['command']}" if info.get("command") else "another pitcrew"
    place = (
        f", at {info.get('scheme', 'http')}://localhost:{info['port']}" if info.get("port") else ""
    )
    since = f", since {info['started']}" if info.get("started") else ""
    return (
        f"{folder} is held by {what} (process {info.get('pid', 'unknown')}{place}{since}). Use that"
        " one, or stop it first."
    )


def _read_info(handle: int) -> dict[str, Any]:
    """The holder's words; none while it is just writing them. Bytes after them are of an earlier
    holder."""
    os.lseek(handle, 0, os.SEEK_SET)
    try:
        info, _ = json.JSONDecoder().raw_decode(os.read(handle, 65536).decode())
    except ValueError:
        return {}
    return info if isinstance(info, dict) else {}


def _write_info(handle: int, info: dict[str, Any]) -> None:
    data = json.dumps(info).encode()
    os.lseek(handle, 0, os.SEEK_SET)
    os.write(handle, data)
    os.ftruncate(handle, len(data))


def _take_patiently(handle: int) -> bool:
    """Take the lock; a short wait passes over those who only ask who holds it."""
    for _ in range(_TRIES):
        if _take(handle):
            return True
        time.sleep(_PAUSE)
    return False


def _take(handle: int, shared: bool = False) -> bool:
    """Try to take the operating system's lock on an open file; on Windows on a byte far behind its
    text, which stays readable."""
    try:
        if os.name == "nt":
            import msvcrt

            os.lseek(handle, _LOCKED_BYTE, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(handle, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
