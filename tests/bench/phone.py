"""What the phone costs: the app's weight, a cold start without the laptop to a usable Walk on a slow phone, a code's drawing.

Chromium with its processor slowed down four times, as a middling phone; every start is a fresh tab of a phone that has the app.
"""

import gzip
import json
import tempfile
import urllib.request
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from tests.browser.chromium import FLAGS, chromium_path
from tests.browser.laptop import SLACK, Laptop
from tests.browser.phone import SIZE, Phone

STARTS = 7
SLOWER = 4
PLAIN = "<!doctype html><title>plain</title><p>nothing"
CODES = """async () => {
  const { need } = await import(document.querySelector("script[type=module]").src);
  const { encode } = need("lib/qr.js");
  const bytes = crypto.getRandomValues(new Uint8Array(520));
  encode(bytes, { version: 15, level: "L" });
  const start = performance.now();
  for (let number = 0; number < 20; number += 1) encode(bytes, { version: 15, level: "L" });
  return (performance.now() - start) / 20;
}"""


def main() -> None:
    """Print the figures."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        laptop = Laptop(Path(folder) / "pit").make().start()
        print(f"phone: the whole app packed is {weight(laptop) / 1024:.0f} KB (wanted: at most 120)")
        browser = started.chromium.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
        phone = Phone(browser.new_context(viewport=SIZE, is_mobile=True, has_touch=True), laptop).join()
        laptop.kill()
        cold = median(start(phone, f"{laptop.url}/walk?check={SLACK}", "text=Off and at rest") for _ in range(STARTS))
        bare = median(start(phone, f"data:text/html,{PLAIN}", "p") for _ in range(STARTS))
        print(f"phone: cold start offline to a usable Walk, {SLOWER} times slowed: {cold:.2f} s (wanted: at most 1.0), "
              f"{cold / bare:.1f} times an empty page")
        phone.go("/handing-over")
        print(f"phone: one code of version 15 takes {phone.tab.evaluate(CODES):.1f} ms, not slowed")
        browser.close()


def weight(laptop: Laptop) -> int:
    """Bytes of all that the service worker keeps, and of itself, each packed."""
    worker = fetched(laptop, "/sw.js")
    files = json.loads(worker.decode().split("const FILES = ", 1)[1].split(";", 1)[0])
    return sum(min(len(data), len(gzip.compress(data))) for data in [worker, *(fetched(laptop, path) for path in ["/shell", *files])])


def fetched(laptop: Laptop, path: str) -> bytes:
    with urllib.request.urlopen(laptop.url + path) as answer:
        return answer.read()


def start(phone: Phone, address: str, ready: str) -> float:
    """Seconds from asking for a page in a fresh, slowed tab until `ready` stands in it."""
    tab: Any = phone.open_tab()
    session = phone.context.new_cdp_session(tab)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    begun = perf_counter()
    tab.goto(address, wait_until="commit")
    tab.wait_for_selector(ready)
    taken = perf_counter() - begun
    tab.close()
    return taken


if __name__ == "__main__":
    main()
