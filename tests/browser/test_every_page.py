"""Every page of the demo in a real browser, light and dark: axe finds nothing, nothing scrolls
sideways, the console is quiet."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from pitcrew.base.clock import system_clock
from pitcrew.demo import make_demo
from pitcrew.pit.pit import glance, open_pit
from pitcrew.web.app import create_app
from tests.browser.accessible import COLOURS, breaches
from tests.server import Server, pitcrew
from tests.web.screens import EVERY_SCREEN

pytestmark = pytest.mark.browser
PHONE, SMALL, LAPTOP = (
    {"width": 390, "height": 844},
    {"width": 320, "height": 640},
    {"width": 1366, "height": 768},
)
NO_PAGE = "/no-such-page"
DARK = ("/now", "/walk?check=chain-slack@lift.chain.left", "/faults", "/climb", "/batteries")
"""The pages whose colors are tried in the dark theme, too, each time; all of them in the long
runs."""
MORE = [
    "/walk?zone=mast",
    "/walk?check=chain-slack@lift.chain.left",
    "/faults/new?part=lift.chain.left",
    "/print/handoff?audience=captain",
    NO_PAGE,
]
"""Addresses with something asked, and one that does not exist."""


def examples(folder: Path) -> dict[str, str]:
    """What stands for the arguments of a route, by name."""
    state = glance(folder).state
    deferred = next(fault for fault in state.faults.values() if fault.state == "deferred")
    reading = state.readings["chain-slack@lift.chain.left"][-1].id
    digest = state.robot_logs["5"][-1].body.file
    return {
        "fault_id": deferred.id,
        "part_id": "lift.chain.left",
        "reading_id": reading,
        "entry_id": reading,
        "name": "4",
        "digest": digest,
    }


def routes(folder: Path) -> list[Any]:
    """Every route that a browser may open, from the application itself."""
    pit = open_pit(folder)
    try:
        rules = list(create_app(pit).url_map.iter_rules())
    finally:
        pit.close()
    return [
        rule
        for rule in rules
        if "GET" in (rule.methods or ())
        and not rule.rule.startswith(("/api/", "/static/", "/photos/"))
    ]


def addresses(folder: Path) -> list[str]:
    """The address of every page that the demo can show."""
    known, found = examples(folder), []
    for rule in routes(folder):
        if set(rule.arguments) <= set(known):
            path = rule.rule
            for name in rule.arguments:
                path = path.replace(f"<{name}>", known[name])
            found.append(path)
    return sorted(found) + MORE


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages") / "demo"
    make_demo(made, system_clock())
    return made


@pytest.fixture(scope="module")
def paths(folder: Path) -> list[str]:
    return addresses(folder)


@pytest.fixture(scope="module")
def server(folder: Path, paths: list[str]) -> Iterator[Server]:
    with Server(folder) as running:
        yield running


@pytest.fixture(scope="module")
def joined(browser: Any, server: Server, folder: Path) -> dict[str, Any]:
    """The cookies and storage of a lead's device, for the contexts of all tests."""
    context = browser.new_context()
    tab = context.new_page()
    tab.goto(f"http://127.0.0.1:{server.port}/join")
    tab.get_by_label("Join code").fill(
        pitcrew("code", str(folder), "--role", "lead").stdout.split()[0]
    )
    tab.get_by_label("Your name").fill("Maren")
    tab.get_by_role("button", name="Join").click()
    tab.wait_for_url("**/now")
    state = context.storage_state()
    context.close()
    return dict(state)


@pytest.fixture(scope="module")
def pages(browser: Any, server: Server, joined: dict[str, Any], paths: list[str]) -> list[str]:
    """Those that answer with a page, and not with a file."""
    context = browser.new_context(storage_state=joined)
    asked = [path for path in paths if not path.endswith(".pdf")]
    kinds = {
        path: (
            context.request.get(f"http://127.0.0.1:{server.port}{path}").headers.get(
                "content-type", ""
            )
        )
        for path in asked
    }
    context.close()
    return [path for path, kind in kinds.items() if "text/html" in kind]


def test_every_page_is_tried(folder: Path, paths: list[str]) -> None:
    """A new page with an argument needs an example, so that it is not passed over in silence."""
    known = set(examples(folder))
    missed = {
        rule.rule: sorted(set(rule.arguments) - known)
        for rule in routes(folder)
        if not set(rule.arguments) <= known
    }
    assert missed == {}, f"give `examples` of this test a value for {missed}"


@pytest.mark.parametrize(
    "dark", [DARK, pytest.param((), marks=pytest.mark.soak, id="all in the dark")]
)
def test_every_page_is_clean(
    browser: Any, server: Server, joined: dict[str, Any], pages: list[str], dark: tuple[str, ...]
) -> None:
    """axe at WCAG 2.2 AA, no complaint of the console (which reports every breach of the policy),
    nothing wider than the screen."""
    context = browser.new_context(viewport=PHONE, storage_state=joined, has_touch=True)
    context.set_default_timeout(30_000)
    tab = context.new_page()
    wrong: list[str] = []
    opened: list[str] = []
    here = "/"

    def complained(message: Any) -> None:
        about = message.location.get("url", "")
        wanted = (here == NO_PAGE and "404" in message.text) or about.endswith("/favicon.ico")
        if message.type == "error" and not wanted:
            wrong.append(f"{here}: {message.text} ({about})")

    tab.on("console", complained)
    tab.on("pageerror", lambda error: wrong.append(f"{here}: {error}"))
    root = f"http://127.0.0.1:{server.port}"
    for here in pages:
        tab.goto(root + here)
        opened.append(here)
        wrong += [f"{here}: {rule} at {places}" for rule, places in breaches(tab)]
        if not dark or here in dark:
            tab.emulate_media(color_scheme="dark")
            found = breaches(tab, COLOURS)
            wrong += [f"{here}, dark: {rule} at {places}" for rule, places in found]
            tab.emulate_media(color_scheme="light")
        for size in (SMALL, LAPTOP, PHONE):
            tab.set_viewport_size(size)
            over = tab.evaluate(
                "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            )
            if over > 0:
                wrong.append(f"{here}: {over} px too wide at {size['width']} px")
    context.close()
    assert not wrong, "\n".join(wrong)
    assert set(EVERY_SCREEN) <= set(opened)


def test_pages_for_everybody_are_clean_before_joining(browser: Any, server: Server) -> None:
    context = browser.new_context(viewport=SMALL)
    tab = context.new_page()
    for path in ("/join", "/now"):
        tab.goto(f"http://127.0.0.1:{server.port}{path}")
        assert breaches(tab) == []
        assert tab.evaluate("document.documentElement.scrollWidth") <= SMALL["width"]
    context.close()
