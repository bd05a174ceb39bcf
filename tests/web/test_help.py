"""The help page for phones: open to all, on plain http, with what each phone system takes."""

import plistlib
import re

import pytest
from flask.testing import FlaskClient

from pitcrew.pit.folder import pit_host
from pitcrew.pit.pit import Pit
from pitcrew.pit.tls import CertificateFiles, fingerprint, root_der
from pitcrew.web.app import create_app
from tests.web.conftest import words


@pytest.fixture
def stranger(pit: Pit) -> FlaskClient:
    """A phone that no one has let in, on plain http."""
    return create_app(pit, origin=f"https://{pit_host(pit.folder)}:8443", port=8765).test_client()


def test_the_steps_of_both_phone_systems_and_the_fingerprint(
    pit: Pit, stranger: FlaskClient
) -> None:
    page = stranger.get("/help")
    said = words(page.text)
    assert (
        page.status_code == 200
        and "Certificate Trust Settings" in said
        and "Install a certificate" in said
    )
    assert fingerprint(CertificateFiles(pit.folder)) in said
    assert f'href="https://{pit_host(pit.folder)}:8443/join"' in page.text
    assert page.text.count('class="drawing phone-step"') == 8


def test_every_drawing_says_what_to_press(stranger: FlaskClient) -> None:
    labels = re.findall(r'phone-step"[^>]*aria-label="([^"]+)"', stranger.get("/help").text)
    assert len(labels) == 8 and all(": press " in label for label in labels)


def test_the_certificate_as_android_and_computers_take_it(pit: Pit, stranger: FlaskClient) -> None:
    answer = stranger.get("/ca.crt")
    assert (answer.status_code, answer.content_type) == (200, "application/x-x509-ca-cert")
    assert answer.data == root_der(CertificateFiles(pit.folder))
    assert answer.headers["Content-Disposition"].endswith('.crt"')


def test_the_profile_as_iphones_take_it(pit: Pit, stranger: FlaskClient) -> None:
    answer = stranger.get("/ca.mobileconfig")
    assert (answer.status_code, answer.content_type) == (200, "application/x-apple-aspen-config")
    (payload,) = plistlib.loads(answer.data)["PayloadContent"]
    assert payload["PayloadType"] == "com.apple.security.root" and payload[
        "PayloadContent"
    ] == root_der(CertificateFiles(pit.folder))


def test_where_the_app_finds_the_laptop_when_it_does_not_by_itself(
    stranger: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each address that the certificate may name, in figures and as a code; a public one is not
    among them."""
    monkeypatch.setattr(
        "pitcrew.pit.addresses.addresses", lambda: ["172.20.10.2", "192.168.1.20", "203.0.113.9"]
    )
    page = stranger.get("/help").text
    section = page[page.index('id="addresses"') :]
    assert (
        re.findall(r"<code>([^<]+)</code>", section) == ["172.20.10.2:8443", "192.168.1.20:8443"]
        and section.count("<svg") == 2
    )
    monkeypatch.setattr("pitcrew.pit.addresses.addresses", lambda: [])
    assert "No network is up" in words(stranger.get("/help").text)


def test_without_https_it_says_so(pit: Pit) -> None:
    said = words(create_app(pit).test_client().get("/help").text)
    assert "no https at the moment" in said and "pitcrew certificates" in said


def test_without_certificates_the_way_out_is_named(pit: Pit, stranger: FlaskClient) -> None:
    CertificateFiles(pit.folder).root.unlink()
    for path in ("/ca.crt", "/ca.mobileconfig"):
        answer = stranger.get(path)
        assert answer.status_code == 404 and "pitcrew certificates" in words(answer.text)
    assert stranger.get("/help").status_code == 200
