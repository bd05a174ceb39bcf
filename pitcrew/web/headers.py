"""Security headers of every answer: own files only, no inline script or style, no framing."""

from flask import Flask, Response, request

POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def init_app(app: Flask) -> None:
    """Add the headers after each request."""
    app.after_request(_add)


def _add(response: Response) -> Response:
    response.headers.setdefault("Content-Security-Policy", POLICY)
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Permissions-Policy"] = "geolocation=(), microphone=()"
    if request.endpoint != "shell.static_file":
        response.headers.setdefault("Cache-Control", "no-store")
    return response
