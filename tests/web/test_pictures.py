"""Every picture of the pit's checks on one page for leads."""

import re

from pitcrew.pit.pit import Pit
from tests.web.conftest import Client, words


def test_every_check_has_its_picture_there(pit: Pit, lead: Client) -> None:
    page = lead.get("/pictures")
    seen = words(page)
    drawn = {item.check.drawing for item in pit.definitions.part_checks.values()}
    shown = set(re.findall(r'<section class="stack-tight" id="([a-z-]+)"', page))
    assert len(shown) > 20 and shown == drawn
    for item in pit.definitions.part_checks.values():
        assert item.check.label in seen, item.key
    assert "Checks without a picture" not in seen


def test_the_page_of_file_mistakes_links_to_it_for_leads(lead: Client, crew: Client) -> None:
    assert 'href="/pictures"' in lead.get("/mistakes")
    assert 'href="/pictures"' not in crew.get("/mistakes")
    crew.get("/pictures", 403)
