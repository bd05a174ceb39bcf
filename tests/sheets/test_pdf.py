"""Printing in a child process: a PDF comes back, or one sentence that says why not and what to
do."""

import http.server
import io
import sys
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import StreamObject

from pitcrew.base.errors import BadInput
from pitcrew.base.paths import ROOT
from pitcrew.sheets.pdf import NoPrinter, render_pdf, write_pdf
from pitcrew.sheets.render import rendered

PAGE = (
    "<!doctype html><html lang='en'><head><title>Sheet</title></head><body><h1>Chain"
    " slack</h1>{}</body></html>"
)
ADVICE = "Use the print view in the browser instead."


def printer(code: str) -> tuple[str, ...]:
    """A print process that does something else."""
    return (sys.executable, "-c", code)


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_a_page_becomes_a_pdf() -> None:
    pdf = render_pdf(PAGE.format("<p>12,4 mm ≤ 15 mm</p>"))
    assert "Chain slack" in text_of(pdf)
    assert "12,4 mm ≤ 15 mm" in text_of(pdf)


def test_what_the_libraries_print_does_not_get_into_the_pdf() -> None:
    code = "import os; os.write(1, b'%PDF-1.7 kept'); os.write(2, b'a warning')"
    assert render_pdf("", printer=printer(code)) == b"%PDF-1.7 kept"


def test_a_missing_library_is_named_with_the_way_out() -> None:
    code = (
        "import sys; print(\"cannot load library 'libgobject-2.0-0'\", file=sys.stderr);"
        " sys.exit(3)"
    )
    with pytest.raises(NoPrinter) as caught:
        render_pdf("<p>", printer=printer(code))
    assert "libgobject-2.0-0" in caught.value.sentence
    assert "apt install" in caught.value.sentence
    assert caught.value.sentence.endswith(ADVICE)


def test_the_real_print_process_says_that_a_library_is_missing() -> None:
    """WeasyPrint raises OSError at import where Pango is not installed."""
    code = (
        "import sys, types\nclass NoPango:\n    def find_spec(self, name, path=None,"
        " target=None):\n        if name == 'weasyprint': print('a text block'); raise"
        " OSError(\"cannot load library 'libpango-1.0-0'\")\nsys.meta_path.insert(0,"
        " NoPango())\nfrom pitcrew.sheets.render import main; sys.exit(main())"
    )
    with pytest.raises(NoPrinter, match="libpango"):
        render_pdf("<p>", printer=printer(code))


def test_a_crash_is_a_sentence() -> None:
    """Without any font the text library crashes with signal 11."""
    code = "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)"
    with pytest.raises(NoPrinter, match="signal 11"):
        render_pdf("<p>", printer=printer(code))


def test_a_print_process_that_hangs_is_ended() -> None:
    with pytest.raises(NoPrinter, match="took longer than"):
        render_pdf("<p>", timeout=0.5, printer=printer("import time; time.sleep(600)"))


def test_a_failure_without_a_message_is_a_sentence() -> None:
    for code in ("raise SystemExit(1)", "raise ValueError('no such thing')", "pass"):
        with pytest.raises(NoPrinter) as caught:
            render_pdf("<p>", printer=printer(code))
        assert "Traceback" not in caught.value.sentence
        assert caught.value.sentence.endswith(ADVICE)


def test_no_python_at_all_is_a_sentence() -> None:
    with pytest.raises(NoPrinter, match="did not start"):
        render_pdf("<p>", printer=("/no/such/printer",))


@pytest.fixture
def watched() -> Iterator[tuple[str, list[str]]]:
    """A web server that notes what is asked of it."""
    asked: list[str] = []

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            asked.append(self.path)
            self.send_error(404)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing."""

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    server.server_close()


def test_nothing_is_fetched(watched: tuple[str, list[str]], tmp_path: Path) -> None:
    """Addresses in a page are not followed, neither on the network nor on the disk."""
    address, asked = watched
    secret = tmp_path / "secret.svg"
    secret.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="20"><text'
        ' y="15">hidden</text></svg>'
    )
    inner = (
        f'<img src="{address}/a.png"><link rel="stylesheet" href="{address}/b.css"><img'
        f' src="{secret.as_uri()}"><style>@import url({address}/c.css); h1 {{ background:'
        f' url({address}/d.png) }}</style><link rel="attachment" href="{secret.as_uri()}"><iframe'
        f' src="{address}/e"></iframe>'
    )
    pdf = rendered(PAGE.format(inner))
    assert asked == []
    assert "hidden" not in text_of(pdf)
    assert PdfReader(io.BytesIO(pdf)).attachments == {}


def test_a_picture_in_the_page_itself_is_printed() -> None:
    svg = (
        "<svg xmlns='http://www.w3.org/2000/svg' width='90' height='20'><text y='15'>slack"
        " side</text></svg>"
    )
    assert "slack side" in text_of(
        rendered(PAGE.format(f'<img src="data:image/svg+xml;utf8,{svg}">'))
    )


def test_a_file_that_cannot_be_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pitcrew.sheets.pdf.render_pdf", rendered)
    with pytest.raises(BadInput, match="Name another file"):
        write_pdf(PAGE.format(""), tmp_path / "no" / "folder" / "sheet.pdf")
    write_pdf(PAGE.format(""), tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF-")


def test_no_place_of_this_machine_stands_in_a_pdf(tmp_path: Path) -> None:
    """Neither plainly nor in the streams once they are unpacked: a sheet may be given to
    anyone."""
    from pitcrew.demo import make_demo
    from pitcrew.sheets.handoff import handoff_from_folder

    make_demo(tmp_path / "demo", datetime(2026, 3, 7, 12, 0, tzinfo=UTC))
    pdf = rendered(handoff_from_folder(tmp_path / "demo", "captain")[0])
    reader = PdfReader(io.BytesIO(pdf))
    unpacked = b"".join(
        item.get_data()
        for number in range(1, len(reader.xref[0]) + 1)
        if isinstance(item := reader.get_object(number), StreamObject)
    )
    for place in (str(ROOT), str(tmp_path), str(Path.home())):
        assert place.encode() not in pdf + unpacked
        assert place not in str(reader.metadata)
    assert len(unpacked) > 1000
