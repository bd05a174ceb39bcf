"""Climb on a phone when all is done and signed: it fits two screens, so that a captain reads it
between two matches."""

import threading
from collections.abc import Iterator
from typing import Any

import pytest
from werkzeug.serving import make_server

from pitcrew.pit.pit import Pit
from pitcrew.web.app import create_app
from tests.browser.phone import SIZE
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
