"""Whoever made an entry can correct it or take it back; the original stays readable.

What is right here is common practice of logbooks: strike out, never erase, and say who and why.
"""

from typing import Any

import pytest
from flask import Flask

from pitcrew.base.entries import Entry
from pitcrew.base.kinds import a_spoken
from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, LEAD, SLACK, Client, count, entry, join, last, slack, words


@pytest.fixture
def runa(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "crew", "Runa")


@pytest.fixture
def slip(pit: Pit, runa: Client) -> str:
    """The id of Runa's reading of 60 mm, which was meant to be 6 mm less than 16."""
    made = entry(pit, "reading", slack(pit, 60), match="fjord/11/1")
    assert runa.exchange([made]).get_json()["refused"] == []
    return made["id"]


def answers(body: dict[str, Any], **more: str) -> dict[str, str]:
    """The form of a reading as it is filled in, with other answers."""
    typed = {f"input_{name}": str(item["typed"]) for name, item in body["inputs"].items()}
    return typed | {f"input_{name}": text for name, text in more.items()}


def stands(pit: Pit) -> tuple[str, float | None]:
    """The verdict and number of the chain's last reading."""
    with pit.reading() as state:
        found = state.readings.get(SLACK, [])
        return (found[-1].verdict, found[-1].result) if found else ("none", None)


def test_its_author_corrects_a_number(pit: Pit, runa: Client, slip: str) -> None:
    assert stands(pit)[0] == "stop"
    page = runa.get(f"/corrections/{slip}")
    assert "Correct a reading" in words(page) and 'value="60"' in page
    form = answers(slack(pit, 60), travel="10") | {"match": "fjord/11/1", "why": "typed 60"}
    seen = words(runa.post(f"/corrections/{slip}", form))
    assert stands(pit) == ("ok", 0.010)
    assert "What it said before" in seen and "60 mm" in seen and "typed 60" in seen


def test_a_typed_number_that_cannot_be_read_is_asked_again(
    pit: Pit, runa: Client, slip: str
) -> None:
    before = count(pit)
    form = answers(slack(pit, 60), travel="ten") | {"match": "", "why": "because"}
    page = runa.post(f"/corrections/{slip}", form, 400)
    assert 'value="ten"' in page and 'value="because"' in page and 'class="error"' in page
    assert count(pit) == before


def test_the_match_is_corrected(pit: Pit, runa: Client, slip: str) -> None:
    form = answers(slack(pit, 60)) | {"match": "", "why": "at home"}
    runa.post(f"/corrections/{slip}", form)
    with pit.reading() as state:
        assert state.readings[SLACK][-1].match is None
    runa.post(f"/corrections/{slip}", form | {"match": "fjord/11/1"})
    with pit.reading() as state:
        assert state.readings[SLACK][-1].match == "fjord/11/1"


def test_taken_by_mistake_and_back_again(pit: Pit, runa: Client, slip: str) -> None:
    seen = words(runa.post(f"/corrections/{slip}/mistake", {"why": "wrong chain"}))
    assert stands(pit)[0] == "none" and "Taken back" in seen and "wrong chain" in seen
    assert "60" in words(runa.get(f"/corrections/{slip}")), "the original stays readable"
    runa.post(f"/corrections/{slip}/back")
    assert stands(pit) == ("stop", 0.060)


def test_what_was_never_taken_back_does_not_come_back(pit: Pit, runa: Client, slip: str) -> None:
    """Nothing is written down: an entry about the hold path would end a signature."""
    before = count(pit)
    refused = words(runa.post(f"/corrections/{slip}/back", {}, 403))
    assert "never taken back" in refused and count(pit) == before
    runa.post(f"/corrections/{slip}/mistake", {"why": "wrong chain"})
    again = words(runa.post(f"/corrections/{slip}/mistake", {"why": "wrong chain"}, 403))
    assert "taken back before" in again and count(pit) == before + 1
    runa.post("/corrections/no-such-entry/back", {}, 404)
    assert count(pit) == before + 1


def test_the_page_names_check_part_and_fields(runa: Client, slip: str) -> None:
    page = words(runa.get(f"/corrections/{slip}"))
    assert (
        "Correct a reading Chain slack, Lift chain, left It says: What was measured: up and down together , Whole travel: 60 mm"
        in page
    )


@pytest.mark.parametrize("kind, called", [
    ("skipped", "a skipped check"), ("approval", "a second name"), ("access", "a change of who may come in"),
    ("temporary", "a temporary state"), ("from-a-newer-program", "a from-a-newer-program"),
])  # fmt: skip
def test_kinds_of_entries_have_names_that_people_say(kind: str, called: str) -> None:
    assert a_spoken(kind) == called


@pytest.mark.parametrize("act", ["", "/mistake", "/back"])
def test_others_may_not(app: Flask, pit: Pit, slip: str, act: str) -> None:
    """Not even under the author's name on another phone."""
    other = join(app, pit, "crew", "Runa")
    before = count(pit)
    page = words(other.get(f"/corrections/{slip}"))
    assert "Only its author or the pit lead corrects it" in page and "Save" not in page
    form = answers(slack(pit, 60), travel="10") | {"match": "", "why": "x"}
    other.post(f"/corrections/{slip}{act}", form, 403)
    assert count(pit) == before and stands(pit)[0] == "stop"


def test_the_lead_may(pit: Pit, lead: Client, slip: str) -> None:
    lead.post(f"/corrections/{slip}/mistake", {"why": "Runa asked me to"})
    assert stands(pit)[0] == "none"


def test_a_stop_on_a_climb_part_stays_on_climb(pit: Pit, runa: Client) -> None:
    """Until the captain has seen it (section 1 of the climb's rules in DEVELOPERS.md)."""
    robot = pit.definitions.robot
    assert robot
    part = next(part.id for part in robot.parts.values() if part.climb_critical)
    body = {"part": part, "symptom": "crack", "grade": "stop"}
    made = entry(pit, "fault", body)
    runa.exchange([made])
    page = runa.get(f"/corrections/{made['id']}")
    assert "ends the captain's signature" in words(page)
    runa.post(f"/corrections/{made['id']}/mistake", {"why": "it was dirt"})
    assert "Stops that were taken out" in words(runa.get("/climb"))


def test_a_fault_gets_another_part_and_grade(pit: Pit, runa: Client) -> None:
    other = next(part for part in pit.definitions.robot.parts if part != CHAIN)
    made = entry(pit, "fault", {"part": other, "symptom": "rattle", "grade": "stop"})
    runa.exchange([made])
    form = {"part": CHAIN, "symptom": "rattles", "grade": "watch", "match": "", "why": "wrong side"}
    seen = words(runa.post(f"/corrections/{made['id']}", form))
    with pit.reading() as state:
        fault = state.faults[made["id"]]
    assert (fault.part, fault.symptom, fault.grade) == (CHAIN, "rattles", "watch")
    assert "rattles" in seen


def recorded(pit: Pit, client: Client, path: str, form: dict[str, str], kind: str) -> Entry:
    client.post(path, form)
    return last(pit, kind)


def test_a_closed_temporary_state_is_opened_again(pit: Pit, runa: Client) -> None:
    form = {"part": CHAIN, "done": "Taken off", "what": "guard", "blocks": "y"}
    made = recorded(pit, runa, "/temporary", form, "temporary")
    done = recorded(pit, runa, f"/temporary/{made.id}/undone", {}, "temporary_undone")
    runa.post(f"/corrections/{done.id}/mistake", {"why": "still off"})
    with pit.reading() as state:
        assert state.temporaries[made.id].open
    form = {"part": CHAIN, "what": "Taken off: the other guard", "match": "", "why": "which one"}
    runa.post(f"/corrections/{made.id}", form)
    with pit.reading() as state:
        found = state.temporaries[made.id]
    assert (found.what, found.blocks) == ("Taken off: the other guard", False)


def test_a_battery_went_elsewhere(pit: Pit, runa: Client) -> None:
    made = recorded(pit, runa, "/batteries/2/move", {"to": "channel", "where": "3"}, "battery_move")
    form = {"to": "channel", "where": "", "match": "", "why": "other channel"}
    assert "Type the channel" in runa.post(f"/corrections/{made.id}", form, 400)
    runa.post(f"/corrections/{made.id}", form | {"where": "4"})
    with pit.reading() as state:
        assert state.battery_moves["2"][-1].body.where == "4"


def test_what_is_signed_stands(pit: Pit, lead: Client) -> None:
    with pit.reading() as state:
        signed = next(e for e in state.entries_by_id.values() if e.kind == "definitions")
    assert "cannot be corrected" in words(lead.get(f"/corrections/{signed.id}"))
    lead.post(f"/corrections/{signed.id}/mistake", {"why": "x"}, 403)


def test_an_unknown_entry_is_not_found(lead: Client) -> None:
    assert "no such entry" in lead.get("/corrections/0", 404)


def test_an_approval_stands(pit: Pit, lead: Client) -> None:
    measured = pit.record("reading", slack(pit, 10), LEAD)
    given = pit.record("approval", {"of": measured.id, "decision": "confirmed"}, LEAD)
    before = count(pit)
    assert "cannot be corrected" in lead.post(f"/corrections/{given.id}/mistake", {"why": "x"}, 403)
    assert count(pit) == before
