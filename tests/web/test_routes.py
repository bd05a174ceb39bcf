"""Closed by default: every route names who may use it, and everyone else is turned away with a
sentence."""

from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from werkzeug.routing import Rule

from pitcrew.base.paths import STATIC
from pitcrew.pit.commands import import_log
from pitcrew.pit.photos import PhotoPart, PhotoStore
from pitcrew.pit.pit import Pit
from pitcrew.pit.roster import ROLES
from tests.web.conftest import CHAIN, LEAD, Client, form_token, slack, words

EVERYBODY = frozenset(ROLES)
DECIDERS = frozenset({"captain", "mentor", "lead"})
PUBLIC = {
    "join.page",
    "join.start",
    "shell.static_file",
    "shell.manifest",
    "shell.worker",
    "shell.page",
    "shell.health",
    "handing_over.page",
    "api.join",
    "help.page",
    "help.certificate",
    "help.profile",
}
"""What needs no joining: joining itself, what a phone keeps to open without the laptop, whether the
server lives."""
LAPTOP_ALONE = {"handover.command"}
NARROWER = {
    "schedule.add": DECIDERS,
    "schedule.cancel": DECIDERS,
    "schedule.preview": DECIDERS,
    "schedule.store": DECIDERS,
    "starts.started": DECIDERS,
    "starts.replay": DECIDERS,
    "signing.sign": frozenset({"captain"}),
    "signing.refuse": frozenset({"captain"}),
    "signing.second": DECIDERS,
    "pins.own": DECIDERS,
    "pins.reset": frozenset({"lead"}),
    "builder.page": frozenset({"lead"}),
    "builder.add": frozenset({"lead"}),
    "builder.remove": frozenset({"lead"}),
    "builder.answer": frozenset({"lead"}),
    "builder.usual": frozenset({"lead"}),
    "builder.write": frozenset({"lead"}),
    "mistakes.update": frozenset({"lead"}),
    "people.code": frozenset({"lead"}),
    "pictures.page": frozenset({"lead"}),
    "people.withdraw": frozenset({"lead"}),
}
"""Routes that not every member may use. A new route that is not named here must be open to all four
roles."""

PICTURE = (STATIC / "icons" / "icon-192.png").read_bytes()


def rules(app: Flask, method: str) -> Iterator[Rule]:
    """The page routes that take a method, without the public ones and the exchange."""
    for rule in app.url_map.iter_rules():
        if (
            method in (rule.methods or ())
            and rule.endpoint not in PUBLIC | LAPTOP_ALONE
            and not rule.rule.startswith("/api/")
        ):
            yield rule


@pytest.fixture(autouse=True)
def no_print_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Roles are tried here; the PDF itself is tried once, in test_print.py."""
    monkeypatch.setattr("pitcrew.web.pages.printing.render_pdf", lambda html: b"%PDF-")
    monkeypatch.setattr("pitcrew.web.pages.patterns.render_pdf", lambda html: b"%PDF-")


@pytest.fixture
def known(pit: Pit) -> dict[str, Any]:
    """An id for each variable part of a route."""
    fault = pit.record("fault", {"part": CHAIN, "symptom": "slack", "grade": "watch"}, LEAD)
    temporary = pit.record("temporary", {"part": CHAIN, "what": "Taken off: guard"}, LEAD)
    measured = pit.record("reading", slack(pit, 10), LEAD)
    photo = "0195d1a2-0000-7000-8000-000000000001"
    PhotoStore(pit.folder, pit.clock).put(
        photo, PhotoPart(0, len(PICTURE), PICTURE), "phone", "Ivo"
    )
    log = pit.folder / "log.csv"
    log.write_text(
        "time,volts,amps\n"
        + "".join(f"{at / 50},{12.5 - at % 9 * 0.2:.2f},{at % 9 * 10}\n" for at in range(200))
    )
    digest = import_log(pit, str(log), "1", "11")["file"]
    return {
        "digest": digest,
        "decision": "approved",
        "fault_id": fault.id,
        "to": "repaired",
        "temporary_id": temporary.id,
        "part_id": CHAIN,
        "reading_id": measured.id,
        "entry_id": measured.id,
        "name": "1",
        "device_id": "none",
        "photo_id": photo,
    }


def address(rule: Rule, known: dict[str, Any]) -> str:
    """A route's path with known ids in it."""
    path = rule.rule
    for name in rule.arguments:
        path = path.replace(f"<{name}>", known[name])
    assert "<" not in path, f"tests: give {rule.rule} its ids"
    return path


def test_every_route_names_its_roles(app: Flask) -> None:
    bare = [
        rule.rule
        for rule in app.url_map.iter_rules()
        if not getattr(app.view_functions[rule.endpoint], "needs", ())
    ]
    assert bare == []


def test_what_is_open_to_all_is_listed(app: Flask) -> None:
    public = {
        rule.endpoint
        for rule in app.url_map.iter_rules()
        if app.view_functions[rule.endpoint].needs == ("public",)
    }
    assert public == PUBLIC


def test_each_role_gets_the_pages_it_may(
    app: Flask, clients: dict[str, Client], known: dict[str, Any]
) -> None:
    for rule in rules(app, "GET"):
        allowed = NARROWER.get(rule.endpoint, EVERYBODY)
        for role, client in clients.items():
            status = client.flask.get(address(rule, known)).status_code
            assert status == (200 if role in allowed else 403), (rule.rule, role, status)


def test_each_role_may_post_what_is_its_own(
    app: Flask, clients: dict[str, Client], known: dict[str, Any]
) -> None:
    """An empty form is refused for its content (or taken, where it needs none), never for the role
    of one who may. Who may correct which entry is tried in test_corrections.py."""
    known = known | {"entry_id": "none"}
    tokens = {role: form_token(client.flask) for role, client in clients.items()}
    for rule in rules(app, "POST"):
        allowed = NARROWER.get(rule.endpoint, EVERYBODY)
        for role, client in clients.items():
            answer = client.flask.post(address(rule, known), data={"csrf_token": tokens[role]})
            if role in allowed:
                assert answer.status_code in (200, 302, 400, 404, 409), (
                    rule.rule,
                    role,
                    answer.status_code,
                )
            else:
                assert answer.status_code == 403, (rule.rule, role, answer.status_code)
                assert f"you joined as {role}" in words(answer.text)


def test_who_has_not_joined_is_led_to_join(app: Flask, known: dict[str, Any]) -> None:
    stranger = app.test_client()
    token = form_token(stranger)
    for rule in rules(app, "GET"):
        answer = stranger.get(address(rule, known))
        assert answer.status_code == 302 and answer.location.startswith("/join?next="), rule.rule
    for rule in rules(app, "POST"):
        answer = stranger.post(address(rule, known), data={"csrf_token": token})
        assert answer.status_code == 401, rule.rule
        assert "has not joined" in words(answer.text)


def test_a_form_without_its_token_stores_nothing(
    app: Flask, pit: Pit, lead: Client, known: dict[str, Any]
) -> None:
    before = pit.journal.head()
    for rule in rules(app, "POST"):
        answer = lead.flask.post(
            address(rule, known), data={"part": CHAIN, "identical": "yes", "what": "x"}
        )
        assert answer.status_code == 400, rule.rule
    assert pit.journal.head() == before


def test_a_withdrawn_device_is_out_at_once(pit: Pit, crew: Client) -> None:
    device = next(device for device in pit.roster.devices() if device.person == "Ivo")
    pit.roster.withdraw(device.id)
    assert crew.flask.get("/now").status_code == 302
    assert crew.exchange([]).status_code == 401


def test_errors_are_sentences(lead: Client) -> None:
    nowhere = lead.get("/nowhere", 404)
    assert "no such page" in words(nowhere) and "To Now" in nowhere
    assert "no such fault" in words(lead.get("/faults/none", 404))
    assert "Nearest: lift.chain.left" in words(lead.get("/parts/lift.chain.lef", 400))
    assert "is not known" in words(lead.get("/walk?zone=nowhere", 400))
