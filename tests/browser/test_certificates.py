"""The pit's certificates in Chromium with the root in its store: its own names open and keep the
app, any other name is refused."""

import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding

pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: this test drives a real browser"
)

from playwright.sync_api import Error

from pitcrew.pit.tls import CertificateFiles, _sign_leaf, _write_key, ensure_leaf, make_authority
from tests.browser.chromium import browser_that_trusts

pytestmark = pytest.mark.browser
HOST = "pit-3f9a01bc.local"
ADDRESS = "192.168.7.20"
NOW = datetime.now(UTC)


class Pages(BaseHTTPRequestHandler):
    """One page and a service worker that does nothing."""

    def do_GET(self) -> None:
        kind, body = (
            ("text/javascript", b"")
            if self.path == "/sw.js"
            else ("text/html", b"<title>here</title>")
        )
        self.send_response(200)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None:
        """Quiet."""


@pytest.fixture
def files(tmp_path: Path) -> CertificateFiles:
    made = CertificateFiles(tmp_path / "pit")
    make_authority(made, HOST, "Tern", NOW)
    ensure_leaf(made, HOST, [ADDRESS], NOW)
    return made


@contextmanager
def served(files: CertificateFiles) -> Iterator[int]:
    """The page over TLS with the folder's chain; its port."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Pages)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(files.chain, files.leaf_key)
    server.socket = context.wrap_socket(
        server.socket, server_side=True, do_handshake_on_connect=False
    )
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def opened(browser: Any, address: str) -> str:
    """Empty when the page opens, else the browser's reason."""
    page = browser.new_page()
    try:
        page.goto(address)
        return "" if page.title() == "here" else page.title()
    except Error as error:
        return error.message
    finally:
        page.close()


def forge(files: CertificateFiles, host: str, addresses: list[str]) -> None:
    """A leaf that a stolen intermediate signs for someone else's name."""
    key = ec.generate_private_key(ec.SECP256R1())
    leaf = _sign_leaf(files, host, addresses, key, NOW)
    _write_key(files.leaf_key, key)
    files.chain.write_bytes(leaf.public_bytes(Encoding.PEM) + files.intermediate.read_bytes())


def test_its_own_names_open_and_keep_the_app(files: CertificateFiles, tmp_path: Path) -> None:
    with served(files) as port, browser_that_trusts(files, tmp_path / "home") as browser:
        for host in (HOST, ADDRESS, "localhost", "127.0.0.1"):
            assert opened(browser, f"https://{host}:{port}/") == ""
        assert "ERR_CERT_COMMON_NAME_INVALID" in opened(browser, f"https://pit-other.local:{port}/")
        page = browser.new_page()
        page.goto(f"https://{HOST}:{port}/")
        assert page.evaluate(
            "navigator.serviceWorker.register('/sw.js').then(() => isSecureContext)"
        )


@pytest.mark.parametrize(
    ("host", "addresses"), [("example.org", []), ("pit-other.local", []), (HOST, ["8.8.8.8"])]
)
def test_a_stolen_intermediate_opens_no_other_name(
    files: CertificateFiles, tmp_path: Path, host: str, addresses: list[str]
) -> None:
    """Name constraints (RFC 5280, section 4.2.1.10), enforced by the browser on the root and on the
    intermediate."""
    forge(files, host, addresses)
    with served(files) as port, browser_that_trusts(files, tmp_path / "home") as browser:
        assert "ERR_CERT_INVALID" in opened(browser, f"https://{host}:{port}/")


def test_a_browser_without_the_root_opens_nothing(files: CertificateFiles, tmp_path: Path) -> None:
    other = CertificateFiles(tmp_path / "other")
    make_authority(other, HOST, "Other", NOW)
    with served(files) as port, browser_that_trusts(other, tmp_path / "home") as browser:
        assert "ERR_CERT_AUTHORITY_INVALID" in opened(browser, f"https://{HOST}:{port}/")
