"""Static files under a name that changes with their content, the manifest, and the health of the server."""

import hashlib
from functools import cache
from pathlib import Path

from flask import Blueprint, Response, abort, jsonify, send_from_directory, url_for

from pitcrew.paths import STATIC
from pitcrew.web.access import PUBLIC, needs
from pitcrew.web.here import the_pit

blueprint = Blueprint("shell", __name__)
A_YEAR = 365 * 24 * 3600


def static_files() -> list[Path]:
    """Every file of static/, in a fixed order."""
    return sorted(path for path in STATIC.rglob("*") if path.is_file())


@cache
def build() -> str:
    """Twelve digits over all static files: the same build, the same addresses."""
    digest = hashlib.sha256()
    for path in static_files():
        digest.update(path.relative_to(STATIC).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file: `asset('css/base.css')`."""
    return url_for("shell.static_file", build_id=build(), name=name)


@blueprint.get("/static/<build_id>/<path:name>")
@needs(*PUBLIC)
def static_file(build_id: str, name: str) -> Response:
    """A static file; one of another build is answered as this one's, uncached."""
    if not (STATIC / name).is_file():
        abort(404)
    response = send_from_directory(STATIC, name, max_age=A_YEAR if build_id == build() else 0)
    if build_id == build():
        response.cache_control.immutable = True
    return response


@blueprint.get("/manifest.webmanifest")
@needs(*PUBLIC)
def manifest() -> Response:
    """The web app manifest."""
    return send_from_directory(STATIC, "manifest.webmanifest", mimetype="application/manifest+json")


@blueprint.get("/healthz")
@needs(*PUBLIC)
def health() -> Response:
    """Whether the server answers, which log it keeps, and how far that log goes."""
    journal = the_pit().journal
    return jsonify(ok=True, log=journal.log, head=journal.head()[0])
