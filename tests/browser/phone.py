"""A phone for browser tests: a tab that has joined, takes readings and is looked into from
outside."""

from io import BytesIO
from pathlib import Path
from typing import Any

from pitcrew.base.clock import format_instant, system_clock
from pitcrew.base.entries import new_id
from tests.browser.kept import READ, kept, unsent
from tests.browser.laptop import SLACK, Laptop

SIZE = {"width": 390, "height": 844}
STEP = 50
TRYING = """import(document.querySelector("script[type=module]").src)
  .then(({ need }) => need("sync/keep_trying.js").progress().running)"""
ALONE = "navigator.serviceWorker.ready.then(() => navigator.serviceWorker.controller !== null)"


def note(text: str) -> dict[str, Any]:
    """A note as a phone makes it."""
    now = system_clock()
    body = {"text": text}
    return {
        "id": new_id(now),
        "kind": "note",
        "at": format_instant(now),
        "robot": None,
        "match": None,
        "body": body,
        "shape": 1,
    }


def jpeg(width: int, height: int) -> bytes:
    """A picture that does not pack to nothing."""
    from PIL import Image

    out = BytesIO()
    Image.effect_noise((width // 8, height // 8), 60).resize((width, height)).convert("RGB").save(
        out, "JPEG", quality=85
    )
    return out.getvalue()


class Phone:
    """One tab of one phone. `complaints` holds what its pages complain of, failed loads left
    out."""

    def __init__(self, context: Any, laptop: Laptop) -> None:
        self.context, self.laptop = context, laptop
        context.set_default_timeout(40_000)
        self.tab = self.open_tab()
        self.complaints: list[str] = []

    def open_tab(self) -> Any:
        """Another tab of the same phone."""
        tab = self.context.new_page()
        tab.on("pageerror", lambda error: self.complaints.append(str(error)))
        tab.on(
            "console",
            lambda message: (
                self.complaints.append(message.text) if "Content Security" in message.text else None
            ),
        )
        return tab

    def join(self, name: str = "Ivo", whole: bool = True) -> "Phone":
        """Join with a code, and wait until a worker is in charge and, unless not `whole`, what the
        phone needs to work alone is kept."""
        self.tab.goto(f"{self.laptop.url}/join#{self.laptop.code()}")
        self.until("document.querySelector('#code').value !== ''")
        self.tab.fill("#name", name)
        self.tab.click("button.button-main")
        self.tab.wait_for_url("**/now")
        self.until(ALONE)
        if whole:
            self.until(f"({READ})('kept').then((items) => items.some((item) => item.readiness))")
        return self

    def go(self, path: str, tab: Any = None) -> None:
        """Open a page."""
        (tab or self.tab).goto(self.laptop.url + path)

    def until(self, expression: str, tab: Any = None, seconds: float = 40) -> None:
        """Wait for an expression of the page; asked from outside, since the page's own policy
        forbids `eval`."""
        from playwright.sync_api import Error

        for _ in range(int(seconds * 1000 / STEP)):
            try:
                if (tab or self.tab).evaluate(expression):
                    return
            except Error as problem:
                if (
                    "context was destroyed" not in problem.message
                ):  # the page is just going on to the next
                    raise
            (tab or self.tab).wait_for_timeout(STEP)
        raise AssertionError(f"{expression} did not come true")

    def measure(self, travel: str, tab: Any = None) -> None:
        """Take one reading of the chain's slack and wait until the walk goes on: it is kept by
        then."""
        tab = tab or self.tab
        self.go(f"/walk?check={SLACK}", tab)
        tab.click("text=Off and at rest")
        tab.fill("#input-travel", travel)
        tab.click("text=Keep and next")
        tab.wait_for_selector("#walk h1:text-is('Walk done'), #fault-symptom")

    def log_fault_for_photo(self) -> None:
        """Take a reading that stops and log its fault: the page then asks for the photo."""
        self.measure("14")
        self.tab.check("#fault-photo")
        self.tab.click("text=Log the fault")
        self.tab.wait_for_selector("#photo")

    def photograph(self, width: int, height: int) -> None:
        """Give the page a picture as its camera would."""
        self.tab.set_input_files(
            "#photo", {"name": "chain.jpg", "mimeType": "image/jpeg", "buffer": jpeg(width, height)}
        )

    def photos_that_came(self) -> list[Path]:
        """Wait until every photo that is kept here lies at the laptop; where. Photos go over after
        the entries."""
        paths = [
            self.laptop.folder / "photos" / f"{photo['id']}.jpg" for photo in self.kept("photos")
        ]
        for _ in range(200):
            if paths and all(path.exists() for path in paths):
                return paths
            self.tab.wait_for_timeout(100)
        raise AssertionError(f"{paths} did not come")

    def keep(self, *entries: dict[str, Any]) -> None:
        """Keep made-up entries through the app's own outbox."""
        self.tab.evaluate(
            """async (entries) => {
          const { need } = await import(document.querySelector("script[type=module]").src);
          const { keep } = need("store/outbox.js");
          for (const entry of entries) await keep(entry);
        }""",
            list(entries),
        )

    def settle(self, log: str, seq: int, *entries: dict[str, Any]) -> None:
        """Mark entries as accepted by a log under a number, as after an exchange."""
        self.tab.evaluate(
            """async ([log, taken]) => {
          const { need } = await import(document.querySelector("script[type=module]").src);
          await need("store/outbox.js").settle(log, taken, []);
        }""",
            [log, [{"id": entry["id"], "seq": seq} for entry in entries]],
        )

    def hand_over(self, tab: Any = None) -> None:
        """Ask for an exchange, as a phone does that meets a network, and wait until nothing waits
        any more."""
        tab = tab or self.tab
        for _ in range(300):
            if not self.unsent():
                return
            tab.evaluate("dispatchEvent(new Event('online'))")
            tab.wait_for_timeout(100)
        raise AssertionError(
            f"{len(self.unsent())} entries were not handed over: {tab.inner_text('[data-unsent]')}"
        )

    def rest(self) -> None:
        """Wait until no try is under way: after its entries one still fetches the snapshot and
        sends photos."""
        self.until(f"({TRYING}).then((trying) => !trying)")

    def unsent(self) -> list[dict[str, Any]]:
        """Entries that wait on the phone."""
        return unsent(self.tab)

    def kept(self, store: str = "outbox") -> list[dict[str, Any]]:
        """Everything in one store of the phone."""
        return kept(self.tab, store)

    def says(self, selector: str = "main") -> str:
        """What an element says, blanks folded."""
        return " ".join(self.tab.inner_text(selector).split())
