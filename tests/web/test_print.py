"""Print: looking records nothing, making one does, and without a printer the page offers the print
view."""

import pytest

from pitcrew.base.seal import head_text
from pitcrew.pit.pit import Pit
from pitcrew.sheets.pdf import NoPrinter
from tests.web.conftest import Client, count, form_token, last, words


def test_looking_records_nothing(pit: Pit, crew: Client) -> None:
    before = count(pit)
    page = crew.get("/print/handoff?audience=captain")
    assert "for the safety captain" in words(page) and "sheet.css" in page
    assert count(pit) == before


def test_making_one_is_recorded_with_the_head_that_it_shows(pit: Pit, crew: Client) -> None:
    head = head_text(*pit.journal.head())
    page = crew.post("/print/handoff", {"audience": "shift"}, status=200)
    assert head in page
    assert last(pit, "handoff").body == {"audience": "shift", "head": head}
    assert head in crew.get("/print")


def test_the_pdf(pit: Pit, crew: Client) -> None:
    answer = crew.flask.post(
        "/print/handoff.pdf", data={"audience": "drivers", "csrf_token": form_token(crew.flask)}
    )
    assert (answer.status_code, answer.mimetype, answer.data[:5]) == (
        200,
        "application/pdf",
        b"%PDF-",
    )
    assert last(pit, "handoff").body["audience"] == "drivers"


def test_without_a_printer_the_print_view_is_offered(
    pit: Pit, crew: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(html: str) -> bytes:
        raise NoPrinter(
            "The PDF could not be made here: a library is missing. Use the print view in the"
            " browser instead."
        )

    monkeypatch.setattr("pitcrew.web.pages.printing.render_pdf", fails)
    before = count(pit)
    page = crew.post("/print/handoff.pdf", {"audience": "shift"})
    assert (
        "Use the print view in the browser instead." in words(page)
        and "Print from the browser" in page
    )
    assert count(pit) == before


def test_an_unknown_reader_is_said(crew: Client) -> None:
    assert "audience" in words(crew.get("/print/handoff?audience=press", 400))
