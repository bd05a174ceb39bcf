"""The Chromium of the system, and the flags with which it runs without a screen."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from pitcrew.pit.tls import CertificateFiles

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium_path() -> str:
    """Where Chromium lies; without one the test is skipped, saying so."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("no chromium on PATH: this test drives a real browser (apt install chromium)")
    return found


def windowless_path() -> str:
    """Where Chromium without windows lies: the same engine, which opens a page at a seventh of the
    cost; else Chromium itself."""
    return shutil.which("chromium-headless-shell") or chromium_path()


@contextmanager
def browser_that_trusts(
    files: CertificateFiles, home: Path, names: str = "MAP * 127.0.0.1", *flags: str
) -> Iterator[Any]:
    """Chromium with the root in a store of its own; every name leads to this machine, or where
    `names` says."""
    from playwright.sync_api import sync_playwright

    tool = shutil.which("certutil")
    if tool is None:
        pytest.skip(
            "certutil is not installed, so no root can be put into Chromium's store (apt install"
            " libnss3-tools)"
        )
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    subprocess.run([tool, "-N", "-d", f"sql:{store}", "--empty-password"], check=True)
    subprocess.run(
        [tool, "-A", "-d", f"sql:{store}", "-t", "C,,", "-n", "pit", "-i", files.root], check=True
    )
    with sync_playwright() as started:
        chromium = started.chromium.launch(
            executable_path=chromium_path(),
            headless=True,
            args=[*FLAGS, f"--host-resolver-rules={names}", *flags],
            env={**os.environ, "HOME": str(home)},
        )
        yield chromium
        chromium.close()
