"""Bytes that outlast a pulled plug: a sync that reaches the drive, and files replaced as a
whole."""

import errno
import os
from pathlib import Path

_NO_FULL_SYNC = (errno.ENOTSUP, errno.EINVAL, errno.ENOTTY)


def sync(handle: int) -> None:
    """Wait until the drive itself has the bytes (on macOS fsync alone does not ask the drive)."""
    try:
        import fcntl
    except ImportError:
        return os.fsync(handle)
    full = getattr(fcntl, "F_FULLFSYNC", None)
    if full is None:
        return os.fsync(handle)
    try:
        fcntl.fcntl(handle, full)
    except OSError as error:
        if error.errno not in _NO_FULL_SYNC:
            raise
        os.fsync(handle)  # a drive that cannot be asked; not a second try


def replace_whole(path: Path, content: bytes, mode: int = 0o644, *, durable: bool = True) -> None:
    """Put `content` in the place of `path`: after a crash at any moment the old bytes are there or
    the new ones. Raises OSError.

    Without `durable` that holds for a killed program, not for a pulled plug.
    """
    fresh = path.with_name(path.name + ".new")
    with os.fdopen(
        os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | getattr(os, "O_BINARY", 0), mode),
        "wb",
    ) as file:
        file.write(content)
        file.flush()
        if durable:
            sync(file.fileno())
    os.replace(fresh, path)
    if durable:
        sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Wait until a renamed file is known under its new name; Windows has no such call and needs
    none."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
