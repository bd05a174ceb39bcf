"""The smoke set in other engines than Chromium: install, reload with the laptop dead, save, come
back, exchange.

Stock Firefox ESR over Playwright, and WebKitGTK, the nearest to an iPhone's engine that runs here,
over its own WebDriver.
"""

import json
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from pitcrew.base.paths import ROOT  # noqa: E402
from tests.browser.laptop import Laptop  # noqa: E402
from tests.browser.phone import SIZE, Phone  # noqa: E402

pytestmark = pytest.mark.browser
MINI_BROWSER = Path("/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/MiniBrowser")


@pytest.fixture
def laptop(tmp_path):
    made = Laptop(tmp_path / "pit").make().start()
    yield made
    made.kill()


def assert_once(laptop, kind="reading"):
    count = Counter(record["kind"] for record in laptop.records())
    assert count[kind] == 1


def test_firefox(laptop):
    firefox = shutil.which("firefox-esr")
    if firefox is None:
        pytest.skip(
            "no firefox-esr on PATH: the smoke set in Firefox is left out (apt install firefox-esr)"
        )
    with playwright.sync_playwright() as started:
        browser = started.firefox.launch(
            channel="moz-firefox", executable_path=firefox, headless=True
        )
        phone = Phone(browser.new_context(viewport=SIZE), laptop).join()
        laptop.kill()
        phone.go("/now")
        phone.tab.wait_for_selector("[data-as-of]")
        phone.measure("9.7")
        phone.tab.reload()
        assert len(phone.unsent()) == 1
        laptop.start()
        phone.hand_over()
        assert_once(laptop)
        browser.close()


def test_webkit(laptop):
    """In a process of its own, under a screen and a bus of its own."""
    lacking = [
        name
        for name in ("WebKitWebDriver", "xvfb-run", "dbus-run-session")
        if shutil.which(name) is None
    ]
    if lacking or not MINI_BROWSER.exists():
        pytest.skip(
            f"WebKitGTK cannot run here, {', '.join(lacking) or MINI_BROWSER} missing: the smoke"
            " set in it is left out"
        )
    pytest.importorskip(
        "selenium", reason="selenium is not installed: the smoke set in WebKitGTK is left out"
    )
    smoke = [
        sys.executable,
        "-m",
        "tests.browser.webkit_smoke",
        str(laptop.folder),
        str(laptop.port),
    ]
    command = ["xvfb-run", "-a", "dbus-run-session", "--", *smoke]
    laptop.kill()
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, timeout=240, check=False
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    assert json.loads(done.stdout.splitlines()[-1]) == {"alone": True, "unsent": 1, "left": 0}
    assert_once(laptop)
