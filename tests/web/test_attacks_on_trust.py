"""Attacks on who someone is: other names, other devices, other pits, headers that claim to be the
laptop."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from pitcrew.base.errors import Refused
from pitcrew.domain.now.view import view_of
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pins import WrongPin
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.relay import relayed
from tests.web.conftest import (
    LEAD,
    SETTINGS,
    Client,
    Hands,
    count,
    entry,
    form_token,
    join,
    last,
    words,
)
from tests.web.test_signing import OPEN, PIN, check_all

NOTE = {"text": "all well"}
CLEARED = {"decision": "cleared", "seen_seq": 1}
CAPTAIN = Author("laptop", "Mira", "captain")


def state_of(pit: Pit) -> str:
    """The climb's state by the logbook."""
    with pit.reading() as state:
        return view_of(pit.definitions, state, pit.clock()).clearance.state


def refusals(client: Client, item: dict[str, Any]) -> list[str]:
    """The sentences with which an offered entry is refused."""
    return [found["error"] for found in client.exchange([item]).get_json()["refused"]]


@pytest.fixture
def other(tmp_path: Path, clock: Hands) -> Pit:
    """The pit of another team, with its own key."""
    folder = tmp_path / "other"
    make_folder(folder, SETTINGS, bundled_sheets(), bundled_lists())
    return open_pit(folder, clock, fsync=False)


# --- another pit


def test_what_another_pit_has_sealed_proves_nothing_here(
    pit: Pit, other: Pit, crew: Client
) -> None:
    """A captain's signature and a reading, genuine in the other pit's log, with the entries before
    them."""
    check_all(other)
    other.record("clearance", {"decision": "cleared", "seen_seq": count(other)}, CAPTAIN)
    taken = [relayed(record, other.journal.log) for record in other.journal.after(0)]
    crew.exchange(taken[-20:])
    with pit.reading() as state:
        brought = [found for found in state.entries_by_id.values() if found.origin]
    assert brought and not any(found.origin["proven"] for found in brought)
    assert (
        not any(found.kind in ("definitions", "approval") for found in brought)
        and state_of(pit) == "none"
    )
    other.close()


def test_a_phone_of_another_pit_is_nobody_here(app: Flask, other: Pit) -> None:
    joined = other.roster.join(
        other.roster.make_code("lead", timedelta(minutes=9)), "Eve", "phone", "a"
    )
    answer = app.test_client().get(
        "/api/snapshot", headers={"Authorization": f"Bearer {joined.token}"}
    )
    assert answer.status_code == 401
    other.close()


def test_a_session_of_another_pit_is_nobody_here(app: Flask, other: Pit, lead: Client) -> None:
    from pitcrew.web.app import create_app

    theirs = create_app(other)
    cookie = join(theirs, other, "lead", "Eve").flask.get_cookie("pitcrew").value
    thief = app.test_client()
    thief.set_cookie("pitcrew", cookie)
    assert thief.get("/people").status_code == 302
    other.close()


# --- another name


def test_a_place_in_this_log_that_was_made_up_is_nobodys_proof(pit: Pit, crew: Client) -> None:
    """An entry of the captain's name, said to have stood where a real one of this log stands, with
    that one's seal."""
    real = pit.journal.after(0)[-1]
    made = entry(pit, "note", {"text": "the captain says: fine"}, person="Mira", device="laptop")
    made["origin"] = {"log": pit.journal.log, "seq": real["seq"], "seal": real["seal"]}
    crew.exchange([made])
    with pit.reading() as state:
        found = [item for item in state.entries_by_id.values() if item.id == made["id"]]
    assert all(item.origin and not item.origin["proven"] for item in found)


def test_the_captain_is_no_second_person_on_another_phone(
    app: Flask, pit: Pit, clock: Hands
) -> None:
    """Neither by their own name in Cyrillic letters, nor by a second role."""
    pit.pins.set("Mira", PIN, "", "a")
    captain = join(app, pit, "captain", "Mira")
    pit.record("debrief", {"answers": {"climb_failed": True}}, LEAD, match="fjord/11/1")
    clock.later(1)
    check_all(pit)
    clock.later(1)
    captain.post("/climb/sign", {"sign-pin": PIN, "sign-seen_seq": count(pit)})
    signed = last(pit, "clearance")
    for name in ("Mira", "Мirа", "mira\u200b"):
        twin = join(app, pit, "mentor", name)
        shown = words(
            twin.post("/climb/second/approved", {"second-of": signed.id, "second-pin": PIN}, 403)
        )
        assert "Your name stands to this already" in shown
    assert state_of(pit) == "none"


def test_one_code_is_not_two_names(pit: Pit) -> None:
    code = pit.roster.make_code("captain", timedelta(minutes=15))
    pit.roster.join(code, "Mira", "phone", "a")
    with pytest.raises(Refused, match="devices of somebody else"):
        pit.roster.join(code, "Bob", "phone", "a")


# --- PINs


def test_guesses_spread_over_phones_and_addresses_are_counted_together(
    pit: Pit, clock: Hands
) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    for number in range(3):
        with pytest.raises(WrongPin):
            pit.pins.check("Mira", f"111{number}", f"192.0.2.{number}")
    with pytest.raises(WrongPin, match="Too many"):
        pit.pins.check("Mira", PIN, "192.0.2.99")
    clock.later(0.3)
    pit.pins.check("Mira", PIN, "192.0.2.99")


def test_one_address_that_tries_everybody_is_locked_out(pit: Pit) -> None:
    for number in range(4):
        pit.pins.set(f"Person {number}", PIN, "", "a")
    for number in range(3):
        with pytest.raises(WrongPin):
            pit.pins.check(f"Person {number}", "0000", "192.0.2.9")
    with pytest.raises(WrongPin, match="Too many"):
        pit.pins.check("Person 3", "0000", "192.0.2.9")


@pytest.mark.parametrize(
    "claim",
    [
        {"X-Forwarded-For": "127.0.0.1"},
        {"X-Real-IP": "127.0.0.1"},
        {"Forwarded": "for=127.0.0.1;proto=https"},
        {"Host": "localhost"},
        {"X-Forwarded-Proto": "https"},
        {"X-HTTP-Method-Override": "GET"},
    ],
)
def test_no_header_makes_a_phone_the_laptop(pit: Pit, lead: Client, claim: dict[str, str]) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    data = {"person": "Mira", "csrf_token": form_token(lead.flask)}
    assert lead.flask.post("/people/pin/reset", data=data, headers=claim, **OPEN).status_code == 403
    assert pit.pins.has("Mira")


@pytest.mark.parametrize(
    "pin", ["", "4071 ", "４０７１", "٤٠٧١", "4071\x00", "x" * 100_000, "0" * 12]
)
def test_what_only_looks_like_the_pin_is_not_it(
    app: Flask, pit: Pit, clock: Hands, pin: str
) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    check_all(pit)
    clock.later(1)
    captain = join(app, pit, "captain", "Mira")
    data = {"sign-pin": pin, "sign-seen_seq": count(pit), "csrf_token": form_token(captain.flask)}
    assert (
        captain.flask.post("/climb/sign", data=data).status_code in (400, 403)
        and state_of(pit) == "none"
    )


# --- signing


@pytest.mark.parametrize("more", [1, 10**6, 10**30])
def test_nobody_signs_over_entries_that_are_not_there_yet(
    app: Flask, pit: Pit, clock: Hands, more: int
) -> None:
    """A number beyond the log's end would have covered whatever arrived while the captain
    looked."""
    pit.pins.set("Mira", PIN, "", "a")
    check_all(pit)
    clock.later(1)
    captain = join(app, pit, "captain", "Mira")
    shown = words(
        captain.post("/climb/sign", {"sign-pin": PIN, "sign-seen_seq": count(pit) + more}, 400)
    )
    assert "is not in this logbook" in shown and state_of(pit) == "none"


@pytest.mark.parametrize("at", ["-1", "", "1e3", "0x10", "None"])
def test_what_was_seen_is_a_number_of_this_log(app: Flask, pit: Pit, at: str) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    captain = join(app, pit, "captain", "Mira")
    captain.post("/climb/sign", {"sign-pin": PIN, "sign-seen_seq": at}, 400)
    assert state_of(pit) == "none"


def test_a_kind_named_twice_is_still_refused(pit: Pit, crew: Client) -> None:
    """JSON with the same name twice: whichever reader takes whichever, no signature comes in."""
    made = entry(pit, "note", NOTE)
    raw = (
        f'{{"log": null, "after": 0, "entries": [{{"id": "{made["id"]}", "kind": "note", "kind":'
        f' "clearance", "at": "{made["at"]}","body": {{"decision": "cleared", "seen_seq": 1}},'
        ' "body": {"text": "x"}}]}'
    )
    answer = crew.flask.post("/api/entries", data=raw.encode(), headers=crew.bearer)
    assert answer.get_json()["refused"] and state_of(pit) == "none"


# --- sessions and ranges


def test_a_copied_session_of_a_withdrawn_person_ends_with_it(
    app: Flask, pit: Pit, lead: Client
) -> None:
    captain = join(app, pit, "captain", "Mira")
    copy = app.test_client()
    copy.set_cookie("pitcrew", captain.flask.get_cookie("pitcrew").value)
    assert copy.get("/climb").status_code == 200
    device = next(device for device in pit.roster.devices() if device.person == "Mira")
    lead.post(f"/people/{device.id}/withdraw")
    assert copy.get("/climb").status_code == 302 and copy.post(
        "/climb/sign", data=CLEARED
    ).status_code in (302, 400, 401)
    assert state_of(pit) == "none"


@pytest.mark.parametrize(
    "wanted",
    [
        "bytes=0-999999999999",
        "bytes=-1",
        "bytes=9-2",
        "bytes=" + ",".join(["0-1"] * 2000),
        "bytes=x",
        "lines=1-2",
    ],
)
@pytest.mark.parametrize("path", ["/static/any/css/base.css", "/manifest.webmanifest"])
def test_no_range_of_a_file_breaks_or_swells_the_answer(
    lead: Client, path: str, wanted: str
) -> None:
    whole = len(lead.flask.get(path).data)
    answer = lead.flask.get(path, headers={"Range": wanted})
    assert answer.status_code == 416 or (
        answer.status_code in (200, 206) and len(answer.data) <= whole
    )


@pytest.mark.parametrize(
    "where",
    [
        "bytes 5-2/10",
        "bytes 0-3/1000000000000",
        "bytes 900-903/904",
        "bytes -4-0/4",
        "bytes */4",
        "octets 0-3/4",
        "bytes 0-3/4, bytes 0-3/4",
    ],
)
def test_no_stated_range_of_a_photo_is_believed(pit: Pit, crew: Client, where: str) -> None:
    name = "0195d1a2-0000-7000-8000-00000000000b"
    answer = crew.flask.put(
        f"/api/photos/{name}", data=b"abcd", headers={**crew.bearer, "Content-Range": where}
    )
    assert answer.status_code in (400, 409) and answer.get_json()["error"]
    assert not [
        path for path in pit.folder.rglob("*") if path.is_file() and path.name.startswith(name)
    ]


@pytest.mark.parametrize("after", [-1, 10**30, 1.5, "1", True, None, [1]])
def test_no_place_in_the_log_breaks_the_exchange(pit: Pit, crew: Client, after: Any) -> None:
    head, log = pit.journal.head(), pit.journal.log
    answer = crew.exchange([], log=log, after=after)
    assert (
        answer.status_code in (200, 400, 409)
        and pit.journal.head() == head
        and pit.journal.log == log
    )


HALF = "cut \ud83d"
"""A text whose last letter was cut in half, as `slice` in a browser leaves an emoji."""


def nested(depth: int) -> Any:
    """A list in a list in a list."""
    value: Any = "x"
    for _ in range(depth):
        value = [value]
    return value


@pytest.mark.parametrize(
    "bad",
    [
        {"body": {"text": HALF}},
        {"body": {HALF: "x", "text": "x"}},
        {"robot": HALF},
        {"match": f"a/{HALF}/1"},
        {"kind": HALF},
        {"id": HALF},
        {"shape": HALF},
        {HALF: 1},
        {"origin": {"log": HALF, "seq": 1, "seal": "x"}},
        {"origin": {"log": "x", "seq": 1, "seal": HALF}},
        {"origin": {"log": "x", "seq": 1, "seal": "x", "judged": {HALF: 1}}},
        {"origin": {"log": "x", "seq": 1, "seal": "x", "judged": nested(700)}},
        {"kind": "correction", "body": {"of": "x", "why": "", "body": {"text": nested(700)}}},
    ],
)
def test_what_cannot_be_stored_is_refused_alone(
    pit: Pit, crew: Client, lead: Client, bad: dict[str, Any]
) -> None:
    """Half a letter or deep nesting, wherever it sits, keeps nothing else on the phone, and the
    laptop can show what was refused."""
    answer = crew.exchange(
        [entry(pit, "note", {"text": "bad"}) | bad, entry(pit, "note", {"text": "good"})]
    ).get_json()
    assert (len(answer["refused"]), len(answer["accepted"])) == (1, 1)
    assert last(pit, "note").body["text"] == "good"
    lead.get("/people")


def test_a_proof_with_half_a_letter_proves_nothing(pit: Pit, crew: Client) -> None:
    ahead = pit.journal.head()[0] + 5
    proof = entry(pit, "note", {"text": HALF}) | {"seq": ahead, "seal": "x"}
    assert (
        crew.exchange([], log=pit.journal.log, after=ahead, proof=proof, seal="x").status_code
        == 409
    )


@pytest.mark.parametrize("field", ["name", "device"])
def test_nobody_joins_under_half_a_letter(app: Flask, pit: Pit, lead: Client, field: str) -> None:
    """It would break the page on which a device is withdrawn."""
    code = pit.roster.make_code("crew", timedelta(minutes=15))
    answer = app.test_client().post(
        "/api/join", json={"code": code, "name": "Eve", "device": "phone"} | {field: HALF}
    )
    assert (answer.status_code, answer.get_json()["field"]) == (400, field)
    lead.get("/people")
