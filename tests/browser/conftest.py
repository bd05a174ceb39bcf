"""One Chromium for the tests of a module; how long they wait for what a busy machine will still do."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.chromium import FLAGS, chromium_path

PATIENCE = 30_000
"""Milliseconds that an expectation waits."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A running Chromium."""
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")
    playwright.expect.set_options(timeout=PATIENCE)
    with playwright.sync_playwright() as started:
        chromium = started.chromium.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
        yield chromium
        chromium.close()
