"""Security headers of every answer: own files only, no inline script or style, no framing."""

from urllib.parse import urlsplit

from flask import Flask, Response, current_app, request


def policy(origin: str, port: int) -> str:
    """The content security policy. A phone's page may ask the laptop at any host, but on the
    laptop's two ports only."""
    others = [f"https://*:{urlsplit(origin).port}"] if origin else []
    connect = " ".join(["'self'", *others, *([f"http://*:{port}"] if port else [])])
    return (
        "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:;"
        f" connect-src {connect}; object-src 'none'; base-uri 'none'; form-action 'self';"
        " frame-ancestors 'none'"
    )


def init_app(app: Flask) -> None:
    """Add the headers after each request."""
    app.after_request(_add)


def _add(response: Response) -> Response:
    response.headers.setdefault(
        "Content-Security-Policy", policy(current_app.config["ORIGIN"], current_app.config["PORT"])
    )
    response.headers["Referrer-Policy"] = "same-origin"
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Permissions-Policy"] = "geolocation=(), microphone=()"
    if request.endpoint != "shell.static_file":
        response.headers.setdefault("Cache-Control", "no-store")
    return response
