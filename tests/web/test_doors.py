"""The pit's doors: joins, withdrawals, lock-outs and PIN resets are entries that the laptop alone
writes, and a reset PIN ends what was signed with it."""

from typing import Any

import pytest
from flask import Flask

from pitcrew.domain.logbook.doors import pin_resets
from pitcrew.domain.now.view import view_of
from pitcrew.pit.admission import reset_pin
from pitcrew.pit.export import rows
from pitcrew.pit.pit import Pit
from pitcrew.pit.verify import verify_folder
from tests.web.conftest import LEAD, Client, Hands, entry, join, last, words
from tests.web.test_signing import PIN, captain, check_all, ready, sign

__all__ = ["captain", "ready"]


def doors(pit: Pit) -> list[tuple[str, str, str]]:
    """Of each step at the door: what, whose, and by whom it was done."""
    return [
        (record["body"]["what"], record["body"]["person"], record["body"].get("by", ""))
        for record in pit.journal.after(0)
        if record["kind"] == "access" and record.get("device") == record.get("person") == "laptop"
    ]


def state_of_climb(pit: Pit) -> tuple[str, str]:
    with pit.reading() as state:
        found = view_of(pit.definitions, state, pit.clock()).clearance
    return found.state, found.why


def test_every_step_at_the_door_is_an_entry_of_the_laptops(
    app: Flask, pit: Pit, lead: Client
) -> None:
    captain = join(app, pit, "captain", "Mira")
    captain.post("/people/pin", {"new": PIN, "again": PIN})
    for _ in range(3):
        captain.post("/people/pin", {"old": "9999", "new": "8642", "again": "8642"}, status=400)
    lead.post("/people/pin/reset", {"person": "Mira"})
    device = pit.roster.device_of_token(captain.token).id
    lead.post(f"/people/{device}/withdraw")
    assert doors(pit) == [
        ("joined", "Ada", ""),
        ("joined", "Mira", ""),
        ("pin_set", "Mira", "Mira"),
        ("locked_out", "Mira", ""),
        ("pin_reset", "Mira", "Ada"),
        ("withdrawn", "Mira", "Ada"),
    ]
    assert last(pit, "access").body["device"] == device
    page = words(lead.get("/people"))
    for said in (
        "Mira joined as captain.",
        "The PIN of Mira was reset by Ada.",
        "Wrong PINs for Mira: locked out for 15 s.",
        "A device of Mira was withdrawn by Ada.",
    ):
        assert said in page
    assert not verify_folder(pit.folder).bad
    with pit.reading() as state:
        assert [row["kind"] for row in rows(state)].count("access") == 6
        assert state.conflicts == []


@pytest.mark.parametrize("more", [{}, {"origin": {"log": "0" * 32, "seq": 4, "seal": "f" * 64}}])
@pytest.mark.parametrize("kind", ["clearance", "approval", "definitions", "access"])
@pytest.mark.parametrize("role", ["crew", "captain", "lead"])
def test_no_phone_writes_what_pages_and_the_laptop_write(
    clients: dict[str, Client], pit: Pit, role: str, kind: str, more: dict
) -> None:
    bodies: dict[str, dict[str, Any]] = {
        "clearance": {"decision": "cleared", "seen_seq": 1},
        "approval": {"of": "x", "decision": "approved"},
        "definitions": {"digests": {}},
        "access": {"what": "pin_reset", "person": "Captain"},
    }
    before = doors(pit)
    answer = clients[role].exchange([entry(pit, kind, bodies[kind], **more)]).get_json()
    if more and (kind == "clearance" or (kind, role) == ("access", "lead")):
        with pit.reading() as state:
            assert state_of_climb(pit)[0] == "none" and pin_resets(state.accesses) == [], (
                "what another log says is history"
            )
    else:
        assert [item["id"] for item in answer["accepted"]] == [] and len(answer["refused"]) == 1
    assert doors(pit) == before


def test_a_note_in_the_old_words_is_a_note_and_no_more(ready: Pit, captain: Client) -> None:
    sign(captain)
    captain.exchange(
        [entry(ready, "note", {"text": "The PIN of Mira was reset on the laptop by Ada."})]
    )
    assert state_of_climb(ready)[0] == "cleared"


def test_a_reset_pin_ends_what_was_signed_with_it_and_shows_on_climb(
    ready: Pit, captain: Client, lead: Client
) -> None:
    sign(captain)
    assert state_of_climb(ready)[0] == "cleared"
    lead.post("/people/pin/reset", {"person": "Mira"})
    assert state_of_climb(ready) == (
        "void",
        (
            "The PIN of Mira was reset by Ada after the signature (entry"
            f" {ready.journal.head()[0]}), so it has to be signed again."
        ),
    )
    page = words(lead.get("/climb"))
    assert (
        "Void" in page
        and "The PIN of Mira was reset by Ada. What Mira signed or approved before that no longer counts."
        in page
    )
    captain.post("/people/pin", {"new": "8642", "again": "8642"})
    assert "Cleared" in sign(captain, pin="8642")
    assert "The PIN of Mira was reset by Ada." in words(captain.get("/climb")), (
        "whoever looks still sees it"
    )


def test_a_reset_while_the_captain_looks_is_shown_before_anything_is_signed(
    ready: Pit, captain: Client
) -> None:
    import re

    at = re.search(r'name="sign-seen_seq"[^>]*value="(\d+)"', captain.get("/climb"))
    ready.pins.set("Alma", "5920", "", "a")
    reset_pin(ready, "Alma", "Ada")
    assert at and "1 entry came in since you opened this page" in sign(captain, 409, at=at[1])


def test_a_reset_of_the_second_name_ends_the_signature_as_well(
    app: Flask, ready: Pit, captain: Client, clock: Hands
) -> None:
    ready.record("debrief", {"answers": {"climb_failed": True}}, LEAD, match="fjord/11/1")
    clock.later(1)
    check_all(ready)
    clock.later(1)
    sign(captain)
    ready.pins.set("Vera", "5920", "", "a")
    mentor = join(app, ready, "mentor", "Vera")
    mentor.post(
        "/climb/second/approved", {"second-of": last(ready, "clearance").id, "second-pin": "5920"}
    )
    assert state_of_climb(ready)[0] == "cleared"
    reset_pin(ready, "Vera", "Ada")
    assert state_of_climb(ready)[0] == "void"


def test_what_cannot_be_written_down_is_not_done(
    app: Flask, pit: Pit, lead: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    from pitcrew.base.errors import DiskFull

    pit.pins.set("Ada", PIN, "", "a")
    before = len(pit.roster.devices())

    def full(*_: Any, **__: Any) -> None:
        raise DiskFull("The disk is full: this is not stored on the laptop.")

    monkeypatch.setattr(pit.journal, "append", full)
    with pytest.raises(AssertionError, match="507"):
        join(app, pit, "crew", "Ivo")
    lead.post("/people/pin/reset", {"person": "Ada"}, status=507)
    assert len(pit.roster.devices()) == before and pit.pins.has("Ada")
