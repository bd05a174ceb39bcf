"""The Chromium of the system, and the flags with which it runs without a screen."""

import shutil

import pytest

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
]


def chromium_path() -> str:
    """Where Chromium lies; without one the test is skipped, saying so."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.skip("no chromium on PATH: this test drives a real browser (apt install chromium)")
    return found
