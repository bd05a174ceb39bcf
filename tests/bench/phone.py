"""What the phone costs: the app's weight, a cold start without the laptop to a usable Walk on a
slow phone, a digit's verdict, a code's drawing.

Chromium with its processor slowed down four times, as a middling phone. Every start is a fresh tab
of a phone that has the app, its service worker stopped; the page itself says how long it took from
the start of the navigation until the wanted words were painted.
"""

import gzip
import json
import tempfile
import urllib.request
from pathlib import Path
from statistics import median
from typing import Any

from tests.browser.chromium import FLAGS, chromium_path
from tests.browser.laptop import SLACK, Laptop
from tests.browser.phone import SIZE, Phone

STARTS = 7
SLOWER = 4
PLAIN = "data:text/html,<!doctype html><title>plain</title><p>nothing"
WATCH = """(words) => {
  const shown = () => [...document.querySelectorAll("button, p")].some((item) => item.textContent === words);
  new MutationObserver((_, watch) => {
    if (!shown()) return;
    watch.disconnect();
    requestAnimationFrame(() => setTimeout(() => console.log("shown", performance.now())));
  }).observe(document, { childList: true, subtree: true });
}"""
CODES = """async () => {
  const { need } = await import(document.querySelector("script[type=module]").src);
  const { encode } = need("lib/qr.js");
  const bytes = crypto.getRandomValues(new Uint8Array(520));
  encode(bytes, { version: 15, level: "L" });
  const start = performance.now();
  for (let number = 0; number < 20; number += 1) encode(bytes, { version: 15, level: "L" });
  return (performance.now() - start) / 20;
}"""


DIGIT = """() => {
  const box = document.querySelector("#input-travel");
  const times = Array.from({ length: 41 }, (_, number) => {
    box.value = number % 2 ? "9.7" : "14";
    const start = performance.now();
    box.dispatchEvent(new Event("input", { bubbles: true }));
    document.querySelector(".verdict-ok, .verdict-stop").getBoundingClientRect();
    return performance.now() - start;
  });
  return times.sort((one, other) => one - other)[20];
}"""
FRAME = 1000 / 60


def main() -> None:
    """Print the figures."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        laptop = Laptop(Path(folder) / "pit").make().start()
        print(
            f"phone: the whole app packed is {weight(laptop) / 1024:.0f} KB (wanted: at most 120)"
        )
        browser = started.chromium.launch(
            executable_path=chromium_path(), headless=True, args=FLAGS
        )
        phone = Phone(
            browser.new_context(viewport=SIZE, is_mobile=True, has_touch=True), laptop
        ).join()
        laptop.kill()
        walk = f"{laptop.url}/walk?check={SLACK}"
        starts = [
            (start(phone, walk, "Off and at rest"), start(phone, PLAIN, "nothing"))
            for _ in range(STARTS)
        ]
        cold, bare = (median(times) for times in zip(*starts, strict=True))
        print(
            f"phone: cold start offline to a usable Walk, {SLOWER} times slowed: {cold:.2f} s"
            f" (wanted: at most 1.0), {cold / bare:.1f} times an empty page"
        )
        for rate in (1, SLOWER):
            digit = verdict(phone, rate)
            print(
                f"phone: a digit to its verdict laid out, slowed {rate} times: {digit:.1f} ms, "
                f"{digit / FRAME:.2f} frames (wanted: at most 1)"
            )
        phone.go("/handing-over")
        print(f"phone: one code of version 15 takes {phone.tab.evaluate(CODES):.1f} ms, not slowed")
        browser.close()


def verdict(phone: Phone, rate: int) -> float:
    """Milliseconds from a digit's event until the verdict is in the page and laid out, in a tab
    slowed `rate` times."""
    tab = phone.open_tab()
    phone.go(f"/walk?check={SLACK}", tab)
    tab.click("text=Off and at rest")
    phone.context.new_cdp_session(tab).send("Emulation.setCPUThrottlingRate", {"rate": rate})
    return float(tab.evaluate(DIGIT))


def weight(laptop: Laptop) -> int:
    """Bytes of all that the service worker keeps, and of itself, each packed."""
    worker = fetched(laptop, "/sw.js")
    files = json.loads(worker.decode().split("const FILES = ", 1)[1].split(";", 1)[0])
    return sum(
        min(len(data), len(gzip.compress(data)))
        for data in [worker, *(fetched(laptop, path) for path in ["/shell", *files])]
    )


def fetched(laptop: Laptop, path: str) -> bytes:
    with urllib.request.urlopen(laptop.url + path) as answer:
        return answer.read()


def start(phone: Phone, address: str, words: str) -> float:
    """Seconds from the start of a navigation in a fresh, slowed tab until a button or paragraph of
    these words is painted."""
    tab: Any = phone.open_tab()
    session = phone.context.new_cdp_session(tab)
    session.send("ServiceWorker.enable")
    session.send("ServiceWorker.stopAllWorkers")
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    tab.add_init_script(f"({WATCH})({json.dumps(words)})")
    with tab.expect_console_message(lambda message: message.text.startswith("shown")) as said:
        tab.goto(address, wait_until="commit")
    tab.close()
    return float(said.value.text.split()[1]) / 1000


if __name__ == "__main__":
    main()
