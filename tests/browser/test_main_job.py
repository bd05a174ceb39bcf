"""The main job in a real browser on the demo: join, walk, fault, deferral, temporary state, printed
sheet, and a killed laptop."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from pitcrew.base.clock import system_clock
from pitcrew.demo import make_demo
from pitcrew.domain.now.view import view_of
from pitcrew.pit.pit import glance
from tests.browser.chromium import FLAGS, chromium_path
from tests.server import Server, pitcrew

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1366, "height": 768}
SYMPTOM = "Chain wear: 105,2 mm"
TYPED = {
    "volts": "12,9",
    "rest": "40",
    "case": "21,5",
    "length": "102,2",
    "rock": "2",
    "charge": "80",
    "tank": "8,1",
}


class Watched:
    """A browser tab of one person; `complaints` gathers what its console and its pages complain
    of."""

    def __init__(self, browser: Any, address: str, size: dict[str, int]) -> None:
        self.context = browser.new_context(
            viewport=size, has_touch=size is PHONE, is_mobile=size is PHONE
        )
        self.context.set_default_timeout(30_000)
        self.tab = self.context.new_page()
        self.address = address
        self.complaints: list[str] = []
        self.tab.on("console", self._console)
        self.tab.on("pageerror", lambda error: self.complaints.append(str(error)))

    def _console(self, message: Any) -> None:
        if message.type == "error":
            self.complaints.append(f"{message.text} ({message.location.get('url', '')})")

    def join(self, code: str, name: str) -> None:
        """Join with a code; the page goes on to Now by itself."""
        self.open("/join")
        self.tab.get_by_label("Join code").fill(code)
        self.tab.get_by_label("Your name").fill(name)
        self.tab.get_by_role("button", name="Join").click()
        self.tab.wait_for_url("**/now")

    def open(self, path: str) -> None:
        """Open a page of the pit."""
        self.tab.goto(self.address + path)

    def text(self) -> str:
        """All that the page's main part says, blanks made single."""
        return " ".join(self.tab.inner_text("main").split())


@pytest.fixture(scope="module")
def browser(started: Any) -> Iterator[Any]:
    """Chromium as people have it."""
    chromium = started.chromium.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
    yield chromium
    chromium.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("job") / "demo"
    make_demo(made, system_clock())
    return made


@pytest.fixture
def server(folder: Path) -> Iterator[Server]:
    with Server(folder) as running:
        yield running


def eventually(tab: Any, what: str, true: Callable[[], Any]) -> Any:
    """Wait until something is true; the answer."""
    for _ in range(200):
        if found := true():
            return found
        tab.wait_for_timeout(50)
    raise AssertionError(f"{what} did not come true")


def screen(tab: Any) -> str:
    """The heading of the walk's screen, gates passed: what must be true before hands go in is
    answered."""
    heading = tab.locator("#walk h1")
    eventually(
        tab,
        "a screen of the walk",
        lambda: heading.inner_text() != "Walk" and tab.locator(".actions .button").count(),
    )
    while tab.locator("#walk .gate").count():
        press(tab, tab.locator(".actions .button-main"))
    return str(heading.inner_text())


def press(tab: Any, button: Any) -> None:
    """Press a button of the walk and wait for the next screen."""
    before = tab.inner_text("#walk")
    button.click()
    eventually(tab, "the next screen", lambda: tab.inner_text("#walk") != before)


def answer_one(tab: Any) -> str:
    """Answer the check on the screen as a healthy part would be answered; the verdict shown before
    it is kept."""
    for field in tab.locator("#walk input[inputmode=decimal]").all():
        name = (field.get_attribute("id") or "").removeprefix("input-")
        field.fill(TYPED[name])
    for group in tab.locator("#walk fieldset").all():
        group.locator("label").first.click()
    shown = tab.locator("#walk .verdict").first.get_attribute("class") or ""
    press(tab, tab.get_by_role("button", name="Keep and next"))
    found = re.search(r"verdict-(\w+)", shown)
    assert found, shown
    return found[1]


def test_from_joining_to_the_printed_sheet_and_through_a_killed_laptop(
    browser: Any, folder: Path, server: Server
) -> None:
    address = f"http://127.0.0.1:{server.port}"
    crew, lead = Watched(browser, address, PHONE), Watched(browser, address, LAPTOP)
    crew.join(pitcrew("code", str(folder)).stdout.split()[0], "Ada")
    lead.join(pitcrew("code", str(folder), "--role", "lead").stdout.split()[0], "Ben")

    sees_now(crew)
    walks_a_zone(crew, folder)
    half_a_travel_is_kept_and_not_judged(crew, folder)
    logs_a_stop_in_two_taps(crew, folder)
    lead.open("/now")
    assert SYMPTOM in lead.tab.content()
    defers_it(lead)
    assert SYMPTOM not in held_by(folder)
    opens_a_temporary_state(crew)
    assert "Tied or taped" in held_by(folder)
    prints(lead)

    assert [*crew.complaints, *lead.complaints] == []

    before = server.call("GET", "/healthz")[1]["head"]
    server.kill()
    with Server(folder, port=server.port) as again:
        all_is_there(crew, lead, again, before)
        assert "entries hold." in pitcrew("verify", str(folder)).stdout
    assert [
        text for text in (*crew.complaints, *lead.complaints) if "net::ERR_CONNECTION" not in text
    ] == []


def held_by(folder: Path) -> str:
    """What holds the robot, from the logbook itself."""

    seen, now = glance(folder), system_clock()
    return " ".join(
        reason.text for reason in view_of(seen.definitions, seen.state, now).readiness.reasons
    )


def sees_now(crew: Watched) -> None:
    crew.open("/now")
    assert "Hold" in crew.text()
    assert "the clearance is void" in crew.text()
    assert re.search(r"Due for (match )?Q75", crew.text(), re.IGNORECASE)
    assert "Q75" in crew.tab.inner_text("header")
    assert re.search(r"\d+:\d\d", crew.tab.inner_text("header"))
    assert crew.tab.locator("svg.map a").count() == 11


def walks_a_zone(crew: Watched, folder: Path) -> None:
    """Every check of the battery's zone, with decimal commas, each judged before it is kept."""
    crew.tab.locator("a[href*='zone=battery']").last.click()
    verdicts = []
    while screen(crew.tab) != "Walk done":
        verdicts.append(answer_one(crew.tab))
    assert len(verdicts) >= 3
    assert set(verdicts) == {"ok"}
    head = "battery-rest@battery."

    def kept() -> list[Any]:
        readings = glance(folder).state.readings
        return [
            facts[-1]
            for key, facts in readings.items()
            if key.startswith(head) and facts[-1].person == "Ada"
        ]

    reading = eventually(crew.tab, "the handing over of the readings", kept)[0]
    assert reading.inputs["volts"] == {"typed": "12,9", "value": 12.9, "unit": "V"}
    assert reading.verdict == "ok"


def half_a_travel_is_kept_and_not_judged(crew: Watched, folder: Path) -> None:
    """How it was measured is one tap: no verdict before it, and none over half of the travel,
    however right the number looks."""
    crew.open("/walk?check=chain-slack@lift.chain.left")
    screen(crew.tab)
    crew.tab.fill("#input-travel", "10")
    assert (
        " ".join(crew.tab.inner_text(".walk-verdict").split())
        == "Still wanted: What was measured. OK: 9.1 to 11.5 mm"
    )
    crew.tab.locator("label.choice", has_text="Up and down together").click()
    assert "10 mm is good" in crew.tab.inner_text(".verdict-ok")
    assert (
        crew.tab.locator(".verdict-ok").bounding_box()["y"] + 48
        < crew.tab.locator(".actions").bounding_box()["y"]
    )
    crew.tab.locator("label.choice", has_text="One way only").click()
    assert "measure up and down together" in crew.tab.inner_text(".verdict-unjudged")
    press(crew.tab, crew.tab.get_by_role("button", name="Keep and next"))

    def kept() -> list[Any]:
        return [
            fact
            for fact in glance(folder).state.readings["chain-slack@lift.chain.left"]
            if fact.person == "Ada"
        ]

    reading = eventually(crew.tab, "the handing over of the reading", kept)[0]
    assert reading.verdict == "unjudged"
    assert reading.result == pytest.approx(0.01)


def logs_a_stop_in_two_taps(crew: Watched, folder: Path) -> None:
    crew.open("/walk?check=chain-wear@lift.chain.right")
    screen(crew.tab)
    crew.tab.fill("#input-length", "105,2")
    assert "Stop" in crew.tab.inner_text(".verdict-stop")
    assert "3 %" in crew.tab.inner_text(".verdict-stop")  # out at 3 % longer than new
    crew.tab.get_by_role("button", name="Keep and next").click()
    assert crew.tab.input_value("#fault-symptom") == SYMPTOM
    crew.tab.get_by_role("button", name="Log the fault").click()

    def logged() -> list[Any]:
        return [fault for fault in glance(folder).state.faults.values() if fault.symptom == SYMPTOM]

    fault = eventually(crew.tab, "the fault in the logbook", logged)[0]
    assert fault.part == "lift.chain.right"
    assert fault.grade == "stop"
    assert fault.match
    assert fault.reading
    assert SYMPTOM in held_by(folder)


def defers_it(lead: Watched) -> None:
    lead.open("/faults")
    lead.tab.get_by_role("link", name=SYMPTOM).click()
    lead.tab.get_by_text("Play with it for now").click()
    form = lead.tab.locator("#deferred form")
    form.get_by_label("Why").fill("One match is left, the spare chain is being riveted")
    form.locator("select").select_option(index=1)
    form.locator("input[type=text], textarea").last.fill("No lifting above half height")
    form.get_by_role("button", name="Defer it").click()
    lead.tab.get_by_text("May play with it").wait_for()
    assert "No lifting above half height" in lead.text()


def opens_a_temporary_state(crew: Watched) -> None:
    crew.open("/temporary?part=frame.bumper.front")
    crew.tab.get_by_text("Tied or taped").first.click()
    crew.tab.get_by_role("button", name="Record it").click()
    assert "Tied or taped" in crew.text()
    crew.open("/now")
    assert "Tied or taped" in crew.tab.content()


def prints(lead: Watched) -> None:
    """The sheet as PDF by the page's own form, and as a page for the browser."""
    lead.open("/print")
    answer = lead.tab.evaluate("""async () => {
        const form = document.querySelector('#handoff');
        const answer = await fetch(form.action, { method: 'POST', body: new FormData(form) });
        const bytes = new Uint8Array(await answer.arrayBuffer());
        return { type: answer.headers.get('Content-Type'), start: String.fromCharCode(...bytes.slice(0, 5)), size: bytes.length };
    }""")
    assert answer["type"] == "application/pdf"
    assert answer["start"] == "%PDF-"
    assert answer["size"] > 10_000
    lead.open("/print/handoff")
    sheet = lead.tab.inner_text("body")
    assert SYMPTOM in sheet
    assert "Tied or taped" in sheet
    assert (
        lead.tab.evaluate("getComputedStyle(document.querySelector('h2')).borderTopStyle")
        == "solid"
    )  # its styles are there


def all_is_there(crew: Watched, lead: Watched, again: Server, before: int) -> None:
    """What was acknowledged before the laptop was killed is on the pages after it, for the phones
    that had joined before."""
    assert again.call("GET", "/healthz")[1]["head"] >= before
    lead.open("/faults")
    assert SYMPTOM in lead.text()
    lead.open("/print")
    assert re.search(r"by Ben", lead.text())
    crew.open("/temporary")
    assert "Tied or taped" in crew.text()
    assert "Ada" in crew.text()
    crew.open("/now")
    assert "Hold" in crew.text()
