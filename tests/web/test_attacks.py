"""Attacks, one a test: what someone on the network, with a stolen code, phone or token, or with a
crew phone may try."""

import io
import json
import struct
import zlib
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask

from pitcrew.base.entries import new_id
from pitcrew.base.errors import Refused
from pitcrew.base.seal import seal_of
from pitcrew.domain.logbook.people import may_write
from pitcrew.domain.now.view import view_of
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.pit.roster import ROLES
from pitcrew.web.forms import Form
from tests.web.conftest import (
    CHAIN,
    LEAD,
    Client,
    Hands,
    entry,
    form_token,
    join,
    last,
    slack,
    words,
)
from tests.web.test_signing import OPEN, PIN

EVIL = "https://evil.example"
PHOTO = "0195d1a2-0000-7000-8000-00000000000a"
NOTE = {"text": "all well"}


def refused(client: Client, item: dict[str, Any]) -> str:
    """The sentence with which the one offered entry is refused; empty where it was taken."""
    found = client.exchange([item]).get_json()
    return found["refused"][0]["error"] if found["refused"] else ""


# --- codes and tokens


def test_a_used_code_lets_nobody_in(app: Flask, pit: Pit) -> None:
    code = pit.roster.make_code("captain", timedelta(minutes=15), uses=1)
    pit.roster.join(code, "Mira", "phone", "a")
    answer = app.test_client().post("/api/join", json={"code": code, "name": "Eve", "device": "x"})
    assert answer.status_code == 403 and not any(
        device.person == "Eve" for device in pit.roster.devices()
    )


def test_a_late_code_lets_nobody_in(app: Flask, pit: Pit, clock: Hands) -> None:
    code = pit.roster.make_code("lead", timedelta(minutes=15))
    clock.later(16)
    assert (
        app.test_client()
        .post("/api/join", json={"code": code, "name": "Eve", "device": "x"})
        .status_code
        == 403
    )


def test_guessing_codes_costs_growing_time(app: Flask) -> None:
    stranger = app.test_client()
    for number in range(8):
        answer = stranger.post(
            "/api/join", json={"code": f"AAAA-AAA{number}", "name": "Eve", "device": "x"}
        )
    assert "Wait" in answer.get_json()["error"]


@pytest.mark.parametrize("token", ["", "x", "Bearer", "\u2603", "a" * 5000, "null", "' or 1=1 --"])
def test_a_made_up_token_opens_nothing(onlooker: Client, token: str) -> None:
    stranger = onlooker.flask.application.test_client()
    answer = stranger.get(
        "/api/snapshot", headers={"Authorization": f"Bearer {token}".encode().decode("latin-1")}
    )
    assert answer.status_code == 401


def test_the_token_of_a_withdrawn_phone(pit: Pit, crew: Client) -> None:
    device = next(device for device in pit.roster.devices() if device.person == "Ivo")
    pit.roster.withdraw(device.id)
    before = pit.journal.head()
    assert (
        crew.exchange([entry(pit, "note", NOTE)]).status_code == 401
        and pit.journal.head() == before
    )


def test_the_stored_hash_of_a_token_is_no_token(app: Flask, pit: Pit, crew: Client) -> None:
    """Who reads roster.json has no key to the exchange."""
    stolen = next(device.token for device in pit.roster.devices() if device.person == "Ivo")
    assert (
        app.test_client()
        .get("/api/snapshot", headers={"Authorization": f"Bearer {stolen}"})
        .status_code
        == 401
    )


# --- entries


def test_a_replayed_entry_changes_nothing(app: Flask, pit: Pit, crew: Client) -> None:
    item = entry(pit, "note", NOTE)
    first = crew.exchange([item]).get_json()["accepted"][0]["seq"]
    head = pit.journal.head()
    assert (
        crew.exchange([item]).get_json()["accepted"][0]["seq"] == first
        and pit.journal.head() == head
    )


def test_another_phone_cannot_take_over_an_entry(app: Flask, pit: Pit, crew: Client) -> None:
    item = entry(pit, "note", NOTE)
    crew.exchange([item])
    eve = join(app, pit, "crew", "Eve")
    assert "taken by an entry with other content" in refused(
        eve, {**item, "body": {"text": "changed"}}
    )
    assert last(pit, "note").person == "Ivo"


def test_a_replay_under_another_id_stands_under_the_repeaters_own_name(
    app: Flask, pit: Pit, crew: Client
) -> None:
    item = entry(pit, "note", NOTE)
    crew.exchange([item])
    eve = join(app, pit, "crew", "Eve")
    assert refused(eve, {**item, "id": new_id(pit.clock())}) == ""
    assert last(pit, "note").person == "Eve"


@pytest.mark.parametrize("field, value", [("person", "Mira"), ("device", "laptop")])
def test_nobody_writes_as_another(pit: Pit, crew: Client, field: str, value: str) -> None:
    refused(crew, {**entry(pit, "note", NOTE), field: value})
    assert all(
        getattr(found, field) != value
        for found in pit._state.entries_by_id.values()
        if found.kind == "note"
    )


@pytest.mark.parametrize(
    "field, value",
    [
        ("seq", 1),
        ("seal", "0" * 64),
        ("received_at", "2026-03-07T09:00:00Z"),
        ("offset", 3600),
        ("judged", {"verdict": "ok"}),
        ("role", "captain"),
    ],
)
def test_the_laptops_own_fields_cannot_be_offered(
    pit: Pit, crew: Client, field: str, value: Any
) -> None:
    before = pit.journal.head()
    assert (
        refused(crew, {**entry(pit, "note", NOTE), field: value}) and pit.journal.head() == before
    )


def test_a_forged_seal_proves_nothing(pit: Pit, crew: Client) -> None:
    """A clearance with an invented place in another log and a seal made without the pit's key."""
    made = entry(pit, "clearance", {"decision": "cleared", "seen_seq": 0})
    made["origin"] = {"log": "0" * 32, "seq": 7, "seal": seal_of(b"not the key", "", made)}
    refused(crew, made)
    with pit.reading() as state:
        assert not state.clearances or all(
            fact.entry.origin and not fact.entry.origin["proven"] for fact in state.clearances
        )
        found = view_of(pit.definitions, state, pit.clock()).clearance
    assert found.state == "none"


@pytest.mark.parametrize("kind", ["clearance", "approval", "definitions"])
@pytest.mark.parametrize("role", ROLES)
def test_signed_kinds_never_come_through_the_exchange(
    clients: dict[str, Client], pit: Pit, role: str, kind: str
) -> None:
    signed = {"decision": "cleared", "seen_seq": 1}
    bodies = {
        "clearance": signed,
        "approval": {"of": "x", "decision": "approved"},
        "definitions": {"digests": {}},
    }
    before = pit.journal.head()
    assert refused(clients[role], entry(pit, kind, bodies[kind])) and pit.journal.head() == before


WELL_FORMED: dict[str, dict[str, Any]] = {
    "skipped": {"check": "chain-slack", "part": CHAIN, "why": "no time"},
    "fault": {"part": CHAIN, "symptom": "slack", "grade": "watch"},
    "fault_move": {"fault": PHOTO, "to": "repaired"},
    "temporary": {"part": CHAIN, "what": "x"},
    "temporary_undone": {"temporary": PHOTO},
    "part_change": {"part": CHAIN, "identical": True},
    "match_run": {"label": "x"},
    "returned": {},
    "debrief": {},
    "note": NOTE,
    "battery_move": {"battery": "1", "to": "bench"},
    "battery_test": {"battery": "1"},
    "handoff": {"audience": "shift", "head": "1:ab"},
}


@pytest.mark.parametrize("kind", WELL_FORMED)
def test_the_exchange_holds_to_the_table_of_roles(
    clients: dict[str, Client], pit: Pit, kind: str
) -> None:
    """Each kind by each role, well formed, so that nothing but the role decides."""
    for role, client in clients.items():
        said = refused(client, entry(pit, kind, WELL_FORMED[kind], match="fjord/18/1"))
        assert (said == "") is may_write(role, kind), (role, kind, said)
        assert said == "" or "may not write" in said


def test_a_crew_phone_cannot_defer(pit: Pit, crew: Client) -> None:
    fault = pit.record("fault", {"part": CHAIN, "symptom": "slack", "grade": "stop"}, LEAD)
    move = {"fault": fault.id, "to": "deferred", "why": "x", "until": "fjord/18/1"}
    assert "may not defer" in refused(crew, entry(pit, "fault_move", move))


def test_a_crew_phone_cannot_correct_what_others_wrote(pit: Pit, crew: Client) -> None:
    note = pit.record("note", NOTE, LEAD)
    assert "Only its author or the pit lead" in refused(
        crew, entry(pit, "correction", {"of": note.id, "body": None, "why": "x"})
    )


def test_a_phones_own_verdict_does_not_stand_alone(pit: Pit, crew: Client) -> None:
    """60 mm of slack sent as `ok`, with a limit that allows it: the laptop judges by its own, and
    the worse stands."""
    forged = slack(pit, 60) | {"verdict": "ok", "limit": {"unit": "m", "stop_high": 9.0}}
    crew.exchange([entry(pit, "reading", forged)])
    with pit.reading() as state:
        assert state.readings["chain-slack@lift.chain.left"][-1].verdict == "stop"


# --- requests


@pytest.mark.parametrize(
    "body, status",
    [
        (b"[" * 100_000, 400),
        (b'{"entries":' * 5000, 400),
        (b"{", 400),
        (b"[]", 400),
        (b'{"entries": {}}', 400),
        (b'{"after": -1}', 400),
        (b'{"after": 1e400}', 400),
        (b'{"log": 7}', 400),
        (b'{"sent_at": "9999-99-99"}', 400),
        (b"\xff\xfe", 400),
        (json.dumps({"entries": [{}] * 201}).encode(), 413),
        (b'{"x": "' + b"a" * 300_000 + b'"}', 413),
    ],
)
def test_bad_json_is_refused_in_a_sentence(onlooker: Client, body: bytes, status: int) -> None:
    answer = onlooker.flask.post("/api/entries", data=body, headers=onlooker.bearer)
    assert answer.status_code == status and answer.get_json()["error"]


@pytest.mark.parametrize("value", ["a" * 10_000, "\x00", "a\x1b[31m", "\x7f"])
def test_hostile_texts_are_refused(pit: Pit, crew: Client, value: str) -> None:
    assert refused(crew, entry(pit, "note", {"text": value}))


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        '"><img src=x onerror=alert(1)>',
        "</textarea><svg onload=alert(1)>",
        "{{ 7 * 7 }}",
        "=1+1",
        "\u202ecod.exe",
        "🤖🔧",
        "&lt;b&gt;",
        "</script><script>x</script>",
        "javascript:alert(1)",
    ],
)
def test_hostile_notes_are_shown_as_text(pit: Pit, crew: Client, text: str) -> None:
    pit.record("note", {"text": text, "part": CHAIN}, LEAD)
    pit.record("fault", {"part": CHAIN, "symptom": text, "grade": "stop"}, LEAD)
    for path in ("/now", "/faults", f"/parts/{CHAIN}", "/walk", "/climb", "/print/handoff"):
        page = crew.get(path)
        assert (
            "<script>alert" not in page
            and "<img src=x" not in page
            and "<svg onload" not in page
            and "<script>x" not in page
        ), path
        assert text not in page or "<" not in text, path


def test_hostile_names_stay_within_their_element(app: Flask, pit: Pit, lead: Client) -> None:
    for name in ("<b>Eve</b>", "=cmd|'/c'!A1", "\u202eEve", "Eve\r\nSet-Cookie: x=1"):
        join(app, pit, "crew", name)
    page = lead.get("/people")
    assert "<b>Eve" not in page and page.count("<bdi>") >= 4


@pytest.mark.parametrize(
    "path",
    [
        "/photos/../secrets/pit.json",
        "/photos/%2e%2e%2fsecrets%2fpit.json",
        "/photos/..%5csecrets",
        "/static/x/../../secrets/pit.json",
        "/static/x/%2e%2e/%2e%2e/pitcrew.toml",
        "/print/handoff?audience=../../etc/passwd",
        "/parts/..%2f..%2fsecrets",
    ],
)
def test_no_path_leads_out(onlooker: Client, path: str) -> None:
    answer = onlooker.flask.get(path)
    assert (
        answer.status_code in (400, 404, 308)
        and onlooker.flask.application.extensions["pit"].session_key not in answer.text
    )


@pytest.mark.parametrize("name", ["..%2f..%2fx", "x" * 300, PHOTO.upper(), "%00"])
def test_no_photo_is_written_elsewhere(pit: Pit, crew: Client, name: str) -> None:
    answer = crew.flask.put(f"/api/photos/{name}", data=b"x", headers=crew.bearer)
    assert answer.status_code in (400, 404)
    assert not [path for path in pit.folder.rglob("*x*") if path.suffix == ".jpg"]


def bomb() -> bytes:
    """A PNG of a few hundred bytes that says it is 60 000 × 60 000 pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 100_000, 9))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "content", [bomb(), b"GIF89a" + b"\0" * 50, b"<svg onload='x'/>", b"#!/bin/sh\n", b"%PDF-1.7"]
)
def test_what_is_no_photo_or_a_bomb_is_refused(pit: Pit, crew: Client, content: bytes) -> None:
    answer = crew.flask.put(f"/api/photos/{PHOTO}", data=content, headers=crew.bearer)
    assert answer.status_code == 400 and answer.get_json()["error"]
    assert not list((pit.folder / "photos").glob("*.jpg"))


def test_a_photo_is_made_anew_without_what_was_hidden_in_it(pit: Pit, crew: Client) -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, "JPEG", comment=b"<script>secret</script>")
    assert (
        crew.flask.put(
            f"/api/photos/{PHOTO}", data=out.getvalue() + b"PK\x03\x04hidden", headers=crew.bearer
        ).status_code
        == 200
    )
    kept = crew.flask.get(f"/photos/{PHOTO}")
    assert (
        b"secret" not in kept.data
        and b"hidden" not in kept.data
        and kept.headers["X-Content-Type-Options"] == "nosniff"
    )


# --- browsers


def test_a_form_of_another_session_is_refused(app: Flask, pit: Pit, lead: Client) -> None:
    token = form_token(app.test_client())
    assert (
        lead.flask.post("/people/code", data={"role": "lead", "csrf_token": token}).status_code
        == 400
    )


def test_a_cookie_alone_does_not_open_the_exchange(lead: Client) -> None:
    assert lead.flask.post("/api/entries", json={"entries": []}).status_code == 401


def test_a_page_of_another_origin_may_not_read(crew: Client) -> None:
    answer = crew.flask.get("/api/snapshot", headers={**crew.bearer, "Origin": EVIL})
    assert "Access-Control-Allow-Origin" not in answer.headers
    before = crew.flask.options(
        "/api/entries", headers={"Origin": EVIL, "Access-Control-Request-Method": "POST"}
    )
    assert "Access-Control-Allow-Origin" not in before.headers


@pytest.mark.parametrize("path", ["/now", "/climb", "/join", "/nowhere"])
def test_every_page_forbids_framing_and_foreign_script(onlooker: Client, path: str) -> None:
    rules = onlooker.flask.get(path).headers["Content-Security-Policy"]
    assert (
        "frame-ancestors 'none'" in rules and "script-src 'self'" in rules and "unsafe" not in rules
    )


@pytest.mark.parametrize(
    "target",
    ["//evil.example", EVIL, "/\\evil.example", "/now\r\nSet-Cookie: x=1", "javascript:alert(1)"],
)
def test_no_redirect_leads_away(onlooker: Client, target: str) -> None:
    page = onlooker.flask.application.test_client().get("/join", query_string={"next": target})
    assert (
        "evil.example" not in page.text
        and "javascript:" not in page.text
        and "x=1" not in page.headers.get("Set-Cookie", "")
    )


def test_a_wrong_host_header_moves_nobody(app: Flask) -> None:
    answer = app.test_client().get("/now", headers={"Host": "evil.example"})
    assert answer.status_code == 302 and answer.location.startswith("/join")


def test_the_session_cookie_is_guarded_and_secure_under_https(app: Flask, pit: Pit) -> None:
    for base, wanted, name in (
        ("http://localhost", False, "pitcrew="),
        ("https://localhost", True, "__Secure-pitcrew="),
    ):
        browser = app.test_client()
        cookie = browser.get("/join", base_url=base).headers["Set-Cookie"]
        assert (
            cookie.startswith(name)
            and "HttpOnly" in cookie
            and "SameSite=Lax" in cookie
            and ("Secure;" in cookie) is wanted
        )


def test_a_session_that_was_tampered_with_is_nobody(app: Flask, pit: Pit, lead: Client) -> None:
    cookie = lead.flask.get_cookie("pitcrew").value
    thief = app.test_client()
    thief.set_cookie("pitcrew", cookie[:-2] + ("AA" if cookie[-2:] != "AA" else "BB"))
    assert thief.get("/now").status_code == 302


# --- roles, PINs, the laptop


@pytest.mark.parametrize("role", ["crew", "mentor", "lead"])
def test_nobody_but_the_captain_signs(clients: dict[str, Client], pit: Pit, role: str) -> None:
    pit.pins.set(role.capitalize(), PIN, "", "a")
    clients[role].post("/climb/sign", {"sign-pin": PIN, "sign-seen_seq": 1}, 403)
    with pytest.raises(Refused):
        pit.record("clearance", {"decision": "cleared", "seen_seq": 1}, Author("x", "Eve", role))


def test_a_crew_phone_sets_no_pin_for_the_captains_name(app: Flask, pit: Pit) -> None:
    """Someone who joins as crew under the captain's name gets no PIN, and with it no signature."""
    eve = join(app, pit, "crew", "Mira")
    eve.post("/people/pin", {"new": "5920", "again": "5920"}, 403)
    assert not pit.pins.has("Mira")


def test_a_pin_is_reset_on_the_laptop_alone_and_written_down(
    app: Flask, pit: Pit, lead: Client
) -> None:
    pit.pins.set("Mira", PIN, "", "a")
    data = {"person": "Mira", "csrf_token": form_token(lead.flask)}
    assert lead.flask.post(
        "/people/pin/reset", data=data, **OPEN
    ).status_code == 403 and pit.pins.has("Mira")
    lead.post("/people/pin/reset", {"person": "Mira"})
    assert not pit.pins.has("Mira") and (
        last(pit, "access").body == {"what": "pin_reset", "person": "Mira", "role": "", "by": "Ada"}
    )


def test_no_command_is_handed_over_without_the_secret(app: Flask, pit: Pit) -> None:
    for headers in ({}, {"X-Pitcrew-Secret": ""}, {"X-Pitcrew-Secret": "x" * 64}):
        answer = app.test_client().post("/hand-over/code", json={"role": "lead"}, headers=headers)
        assert answer.status_code == 403


def test_no_secret_is_on_any_page_or_in_any_answer(app: Flask, pit: Pit, lead: Client) -> None:
    pit.pins.set("Ada", PIN, "", "a")
    texts = [lead.get(path) for path in ("/now", "/people", "/climb", "/verify", "/print/handoff")]
    texts += [lead.flask.get("/api/snapshot", headers=lead.bearer).text, lead.exchange([]).text]
    hashes = [device.token for device in pit.roster.devices()] + [
        pit.key.hex(),
        pit.session_key,
        lead.token,
        pit.pins._hashes["Ada"],
    ]
    assert not [secret for secret in hashes for text in texts if secret in text]


def test_a_correction_cannot_undo_a_refusal(pit: Pit, clients: dict[str, Client]) -> None:
    no = pit.record(
        "clearance",
        {"decision": "refused", "seen_seq": 1, "why": "odd sound"},
        Author("x", "Captain", "captain"),
    )
    for client in clients.values():
        client.exchange(
            [
                entry(
                    pit,
                    "correction",
                    {"of": no.id, "body": {"decision": "cleared", "seen_seq": 99}, "why": "x"},
                )
            ]
        )
    with pit.reading() as state:
        assert view_of(pit.definitions, state, pit.clock()).clearance.state == "refused"


def test_a_head_typed_as_a_bomb_is_refused(lead: Client) -> None:
    for text in ("9" * 5000 + ":abcdabcd", ":" * 50, "1:" + "a" * 5000):
        lead.post("/verify", {"head": text}, 400)


# --- what arrives where it does not belong


def forms_of(kind: type[Form]) -> list[type[Form]]:
    """All forms that there are."""
    return [found for below in kind.__subclasses__() for found in (below, *forms_of(below))]


def test_a_text_that_arrives_as_a_file_is_no_text(app: Flask, lead: Client) -> None:
    """Every form of every page, all its fields sent as file parts."""
    with app.test_request_context():
        names = {name for form in forms_of(Form) for name in form()._fields if name != "csrf_token"}
    names |= {f"{place}-{name}" for place in ("sign", "refuse", "second") for name in names}
    pages = [
        rule.build({name: "x" for name in rule.arguments})
        for rule in app.url_map.iter_rules()
        if "POST" in (rule.methods or ())
    ]
    assert len(pages) > 20
    for page in [found[1] for found in pages if found]:
        data = {name: (io.BytesIO(b"x"), "x.txt") for name in names}
        answer = lead.flask.post(
            page,
            data={**data, "csrf_token": form_token(lead.flask)},
            content_type="multipart/form-data",
        )
        assert answer.status_code < 500, (page, words(answer.text))


def test_a_full_disk_changes_no_pin_and_no_device_and_says_so(
    pit: Pit, lead: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    lead.post("/people/pin", {"new": "4071", "again": "4071"})
    joined = pit.roster.join(pit.roster.make_code("crew", timedelta(minutes=5)), "Bo", "phone", "b")

    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pitcrew.pit.roster.replace_whole", full)
    for page, fields in (
        ("/people/pin", {"old": "4071", "new": "4082", "again": "4082"}),
        ("/people/code", {"role": "crew"}),
        (f"/people/{joined.device.id}/withdraw", {}),
    ):
        said = words(lead.post(page, fields, status=507))
        assert "No space left on device" in said and "nothing was changed" in said
    pit.pins.check("Ada", "4071", "a")
    assert pit.roster.device_of_token(joined.token).withdrawn_at == ""


def test_one_device_begins_a_few_photos_and_is_told_why_no_more(
    crew: Client, lead: Client, clock: Hands
) -> None:
    def begin(client: Client, number: int) -> Any:
        place = {"Content-Range": "bytes 0-9/4000"}
        return client.flask.put(
            f"/api/photos/0195d1a2-0000-7000-8000-{number:012x}",
            data=b"0" * 10,
            headers=client.bearer | place,
        )

    answers = [begin(crew, number) for number in range(40)]
    taken = [answer for answer in answers if answer.status_code == 202]
    assert 4 <= len(taken) <= 20
    assert answers[-1].status_code == 429 and "has begun" in answers[-1].get_json()["error"]
    assert begin(lead, 50).status_code == 202, "another device is not held up"
    assert begin(crew, 0).status_code == 202, "what was begun goes on"
    clock.later(180)
    assert begin(crew, 60).status_code == 202, "what was given up is thrown away"
