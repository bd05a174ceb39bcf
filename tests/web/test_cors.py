"""Phones ask from the origin where their app lives; no one else's page is let in by the browser."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from pitcrew.pit.pit import Pit
from pitcrew.web.app import create_app
from tests.web.conftest import Client, join

HOME = "https://pit-1234abcd.local:8443"


@pytest.fixture
def app(pit: Pit) -> Flask:
    return create_app(pit, origin=HOME, port=8765)


@pytest.fixture
def bare(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.mark.parametrize(
    "path",
    [
        "/api/entries",
        "/api/snapshot",
        "/api/photos/0195d1a2-0000-7000-8000-000000000001",
        "/api/join",
    ],
)
def test_a_preflight_is_answered_without_a_token(bare: FlaskClient, path: str) -> None:
    answer = bare.options(path, headers={"Origin": HOME, "Access-Control-Request-Method": "PUT"})
    assert (answer.status_code, answer.headers["Access-Control-Allow-Origin"]) == (204, HOME)
    assert {"authorization", "content-type"} <= set(
        answer.headers["Access-Control-Allow-Headers"].split(", ")
    )
    assert {"POST", "PUT"} <= set(answer.headers["Access-Control-Allow-Methods"].split(", "))
    assert "Origin" in answer.headers["Vary"]


@pytest.mark.parametrize(
    "origin",
    [
        "https://evil.example",
        "null",
        "",
        HOME + ".evil.example",
        "http://pit-1234abcd.local:8443",
        "https://pit-1234abcd.local",
        "*",
    ],
)
def test_other_origins_are_not_named(bare: FlaskClient, origin: str) -> None:
    for answer in (
        bare.options("/api/entries", headers={"Origin": origin}),
        bare.get("/api/snapshot", headers={"Origin": origin}),
    ):
        assert "Access-Control-Allow-Origin" not in answer.headers
        assert "Origin" in answer.headers["Vary"]


def test_the_asked_address_itself_is_an_origin(bare: FlaskClient) -> None:
    answer = bare.get(
        "/api/snapshot",
        base_url="http://192.168.7.7:8765",
        headers={"Origin": "http://192.168.7.7:8765"},
    )
    assert answer.headers["Access-Control-Allow-Origin"] == "http://192.168.7.7:8765"


def test_errors_too_can_be_read_across_origins(bare: FlaskClient) -> None:
    answer = bare.post("/api/entries", json={}, headers={"Origin": HOME})
    assert (answer.status_code, answer.headers["Access-Control-Allow-Origin"]) == (401, HOME)
    assert "safe" in answer.get_json()["error"]


def test_pages_are_never_open_across_origins(bare: FlaskClient) -> None:
    answer = bare.get("/join", headers={"Origin": HOME})
    assert "Access-Control-Allow-Origin" not in answer.headers


def test_credentials_are_never_allowed(bare: FlaskClient) -> None:
    """The exchange knows bearer tokens alone, so no browser may send cookies along."""
    assert (
        "Access-Control-Allow-Credentials"
        not in bare.options("/api/entries", headers={"Origin": HOME}).headers
    )


def test_pages_may_ask_the_laptop_at_any_host_on_its_two_ports(bare: FlaskClient) -> None:
    policy = bare.get("/join").headers["Content-Security-Policy"]
    assert "connect-src 'self' https://*:8443 http://*:8765;" in policy


def test_the_exchange_tells_where_to_try_next_time(
    app: Flask, pit: Pit, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The lasting origin first; a public address has no https, since no certificate of the pit may
    name it."""
    monkeypatch.setattr("pitcrew.pit.addresses.addresses", lambda: ["172.20.10.2", "203.0.113.9"])
    client: Client = join(app, pit, "crew")
    assert client.exchange([]).get_json()["addresses"] == [
        HOME,
        "https://172.20.10.2:8443",
        "http://172.20.10.2:8765",
        "http://203.0.113.9:8765",
    ]
