"""What is sent small, and what is not."""

import gzip

from flask import Flask


def test_files_and_json_are_compressed_when_asked(app: Flask) -> None:
    client = app.test_client()
    with app.test_request_context():
        from pitcrew.web.shell import asset

        address = asset("css/base.css")
    with (
        client.get(address) as plain,
        client.get(address, headers={"Accept-Encoding": "gzip"}) as small,
    ):
        assert gzip.decompress(small.data) == plain.data
    assert small.headers["Content-Encoding"] == "gzip"
    assert len(small.data) < len(plain.data)
    assert "Content-Encoding" not in plain.headers
    assert "Accept-Encoding" in plain.headers["Vary"]


def test_pages_with_form_tokens_are_not_compressed(app: Flask) -> None:
    """Compression beside a secret and chosen text would give the secret away by length
    (CVE-2013-3587)."""
    answer = app.test_client().get("/join", headers={"Accept-Encoding": "gzip"})
    assert b"csrf_token" in answer.data
    assert "Content-Encoding" not in answer.headers


def test_a_head_request_has_no_body(app: Flask) -> None:
    assert app.test_client().head("/healthz", headers={"Accept-Encoding": "gzip"}).data == b""
