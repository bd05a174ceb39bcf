"""A screen is registered once: menu, worker, phone and tests read the same `SCREEN`."""

import json
import re

from flask import Flask

from pitcrew.base.paths import STATIC
from pitcrew.web.pages import SCREENS
from pitcrew.web.screen import works_alone
from tests.web.conftest import Client

SCRIPTS = STATIC / "js" / "pages"


def menu(page: str) -> list[tuple[str, str]]:
    """Address and word of each place that a page's menu leads to."""
    found = re.search(r'<nav class="menu".*?</nav>', page, re.DOTALL)
    assert found
    links = re.findall(r'<a href="(/[^"]*)"[^>]*>([^<]*)</a>', found[0])
    return [(path, word) for path, word in links]


def test_the_menu_has_its_words_in_order(crew: Client, lead: Client) -> None:
    words = [
        "Now",
        "Walk",
        "Faults",
        "Climb",
        "Batteries",
        "Schedule",
        "Patterns",
        "Print",
        "People",
    ]
    expected = [*((f"/{word.lower()}", word) for word in words), ("/handing-over", "Hand over")]
    for page in (crew.get("/now"), lead.get("/verify"), crew.get("/shell")):
        assert menu(page) == expected


def test_a_screen_has_its_page_and_its_scripts(app: Flask, lead: Client) -> None:
    assert len({screen.name for screen in SCREENS}) == len(SCREENS)
    places = [screen.place for screen in SCREENS if screen.place]
    assert len(set(places)) == len(places)
    for screen in SCREENS:
        assert lead.flask.get(screen.path).status_code == 200, screen.path
        for script in filter(None, (screen.script, screen.alone)):
            assert (SCRIPTS / f"{script}.js").is_file(), script


def test_what_works_alone_can_be_drawn_alone(app: Flask) -> None:
    """The worker waits for other pages, so it must know these; the script must say how."""
    with app.test_client().get("/sw.js") as answer:
        found = re.search(r"const ALONE = (\[.*?\]);", answer.text)
    assert found and json.loads(found[1]) == [screen.name for screen in works_alone(SCREENS)]
    for screen in works_alone(SCREENS):
        text = (SCRIPTS / f"{screen.alone}.js").read_text(encoding="utf-8")
        assert re.search(r"^export (async )?function (alone|takeOver)\(", text, re.MULTILINE)
