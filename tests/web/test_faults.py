"""Faults: logged with and without reading or match, moved by the table, proven by a reading taken
after the repair."""

import re

from pitcrew.base.paths import STATIC
from pitcrew.domain.logbook.faults import Fault
from pitcrew.pit.pit import Pit
from pitcrew.web.fault_forms import GRADES
from tests.web.conftest import CHAIN, LEAD, Client, Hands, count, last, slack, words


def logged(pit: Pit, grade: str = "stop", **more: str) -> str:
    return pit.record("fault", {"part": CHAIN, "symptom": "slack", "grade": grade, **more}, LEAD).id


def fault_of(pit: Pit, fault_id: str) -> Fault:
    with pit.reading() as state:
        return state.faults[fault_id]


def test_a_fault_without_a_reading(pit: Pit, crew: Client) -> None:
    seen = words(
        crew.post(
            "/faults/new",
            {"part": CHAIN, "symptom": " jumps ", "grade": "degraded", "match": "fjord/11/1"},
        )
    )
    assert "The fault is logged." in seen and "Logged in Match 11" in seen
    entry = last(pit, "fault")
    assert entry.body == {"part": CHAIN, "symptom": "jumps", "grade": "degraded", "reading": None}
    assert (entry.match, entry.person) == ("fjord/11/1", "Ivo")


def test_a_fault_without_a_match(pit: Pit, crew: Client) -> None:
    assert "in no match" in words(
        crew.post(
            "/faults/new", {"part": CHAIN, "symptom": "seen at home", "grade": "watch", "match": ""}
        )
    )
    assert last(pit, "fault").match is None


def test_a_fault_from_a_reading_is_filled_in(pit: Pit, crew: Client) -> None:
    """Two taps: the link from the reading, and the button."""
    measured = pit.record("reading", slack(pit, 30), LEAD, match="fjord/14/1")
    page = crew.get(f"/faults/new?reading={measured.id}")
    assert (
        f'selected value="{CHAIN}"' in page
        and 'selected value="fjord/14/1"' in page
        and re.search(r'value="30 mm[^"]*above', page)
    )
    assert re.search(r'<input checked[^>]*value="stop"', page)
    crew.post(
        "/faults/new",
        {
            "part": CHAIN,
            "symptom": "slack 30 mm",
            "grade": "stop",
            "match": "fjord/14/1",
            "reading": measured.id,
        },
    )
    assert last(pit, "fault").body["reading"] == measured.id


def test_what_lacks_is_said_and_nothing_stored(pit: Pit, crew: Client) -> None:
    before = count(pit)
    seen = words(
        crew.post("/faults/new", {"part": "", "symptom": "", "match": "fjord/77/1"}, status=400)
    )
    for said in ("Pick the part.", "Say what you see", "Pick how bad it is.", "not on the list"):
        assert said in seen
    assert count(pit) == before


def test_repair_and_proof(pit: Pit, crew: Client, clock: Hands) -> None:
    fault = logged(pit, reading=pit.record("reading", slack(pit, 30), LEAD).id)
    pit.record("reading", slack(pit, 10), LEAD)  # before the repair: proves nothing
    clock.later(1)
    seen = crew.post(
        f"/faults/{fault}/repaired", {"repaired-why": "new link", "repaired-parts_used": "link 25"}
    )
    assert (
        "Recorded as repaired" in seen
        and "No passing reading was taken on this part since the repair" in words(seen)
    )
    assert f'href="/walk?check=chain-slack@{CHAIN}"' in seen
    clock.later(1)
    proof = pit.record("reading", slack(pit, 10), LEAD).id
    assert proof in crew.get(f"/faults/{fault}")
    seen = words(crew.post(f"/faults/{fault}/proven", {"proven-reading": proof}))
    assert "Recorded as proven" in seen
    assert fault_of(pit, fault).state == "proven"


def test_a_reading_from_before_the_repair_cannot_be_picked(
    pit: Pit, crew: Client, clock: Hands
) -> None:
    fault = logged(pit)
    early = pit.record("reading", slack(pit, 10), LEAD).id
    clock.later(1)
    crew.post(f"/faults/{fault}/repaired", {"repaired-why": "new link"})
    seen = words(crew.post(f"/faults/{fault}/proven", {"proven-reading": early}, status=400))
    assert "No passing reading" in seen
    assert fault_of(pit, fault).state == "repaired"


def test_deferring_names_who_why_until_and_restriction(pit: Pit, lead: Client) -> None:
    fault = logged(pit)
    seen = words(
        lead.post(
            f"/faults/{fault}/deferred",
            {
                "deferred-why": "holds by hand",
                "deferred-until": "fjord/14/1",
                "deferred-restriction": "short cycles only",
            },
        )
    )
    assert (
        "Recorded as deferred" in seen
        and "until after Match 14" in seen
        and "short cycles only" in seen
    )
    deferral = fault_of(pit, fault).deferral
    assert deferral and (deferral.who, deferral.why, deferral.until) == (
        "Ada",
        "holds by hand",
        "fjord/14/1",
    )


def test_the_crew_does_not_defer(pit: Pit, crew: Client) -> None:
    fault = logged(pit)
    assert "decided by captain, mentor or lead" in crew.get(f"/faults/{fault}")
    seen = crew.post(
        f"/faults/{fault}/deferred",
        {"deferred-why": "late", "deferred-until": "fjord/14/1"},
        status=403,
    )
    assert "may not defer a fault" in words(seen)
    assert fault_of(pit, fault).state == "open"


def test_an_ended_deferral_is_open_again(pit: Pit, lead: Client, clock: Hands) -> None:
    fault = logged(pit)
    lead.post(
        f"/faults/{fault}/deferred", {"deferred-why": "holds", "deferred-until": "fjord/14/1"}
    )
    clock.later(110)
    assert "its deferral ended" in lead.get("/faults") and "Open: its deferral ended" in lead.get(
        f"/faults/{fault}"
    )


def test_no_fault_found_and_open_again(pit: Pit, crew: Client) -> None:
    fault = logged(pit, "watch")
    crew.post(f"/faults/{fault}/no_fault_found", {"no_fault_found-why": "shaken, tight"})
    assert fault_of(pit, fault).state == "no_fault_found"
    crew.post(f"/faults/{fault}/open", {"open-why": "came back"})
    assert fault_of(pit, fault).state == "open"


def test_a_move_that_came_too_late_is_kept_as_a_conflict(pit: Pit, crew: Client) -> None:
    """Two people at once: the page was drawn while the fault was open, someone else repaired it
    meanwhile."""
    fault = logged(pit)
    pit.record("fault_move", {"fault": fault, "to": "repaired", "why": "new link"}, LEAD)
    seen = words(crew.post(f"/faults/{fault}/no_fault_found", {"no_fault_found-why": "looks fine"}))
    assert "the move does not count" in seen and "Does not count." in seen
    assert fault_of(pit, fault).state == "repaired"


def test_a_move_wants_its_reason(pit: Pit, crew: Client) -> None:
    fault = logged(pit)
    before = count(pit)
    assert "Say what was done" in words(
        crew.post(f"/faults/{fault}/repaired", {"repaired-why": "  "}, status=400)
    )
    assert "no such page" in words(crew.post(f"/faults/{fault}/dissolved", {}, status=404))
    assert "no such fault" in words(
        crew.post("/faults/none/repaired", {"repaired-why": "x"}, status=404)
    )
    assert count(pit) == before


def test_a_closed_fault_says_how_it_was_closed_not_how_bad_it_was(pit: Pit, crew: Client) -> None:
    fault = logged(pit)
    assert "Stop" in words(crew.get("/faults").partition("<main")[2])
    crew.post(f"/faults/{fault}/no_fault_found", {"no_fault_found-why": "ran it for ten minutes"})
    for path in ("/faults", f"/faults/{fault}"):
        seen = words(crew.get(path).partition("<main")[2])
        assert "No fault found" in seen and "Stop" not in seen


def test_phone_and_laptop_ask_for_the_grade_in_the_same_words() -> None:
    screens = (STATIC / "js/pages/walk/screens.js").read_text(encoding="utf-8")
    assert [
        label for grade, label in GRADES.items() if f'["{grade}", "{label}"]' not in screens
    ] == []
