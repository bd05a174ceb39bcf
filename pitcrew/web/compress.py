"""Answers made small with gzip: files of the app and JSON. Pages are left as they are, since they
hold form tokens beside words that others typed (a compressed secret beside chosen text can be
guessed by length)."""

import gzip

from flask import Flask, Response, request

KINDS = frozenset(
    {
        "application/json",
        "text/css",
        "text/javascript",
        "application/javascript",
        "image/svg+xml",
        "application/manifest+json",
    }
)
SMALLEST = 600
LEVEL = 6


def init_app(app: Flask) -> None:
    """Compress what may be compressed, after each request."""
    app.after_request(_compress)


def _compress(response: Response) -> Response:
    if (
        response.mimetype not in KINDS
        or response.status_code != 200
        or "Content-Encoding" in response.headers
    ):
        return response
    response.vary.add("Accept-Encoding")
    if request.method not in ("GET", "POST") or "gzip" not in request.accept_encodings:
        return response
    response.direct_passthrough = False
    body = response.get_data()
    if len(body) >= SMALLEST:
        response.set_data(gzip.compress(body, LEVEL, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
        if response.get_etag()[0]:
            response.set_etag(f"{response.get_etag()[0]}-gzip")
    return response
