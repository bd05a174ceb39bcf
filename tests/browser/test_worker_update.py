"""A new version of the app arrives while someone is in the middle of a form: it waits."""

import os
import shutil
import subprocess

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from pitcrew.base.paths import ROOT  # noqa: E402
from tests.browser.chromium import FLAGS, windowless_path  # noqa: E402
from tests.browser.laptop import Laptop  # noqa: E402
from tests.browser.phone import SIZE, Phone, note  # noqa: E402

pytestmark = pytest.mark.browser
PARTS = ("pitcrew", "static", "templates", "checklists")
CACHES = "caches.keys().then((names) => names.filter((name) => name.startsWith('pitcrew-')).sort())"


class CopiedLaptop(Laptop):
    """A laptop that runs a copy of the program, which a test changes as an update does."""

    program = ROOT

    def started(self, command):
        """The server process, run from the copy."""
        return subprocess.Popen(
            command,
            cwd=self.program,
            env={**os.environ, "PYTHONPATH": str(self.program)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
        )


@pytest.fixture
def laptop(tmp_path):
    made = CopiedLaptop(tmp_path / "pit").make()
    made.program = tmp_path / "program"
    for part in PARTS:
        shutil.copytree(
            ROOT / part, made.program / part, ignore=shutil.ignore_patterns("__pycache__")
        )
    made.start()
    yield made
    made.kill()


def update(laptop, number):
    """Change one style sheet: another build."""
    with (laptop.program / "static" / "css" / "base.css").open("a", encoding="utf-8") as sheet:
        sheet.write(f"\n/* version {number} */\n")
    laptop.kill()
    laptop.start()


def look_for_update(phone):
    phone.tab.evaluate(
        "navigator.serviceWorker.getRegistration().then((registration) => registration.update())"
    )
    phone.tab.wait_for_selector("[data-version]:not([hidden])")


def test_a_new_version_waits_for_the_form_and_two_generations_stay(laptop):
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(
            executable_path=windowless_path(), headless=True, args=FLAGS
        )
        phone = Phone(browser.new_context(viewport=SIZE), laptop).join()
        (first,) = phone.tab.evaluate(CACHES)
        phone.context.set_offline(True)
        phone.go("/faults/new")
        phone.tab.fill("#symptom", "half a sentence")
        phone.context.set_offline(False)
        update(laptop, 2)
        look_for_update(phone)
        phone.tab.click("text=Use it now")
        phone.tab.wait_for_selector("text=First keep or leave what is half filled here.")
        assert phone.tab.input_value("#symptom") == "half a sentence"
        assert phone.tab.evaluate(
            "navigator.serviceWorker.getRegistration().then((found) => found.waiting !== null)"
        )
        before = note("handed over by the old version while the new one waits")
        phone.keep(before)
        phone.hand_over()
        assert (
            laptop.times([before]) == [1] and phone.tab.input_value("#symptom") == "half a sentence"
        )
        phone.tab.fill("#symptom", "")
        with phone.tab.expect_event("load"):
            phone.tab.click("text=Use it now")
        caches = phone.tab.evaluate(CACHES)
        assert len(caches) == 2 and first in caches
        after = note("and by the new one")
        phone.keep(after)
        phone.hand_over()
        assert laptop.times([before, after]) == [
            1,
            1,
        ], "nothing lost, nothing doubled over the change"
        update(laptop, 3)
        look_for_update(phone)
        with phone.tab.expect_event("load"):
            phone.tab.click("text=Use it now")
        phone.until(f"{CACHES}.then((names) => names.length === 2 && !names.includes('{first}'))")
        laptop.kill()
        phone.go("/now")
        phone.tab.wait_for_selector("[data-as-of]")
        browser.close()
