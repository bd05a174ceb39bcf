"""What two pages do by themselves: Join takes the code from the link and keeps the key; Now draws
itself again."""

from collections.abc import Iterator
from typing import Any

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from tests.browser.laptop import Laptop  # noqa: E402

pytestmark = pytest.mark.browser
LOOK_EVERY = 10_000
"""Milliseconds between two looks of Now at the logbook."""


@pytest.fixture(scope="module")
def laptop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laptop]:
    running = Laptop(tmp_path_factory.mktemp("join") / "pit").make().start()
    yield running
    running.kill()


def joined(browser: Any, laptop: Laptop, name: str, role: str = "crew", **more: Any) -> Any:
    """A tab on Now of someone who joined by the link."""
    tab = browser.new_context(viewport={"width": 390, "height": 844}, **more).new_page()
    tab.goto(f"{laptop.url}/join?next=/now#{laptop.code(role)}")
    if more.get("java_script_enabled", True):
        playwright.expect(tab.get_by_label("Join code")).not_to_have_value("")
    else:
        tab.get_by_label("Join code").fill(laptop.code(role))
    tab.get_by_label("Your name").fill(name)
    tab.get_by_role("button", name="Join").click()
    return tab


def test_the_link_fills_in_the_code_and_the_key_stays_on_the_phone(
    browser: Any, laptop: Laptop
) -> None:
    tab = joined(browser, laptop, "Ivo")
    tab.wait_for_url("**/now")
    kept = tab.evaluate(
        "[localStorage['pitcrew.token'], localStorage['pitcrew.person'],"
        " localStorage['pitcrew.role']]"
    )
    assert len(kept[0]) > 30 and kept[1:] == ["Ivo", "crew"]


def test_the_code_leaves_the_address(browser: Any, laptop: Laptop) -> None:
    tab = browser.new_context().new_page()
    tab.goto(f"{laptop.url}/join#{laptop.code()}")
    playwright.expect(tab.get_by_label("Join code")).not_to_have_value("")
    assert "#" not in tab.url


def test_joining_works_without_script(browser: Any, laptop: Laptop) -> None:
    tab = joined(browser, laptop, "Lis", java_script_enabled=False)
    tab.get_by_role("link", name="Go on").click()
    assert tab.url.endswith("/now") and "Due for" in tab.inner_text("main")


def watching_now(browser: Any, laptop: Laptop) -> Any:
    """A lead's tab on Now whose timers the test turns."""
    tab = joined(browser, laptop, "Ada", "lead")
    tab.wait_for_url("**/now")
    tab.clock.install()
    tab.goto(f"{laptop.url}/now")
    return tab


def something_is_done(browser: Any, laptop: Laptop, what: str) -> None:
    """Someone else logs a temporary state."""
    tab = joined(browser, laptop, "Ivo")
    tab.wait_for_url("**/now")
    tab.goto(f"{laptop.url}/temporary?part=lift.chain.left")
    tab.get_by_text(what, exact=True).click()
    tab.get_by_role("button", name="Record it").click()
    playwright.expect(tab.locator("main")).to_contain_text("Recorded.")


def test_now_draws_itself_again_when_the_logbook_grew(browser: Any, laptop: Laptop) -> None:
    tab = watching_now(browser, laptop)
    something_is_done(browser, laptop, "Taken off")
    with tab.expect_navigation():
        tab.clock.run_for(LOOK_EVERY)
    playwright.expect(tab.locator("main")).to_contain_text("Taken off, not undone")


def test_now_leaves_alone_who_is_using_it(browser: Any, laptop: Laptop) -> None:
    """An open list stays open though the logbook grew; closed, the page is drawn again."""
    tab = watching_now(browser, laptop)
    tab.evaluate(
        "document.querySelector('main').insertAdjacentHTML('beforeend', '<details open"
        " id=list><summary>x</summary></details>')"
    )
    something_is_done(browser, laptop, "Bridged")
    tab.clock.run_for(10 * LOOK_EVERY)
    assert tab.locator("#list").count() == 1
    tab.locator("#list summary").click()
    tab.evaluate("document.activeElement.blur()")
    with tab.expect_navigation():
        tab.clock.run_for(LOOK_EVERY)
    playwright.expect(tab.locator("main")).to_contain_text("Bridged, not undone")


def test_now_does_not_call_back_who_is_leaving_it(browser: Any, laptop: Laptop) -> None:
    """The next page takes its time, and meanwhile the logbook grows."""
    tab = joined(browser, laptop, "Ada", "lead", service_workers="block")
    tab.wait_for_url("**/now")
    tab.add_init_script(
        "{ const real = setInterval; window.setInterval = (run, ms) => real(run, ms ==="
        f" {LOOK_EVERY} ? 100 : ms); }}"
    )
    tab.goto(f"{laptop.url}/now")
    asked: list[Any] = []
    tab.route("**/faults", lambda route: asked.append(route))
    tab.evaluate("void setTimeout(() => location.assign('/faults'))")
    while not asked:
        tab.wait_for_timeout(20)
    something_is_done(browser, laptop, "Tied or taped")
    tab.wait_for_timeout(500)
    asked[0].continue_()
    tab.wait_for_url("**/faults")
