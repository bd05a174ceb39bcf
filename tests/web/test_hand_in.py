"""Taking in a phone's file on its page, and the page of the camera."""

from io import BytesIO
from typing import Any

import pytest

from pitcrew.exchange.bundle import make_bundle
from pitcrew.pit.pit import Pit
from tests.web.conftest import Client, count, entry, form_token, words


def post_file(client: Client, raw: bytes | None) -> tuple[int, str]:
    data: dict[str, Any] = {"csrf_token": form_token(client.flask)}
    if raw is not None:
        data["file"] = (BytesIO(raw), "ivo.pitcrew.json")
    answer = client.flask.post("/hand-in", data=data, content_type="multipart/form-data")
    return answer.status_code, words(answer.text)


def test_a_file_is_taken_in_and_the_receipt_is_shown(pit: Pit, lead: Client, crew: Client) -> None:
    device = pit.roster.device_of_token(crew.token).id
    raw = make_bundle(
        device, "Ivo", "", "2026-03-07T10:00:00Z", [entry(pit, "note", {"text": "by file"})]
    )
    before = count(pit)
    status, said = post_file(lead, raw)
    assert (status, count(pit)) == (200, before + 1)
    assert "From Ivo: 1 new entries, 0 known before." in said and "Receipt" in said


@pytest.mark.parametrize(
    ("raw", "wanted"),
    [
        (None, "Choose the file"),
        (b"{}", "not a hand-over of a phone"),
        (b"PDF", "Make it again on the phone"),
    ],
)
def test_something_else_is_refused_beside_the_field(
    pit: Pit, lead: Client, raw: bytes | None, wanted: str
) -> None:
    before = count(pit)
    status, said = post_file(lead, raw)
    assert (status, count(pit)) == (400, before) and wanted in said


def test_without_the_library_the_page_says_what_to_install(
    lead: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "Start the camera" in lead.get("/receive")
    monkeypatch.setattr("pitcrew.web.pages.receive.can_read", lambda: False)
    assert "pip install" in words(lead.get("/receive"))
    monkeypatch.setattr("pitcrew.exchange.camera.can_read", lambda: False)
    answer = lead.flask.post("/api/frames", data=b"x", headers=lead.bearer)
    assert answer.status_code == 404 and "pip install" in answer.get_json()["error"]
