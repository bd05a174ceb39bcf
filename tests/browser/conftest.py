"""A laptop and a joined phone for tests in Chromium. Files with needs of their own define their
own."""

import pytest

from tests.browser.chromium import FLAGS, windowless_path
from tests.browser.evidence import leave, watch
from tests.browser.laptop import Laptop
from tests.browser.phone import SIZE, Phone

PATIENCE = 30_000
"""Milliseconds that an expectation waits for what a busy machine will still do."""


@pytest.fixture(scope="module")
def started():
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="playwright is not installed: no browser tests"
    )
    playwright.expect.set_options(timeout=PATIENCE)
    watch()
    with playwright.sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def browser(started):
    """Without windows, for speed. The main job and what asks for trust in certificates run in
    Chromium as people have it."""
    chromium = started.chromium.launch(executable_path=windowless_path(), headless=True, args=FLAGS)
    yield chromium
    chromium.close()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    """A failed test says where its tabs were, how they looked, and where their trace lies."""
    report = yield
    if report.failed and report.when != "teardown":
        report.sections.append(("What the browser showed", leave(item.nodeid)))
    return report


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """One laptop for all tests that leave it alive or bring it back."""
    laptop = Laptop(tmp_path_factory.mktemp("pit") / "pit").make()
    yield laptop
    laptop.kill()


@pytest.fixture
def laptop(shared):
    if shared.process is None:
        shared.start()
    return shared


@pytest.fixture
def own_laptop(tmp_path):
    """A laptop of the test's own, which it may ruin."""
    laptop = Laptop(tmp_path / "pit").make().start()
    yield laptop
    laptop.kill()


@pytest.fixture
def phone(browser, laptop):
    """A joined phone that can work alone; an error of its pages fails the test."""
    context = browser.new_context(viewport=SIZE, has_touch=True, is_mobile=True)
    joined = Phone(context, laptop).join()
    yield joined
    context.close()
    assert joined.complaints == []
