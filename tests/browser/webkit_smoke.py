"""The smoke set in WebKitGTK: `python -m tests.browser.webkit_smoke FOLDER PORT`, under xvfb-run
and dbus-run-session.

Prints what it found as one line of JSON. The browser keeps nothing between runs, so there is no
cold start here.
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service

from tests.browser.kept import READ
from tests.browser.laptop import SLACK, Laptop
from tests.browser.phone import ALONE

BROWSER = "/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/MiniBrowser"
PATIENCE = 30


def wait(true: Callable[[], Any]) -> Any:
    """Wait until something is true; errors of a page that is just loading count as not yet."""
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        try:
            if found := true():
                return found
        except Exception as problem:
            last = problem
        time.sleep(0.1)
    raise AssertionError(f"this did not come true: {locals().get('last')}")


class Page:
    """The browser's one tab."""

    def __init__(self) -> None:
        options = Options()
        options.binary_location = BROWSER
        options.add_argument("--automation")
        self.driver = webdriver.WebKitGTK(
            options=options, service=Service("/usr/bin/WebKitWebDriver")
        )

    def ask(self, expression: str) -> Any:
        """The value of an expression, promises waited for."""
        waited = f"Promise.resolve({expression}).then(done, (error) => done(String(error)));"
        return self.driver.execute_async_script(f"const done = arguments[0]; {waited}")

    def press(self, words: str) -> None:
        """Press the button that says so, once it is there."""
        found = (
            "[...document.querySelectorAll('button')].find((button) => button.textContent.trim()"
            f" === {json.dumps(words)})"
        )
        wait(
            lambda: self.ask(
                f"(() => {{ const found = {found}; found?.click(); return Boolean(found); }})()"
            )
        )

    def fill(self, selector: str, text: str) -> None:
        wait(lambda: self.driver.find_element(By.CSS_SELECTOR, selector)).send_keys(text)

    def unsent(self) -> int:
        """How many entries wait on the phone."""
        return sum(item["state"] == "unsent" for item in self.ask(f"({READ})('outbox')"))


def main(folder: Path, port: int) -> dict[str, Any]:
    """Install, laptop dead, save, reload, laptop back, exchange."""
    laptop = Laptop(folder)
    laptop.port = port
    laptop.start()
    page = Page()
    try:
        page.driver.get(f"{laptop.url}/join#{laptop.code()}")
        wait(lambda: page.ask("document.querySelector('#code').value !== ''"))
        page.fill("#name", "Ivo")
        page.press("Join")
        wait(lambda: page.ask("location.pathname === '/now'"))
        alone = wait(lambda: page.ask(ALONE))
        wait(lambda: any("readiness" in item for item in page.ask(f"({READ})('kept')")))
        laptop.kill()
        page.driver.get(f"{laptop.url}/walk?check={SLACK}")
        page.press("Off and at rest")
        page.fill("#input-travel", "9.7")
        page.press("Keep and next")
        wait(lambda: page.unsent() == 1)
        page.driver.get(f"{laptop.url}/now")
        wait(lambda: page.ask("Boolean(document.querySelector('[data-as-of]'))"))
        unsent = page.unsent()
        laptop.start()
        wait(
            lambda: (
                page.ask("dispatchEvent(new Event('online'))") is not None and page.unsent() == 0
            )
        )
        return {"alone": alone, "unsent": unsent, "left": page.unsent()}
    finally:
        page.driver.quit()
        laptop.kill()


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]))))
