"""A second person confirms a hold test in one tap on another device, or with a PIN on the same one;
no one confirms alone."""

import re

import pytest
from flask import Flask

from pitcrew.base.entries import Entry
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.secondnames import witnesses
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client, Hands, join, last, words
from tests.web.test_signing import body

KEY = "hold-test@climb.ratchet"
PIN = "4071"


@pytest.fixture
def runa(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "crew", "Runa")


@pytest.fixture
def test_by_runa(pit: Pit, runa: Client, clock: Hands) -> Entry:
    """A hold test that Runa's own phone handed over."""
    mine = next(item for item in pit.roster.devices() if item.person == "Runa")
    pit.record("reading", body(pit.definitions.part_checks[KEY]), Author(mine.id, "Runa", "crew"))
    clock.later(1)
    return last(pit, "reading")


def seen_by(pit: Pit, entry: Entry) -> list[str]:
    with pit.reading() as state:
        fact = state.facts[entry.id]
        assert isinstance(fact, Fact)
        return witnesses(state, fact)


def test_one_tap_on_another_phone_confirms_it_and_crew_may(
    app: Flask, pit: Pit, test_by_runa: Entry
) -> None:
    tove = join(app, pit, "crew", "Tove")
    assert "1 waits for a second person" in words(tove.get("/now"))
    page = words(tove.get("/witness"))
    assert "I saw it" in page and "Teeth passed 1" in page and "68 kg" in page
    assert "Tove confirms it." in words(tove.post("/witness", {"of": test_by_runa.id}))
    assert last(pit, "approval").body == {"of": test_by_runa.id, "decision": "confirmed"}
    assert seen_by(pit, test_by_runa) == ["Tove"] and "waits for a second person" not in words(
        tove.get("/now")
    )
    tove.post("/witness", {"of": test_by_runa.id}, 400)


def test_nobody_confirms_the_own_reading(
    app: Flask, pit: Pit, runa: Client, test_by_runa: Entry
) -> None:
    """Not on their own phone, not on another of their own phones, and not with another name on the
    phone that wrote it."""
    again = join(app, pit, "crew", "Runa")
    for client in (runa, again):
        assert "You wrote this" in words(client.get("/witness"))
        client.post("/witness", {"of": test_by_runa.id}, 403)
    pit.record(
        "approval",
        {"of": test_by_runa.id, "decision": "confirmed"},
        Author(test_by_runa.device, "Tove", "crew"),
    )
    pit.record(
        "approval",
        {"of": test_by_runa.id, "decision": "confirmed"},
        Author("laptop", "Runa", "crew"),
    )
    assert seen_by(pit, test_by_runa) == []


def test_a_pin_confirms_on_the_same_device(
    app: Flask, pit: Pit, runa: Client, test_by_runa: Entry
) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    join(app, pit, "captain", "Mira")
    assert "Confirm here with a PIN" in words(runa.get("/witness"))
    given = {"of": test_by_runa.id, "signer": "Mira"}
    assert "That is not your PIN" in words(runa.post("/witness", given | {"pin": "1111"}, 403))
    runa.post("/witness", given | {"signer": "Runa", "pin": PIN}, 403)
    assert seen_by(pit, test_by_runa) == []
    runa.post("/witness", given | {"pin": PIN})
    assert last(pit, "approval").body == {
        "of": test_by_runa.id,
        "decision": "confirmed",
        "by_pin": True,
    }
    assert seen_by(pit, test_by_runa) == ["Mira"]


def test_a_pin_never_goes_over_plain_http(pit: Pit, runa: Client, test_by_runa: Entry) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    from tests.web.conftest import form_token

    data = {
        "of": test_by_runa.id,
        "signer": "Mira",
        "pin": PIN,
        "csrf_token": form_token(runa.flask),
    }
    answer = runa.flask.post("/witness", data=data, environ_base={"REMOTE_ADDR": "192.0.2.9"})
    assert answer.status_code == 403 and seen_by(pit, test_by_runa) == []


def test_a_correction_wants_to_be_seen_again(pit: Pit, test_by_runa: Entry) -> None:
    pit.record("approval", {"of": test_by_runa.id, "decision": "confirmed"}, LEAD)
    assert seen_by(pit, test_by_runa) == ["Ada"]
    pit.record(
        "correction", {"of": test_by_runa.id, "body": test_by_runa.body, "why": "typed wrong"}, LEAD
    )
    assert seen_by(pit, test_by_runa) == []


def test_crew_confirm_and_approve_nothing_else(pit: Pit, test_by_runa: Entry) -> None:
    from pitcrew.base.errors import Refused

    with pytest.raises(Refused, match="may not write an approval"):
        pit.record(
            "approval",
            {"of": test_by_runa.id, "decision": "approved"},
            Author("phone", "Tove", "crew"),
        )


def test_a_phone_cannot_confirm_offline(runa: Client, test_by_runa: Entry) -> None:
    """Its entries come through the exchange, which takes no approval."""
    offer = {
        "id": "01950000-0000-7000-8000-000000000001",
        "kind": "approval",
        "at": "2026-03-07T09:03:00Z",
        "shape": 1,
        "body": {"of": test_by_runa.id, "decision": "confirmed"},
    }
    assert runa.exchange([offer]).json["refused"][0]["id"] == offer["id"]


def test_a_climb_that_held_is_confirmed_the_same_way(
    app: Flask, pit: Pit, runa: Client, clock: Hands
) -> None:
    runa.post("/now/debrief", {"match": "fjord/11/1", "climbed": "yes", "held": "yes"})
    clock.later(1)
    told = last(pit, "debrief")
    tove = join(app, pit, "crew", "Tove")
    assert "it climbed, and held with the power off" in words(tove.get("/witness"))
    tove.post("/witness", {"of": told.id})
    assert "Nothing waits" in words(tove.get("/witness"))


def test_a_phone_that_joins_again_under_another_name_is_still_the_same_phone(
    app: Flask, pit: Pit, runa: Client, test_by_runa: Entry
) -> None:
    """One person, one browser, two names: no one else has seen anything."""
    tove = join(app, pit, "crew", "Tove", runa.flask)
    page = words(tove.get("/witness"))
    assert "I saw it" not in page
    assert "on this device" in words(tove.post("/witness", {"of": test_by_runa.id}, 403))
    ivo = join(app, pit, "crew", "Ivo", tove.flask)
    ivo.post("/witness", {"of": test_by_runa.id}, 403)
    device = next(item for item in pit.roster.devices() if item.person == "Tove")
    pit.record(
        "approval",
        {"of": test_by_runa.id, "decision": "confirmed"},
        Author(device.id, "Tove", "crew"),
    )
    assert seen_by(pit, test_by_runa) == []


def test_a_corrected_entry_says_so_wherever_it_counts(
    app: Flask, pit: Pit, lead: Client, test_by_runa: Entry
) -> None:
    """On the list of what waits for a second person, beside the number of the hold path that rests
    on it, and behind the numbers of Patterns."""
    weighed = body(pit.definitions.part_checks["hold-margin@climb.ratchet"])
    reading = pit.record("reading", weighed, Author("phone of Runa", "Runa", "crew"))
    for item in (test_by_runa, reading):
        pit.record("correction", {"of": item.id, "body": item.body, "why": "typed wrong"}, LEAD)
    marked = "corrected by Ada"
    assert f"Runa , 10:03, {marked}" in words(lead.get("/witness")).replace("10:02", "10:03")
    climb = words(lead.get("/climb"))
    assert climb.count(marked) > 1
    assert re.search(rf"robot as it climbs 67.3 kg: measured by Runa \S+, {marked}", climb)
    assert marked in words(lead.get("/patterns/entries?what=readings"))
