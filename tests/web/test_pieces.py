"""What the snapshot brings ready for a phone on its own is what the laptop's own pages show."""

import re

import pytest

from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client


def plain(html: str) -> str:
    """Without line breaks, and without what a page filled into its form already."""
    return re.sub(r' (selected|value="")(?=[ >])', "", re.sub(r"\s+", " ", html)).strip()


@pytest.fixture
def snapshot(pit: Pit, crew: Client) -> dict:
    pit.record("battery_move", {"battery": "2", "to": "robot", "where": "otter"}, LEAD)
    return crew.flask.get("/api/snapshot", headers=crew.bearer).get_json()


@pytest.mark.parametrize(
    ("page", "part", "name"),
    [
        ("/now", "pieces", "battery"),
        ("/now", "pieces", "under"),
        ("/schedule", "pieces", "schedule"),
        ("/faults/new", "fixed", "fault"),
        ("/now/debrief", "fixed", "debrief"),
    ],
)
def test_a_piece_is_the_pages_own(
    snapshot: dict, crew: Client, page: str, part: str, name: str
) -> None:
    piece = plain(snapshot[part][name])
    assert piece and piece in plain(crew.get(page))


def test_each_battery_says_what_its_card_says(snapshot: dict, crew: Client) -> None:
    page = plain(crew.get("/batteries"))
    assert len(snapshot["pieces"]["batteries"]) == len(snapshot["batteries"]) > 1
    assert all(plain(piece) in page for piece in snapshot["pieces"]["batteries"].values())


def test_climb_is_the_pages_own_and_can_only_be_read(snapshot: dict, crew: Client) -> None:
    piece, page = plain(snapshot["pieces"]["climb"]), plain(crew.get("/climb"))
    missing = re.search(
        r'<section class="stack-tight" aria-labelledby="missing">.*?</section>', piece
    )
    assert missing and missing[0] in page
    assert "Signing needs the laptop." in piece and "<form" not in piece


def test_what_changes_only_with_definitions_stands_apart(pit: Pit, crew: Client) -> None:
    """A reading or a fault changes `pieces`, never `fixed`: later it need not come again."""
    ask = lambda: crew.flask.get("/api/snapshot", headers=crew.bearer).get_json()  # noqa: E731
    before = ask()
    body = {"part": "lift.chain.left", "symptom": "a link is stiff", "grade": "stop"}
    pit.record("fault", body, LEAD)
    pit.record("battery_move", {"battery": "2", "to": "robot", "where": "otter"}, LEAD)
    after = ask()
    assert after["fixed"] == before["fixed"] and after["pieces"] != before["pieces"]
