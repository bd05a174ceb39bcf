"""Climb on a phone when all is done and signed: it fits two screens, so that a captain reads it
between two matches."""

import io
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from PIL import Image
from werkzeug.serving import make_server

from pitcrew.pit.pit import Pit
from pitcrew.web.app import create_app
from tests.browser.kept import READ
from tests.browser.phone import ALONE, SIZE
from tests.web.conftest import Hands, join, pit_in
from tests.web.test_signing import PIN, check_all, sign

TWO_SCREENS = 2 * SIZE["height"]


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Pit, str]]:
    """A pit in which the bundled robot is cleared, and its address."""
    clock = Hands()
    with pit_in(tmp_path_factory.mktemp("signed"), clock) as pit:
        check_all(pit)
        clock.later(1)
        pit.pins.set("Mira", PIN, "", "a")
        app = create_app(pit)
        sign(join(app, pit, "captain", "Mira"))
        server = make_server("127.0.0.1", 0, app, threaded=True)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield pit, f"http://127.0.0.1:{server.port}"
        server.shutdown()


def member(browser: Any, pit: Pit, url: str, role: str, name: str) -> Any:
    """A tab of a phone that has joined in that role."""
    from datetime import timedelta

    tab = browser.new_context(viewport=SIZE, has_touch=True, is_mobile=True).new_page()
    tab.goto(f"{url}/join#{pit.roster.make_code(role, timedelta(minutes=15))}")
    tab.wait_for_function("document.querySelector('#code').value !== ''")
    tab.fill("#name", name)
    tab.click("button.button-main")
    tab.wait_for_url("**/now")
    return tab


@pytest.mark.parametrize("role, name", [("captain", "Mira"), ("crew", "Ivo")])
def test_the_climb_page_fits_two_screens_when_all_is_well(
    browser: Any, signed: tuple[Pit, str], role: str, name: str
) -> None:
    pit, url = signed
    tab = member(browser, pit, url, role, name)
    tab.goto(f"{url}/climb")
    assert "Cleared" in tab.inner_text(".verdict")
    height = tab.evaluate("document.documentElement.scrollHeight")
    assert height <= TWO_SCREENS, f"{height} px at {SIZE['width']} px wide"
    tab.context.close()


def test_the_inspection_card_works_offline_after_a_reload(
    browser: Any, signed: tuple[Pit, str]
) -> None:
    """The rows open from what the phone kept, each takes its tap, and the laptop has them all once
    the network is back."""
    pit, url = signed
    tab = member(browser, pit, url, "crew", "Runa")
    until(tab, ALONE)
    until(tab, f"({READ})('kept').then((items) => items.some((item) => item.readiness))")
    tab.context.set_offline(True)
    tab.goto(f"{url}/walk?card=path-look")
    tab.reload()
    tab.get_by_role("button", name="Off and at rest").click()
    rows = tab.locator(".look-row")
    tab.wait_for_selector(".look-row")
    looks = [key for key in pit.definitions.part_checks if key.startswith("path-look@")]
    assert rows.count() == len(looks) >= 2
    for number in range(len(looks)):
        rows.nth(number).get_by_role("button", name="Whole").click()
    tab.wait_for_selector(f"text=All {len(looks)} looked at")
    tab.set_input_files("#photo", {"name": "path.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})
    tab.wait_for_selector("text=1 photo kept")
    before = taken_by(pit, "Runa")
    tab.context.set_offline(False)
    for _ in range(600):
        if taken_by(pit, "Runa") == before + len(looks):
            break
        tab.wait_for_timeout(50)
    assert (before, taken_by(pit, "Runa")) == (0, len(looks))
    until(
        tab, "fetch('/climb').then((page) => page.text()).then((text) => text.includes('/photos/'))"
    )
    tab.context.close()


def jpeg() -> bytes:
    """A small picture."""
    found = io.BytesIO()
    Image.new("RGB", (64, 48), "navy").save(found, "JPEG")
    return found.getvalue()


def taken_by(pit: Pit, person: str) -> int:
    """How many looks at links the laptop has of someone."""
    with pit.reading() as state:
        return sum(
            fact.person == person
            for key, facts in state.readings.items()
            if key.startswith("path-look@")
            for fact in facts
        )


def until(tab: Any, expression: str) -> None:
    """Wait for an expression of the page, asked from outside."""
    for _ in range(800):
        if tab.evaluate(expression):
            return
        tab.wait_for_timeout(50)
    raise AssertionError(f"{expression} did not come true")
