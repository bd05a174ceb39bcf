"""Climb, file mistakes and patterns: pages that only tell."""

from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client, last, words

CAPTAIN = Author("laptop", "Mira", "captain")


def test_unsigned_with_all_that_is_missing(pit: Pit, crew: Client) -> None:
    page = crew.get("/climb")
    seen = words(page)
    assert (
        "Not signed" in seen and "Missing before it can be signed" in seen and "never done" in seen
    )
    critical = [part for part in pit.definitions.robot.parts.values() if part.climb_critical]
    assert critical and all(part.label in seen for part in critical)
    assert 'href="/walk?check=' in page
    assert "event rules, makers' instructions and the adult in charge decide" in seen


def test_a_signature_is_void_by_what_came_after_it(pit: Pit, crew: Client) -> None:
    pit.record(
        "clearance",
        {"decision": "cleared", "seen_seq": pit.journal.head()[0]},
        CAPTAIN,
        match="fjord/14/1",
    )
    part = next(part for part in pit.definitions.robot.parts.values() if part.climb_critical)
    pit.record("part_change", {"part": part.id, "identical": True}, LEAD)
    page = crew.get("/climb")
    seen = words(page)
    assert (
        "Void" in seen
        and "Signed by Mira" in seen
        and f"A part change on {part.label} came after the signature" in seen
    )
    assert f'href="/parts/{part.id}"' in page


def test_a_wrong_file_holds_the_climb_and_is_listed(pit: Pit, crew: Client) -> None:
    sheet = pit.folder / "robots" / "tern.toml"
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace(
            'kind = "roller-chain"', 'kind = "roler-chain"', 1
        ),
        encoding="utf-8",
    )
    seen = words(crew.get("/mistakes"))
    assert (
        "roler-chain" in seen
        and "roller-chain" in seen
        and "no climb is cleared until they are corrected" in seen
    )
    assert "in the pit folder's files." in words(crew.get("/now"))
    assert "What did not load counts as missing" in words(crew.get("/climb"))
    assert last(pit, "definitions").body["digests"] == pit.definitions.digests


def test_no_mistakes(crew: Client) -> None:
    assert "have no mistakes" in words(crew.get("/mistakes"))
