"""One server per pit folder. The lock is the operating system's, so a killed holder gives it back by dying.

The lock file (mode 0600) tells who holds it, where that server listens, and a secret by which commands on this laptop
hand their work over to it.
"""

import json
import os
import secrets
import time
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from pitcrew.errors import Locked

LOCK_FILE = "server.lock"
INFO_FILE = "server.json"
PATIENCE = 0.5


class FolderLock:
    """The folder's lock as a context manager. Entering raises Locked naming the holder."""

    def __init__(self, folder: Path, info: dict[str, Any]) -> None:
        """`info` is told to whoever asks for the holder (`port`, `scheme`, `started`)."""
        self.secret = secrets.token_hex(16)
        self._folder = folder
        self._info = {"pid": os.getpid(), **info, "secret": self.secret}
        self._handle = -1

    def __enter__(self) -> Self:
        self._handle = os.open(self._folder / LOCK_FILE, os.O_RDWR | os.O_CREAT, 0o600)
        end = time.monotonic() + PATIENCE
        while not _take(self._handle):
            if time.monotonic() > end:
                os.close(self._handle)
                raise Locked(_who(self._folder))
            time.sleep(0.02)
        _write_info(self._folder / INFO_FILE, self._info)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        (self._folder / INFO_FILE).unlink(missing_ok=True)
        os.close(self._handle)


def read_holder(folder: Path) -> dict[str, Any] | None:
    """What the present holder of the folder's lock says of itself, or None when nobody holds it."""
    try:
        handle = os.open(folder / LOCK_FILE, os.O_RDWR)
    except FileNotFoundError:
        return None
    try:
        if _take(handle):
            return None
    finally:
        os.close(handle)
    return _read_info(folder)


def _read_info(folder: Path) -> dict[str, Any]:
    try:
        return json.loads((folder / INFO_FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}


def _who(folder: Path) -> str:
    info = _read_info(folder)
    place = f", at {info.get('scheme', 'http')}://localhost:{info['port']}" if info.get("port") else ""
    since = f", since {info['started']}" if info.get("started") else ""
    return f"{folder} is held by another pitcrew (process {info.get('pid', 'unknown')}{place}{since}). Use that one, or stop it first."


def _write_info(path: Path, info: dict[str, Any]) -> None:
    fresh = path.with_suffix(".new")
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
        json.dump(info, file)
    os.replace(fresh, path)


def _take(handle: int) -> bool:
    """Try to take the operating system's lock on an open file."""
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
