"""What a phone keeps to open without the laptop: files under names that change with their content,
the shell page, the service worker, the manifest; and the health of the server."""

import hashlib
import json
from functools import cache
from mimetypes import guess_type
from pathlib import Path
from typing import Any

from flask import Blueprint, Response, abort, jsonify, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.paths import STATIC, TEMPLATES
from pitcrew.domain.now.worsening import OWN, WORSENS
from pitcrew.web.access import PUBLIC, needs
from pitcrew.web.frame import menu_for
from pitcrew.web.packing import SCRIPTS, STYLES, packed
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen, in_menu, the_screens, works_alone

blueprint = Blueprint("shell", __name__)
A_YEAR = 365 * 24 * 3600
WORKER = "js/sw.js"
PACKED = {STYLES: "text/css", SCRIPTS: "text/javascript"}
"""What is packed, with its kind."""
TABLE = {"rows": WORSENS, "own": OWN}
"""What worsens readiness on a phone on its own."""


def static_files() -> list[Path]:
    """Every file of static/, in a fixed order."""
    return sorted(path for path in STATIC.rglob("*") if path.is_file())


@cache
def _names() -> frozenset[str]:
    return frozenset(path.relative_to(STATIC).as_posix() for path in static_files())


def kept_files() -> list[str]:
    """What a phone keeps: the packed files, the script that sets the theme before a page is drawn,
    the icons."""
    return [
        *PACKED,
        "js/theme.js",
        *(path.relative_to(STATIC).as_posix() for path in static_files() if path.suffix == ".png"),
    ]


def build() -> str:
    """Twelve digits over all static files, templates, menu words and the table in the shell page:
    the same build, the same addresses and the same shell page."""
    return _build(the_screens())


@cache
def _build(screens: tuple[Screen, ...]) -> str:
    menu = [(screen.menu, screen.path) for screen in in_menu(screens)]
    digest = hashlib.sha256("".join(packed(name, screens) for name in PACKED).encode())
    digest.update(json.dumps([TABLE, menu]).encode())
    for path in [*static_files(), *sorted(TEMPLATES.rglob("*.html"))]:
        digest.update(
            path.relative_to(STATIC.parent).as_posix().encode() + b"\0" + path.read_bytes() + b"\0"
        )
    return digest.hexdigest()[:12]


def asset(name: str) -> str:
    """The address of a static file: `asset('icons/icon-180.png')`."""
    return url_for("shell.static_file", build_id=build(), name=name)


@blueprint.get("/static/<build_id>/<path:name>")
@needs(*PUBLIC)
def static_file(build_id: str, name: str) -> Response:
    """A static or packed file; one of another build is answered as this one's, uncached."""
    if name in PACKED:
        response = Response(packed(name, the_screens()), mimetype=PACKED[name])
    elif (
        name in _names()
    ):  # read whole: a file left open for a range that cannot be had would stay open
        response = Response((STATIC / name).read_bytes(), mimetype=guess_type(name)[0])
    else:
        abort(404)
    response.add_etag()
    response.make_conditional(request)
    response.cache_control.max_age = A_YEAR if build_id == build() else 0
    response.cache_control.immutable = build_id == build()
    return response


@blueprint.get("/shell")
@needs(*PUBLIC)
def page() -> ResponseReturnValue:
    """The page that phones keep, under its own address."""
    return shell_page()


def shell_page() -> str:
    """The page that phones keep. It holds no one's data: its script draws the screens from what the
    phone has."""
    nobodys = dict[str, Any](
        here="/shell", device=None, menu=menu_for(None), clock=None, mistakes=[]
    )
    return render_template("shell/shell.html", worsens=TABLE, **nobodys)


@blueprint.get("/sw.js")
@needs(*PUBLIC)
def worker() -> Response:
    """The service worker, with this build, the files to keep and the screens that a phone draws
    alone written in front."""
    given = {
        "BUILD": build(),
        "FILES": [*map(asset, kept_files()), url_for("shell.manifest")],
        "ALONE": [screen.name for screen in works_alone(the_screens())],
    }
    head = "".join(f"const {name} = {json.dumps(value)};\n" for name, value in given.items())
    response = Response(
        head + (STATIC / WORKER).read_text(encoding="utf-8"), mimetype="text/javascript"
    )
    response.cache_control.no_cache = True
    return response


@blueprint.get("/manifest.webmanifest")
@needs(*PUBLIC)
def manifest() -> Response:
    """The web app manifest."""
    return Response(
        (STATIC / "manifest.webmanifest").read_bytes(), mimetype="application/manifest+json"
    )


@blueprint.get("/healthz")
@needs(*PUBLIC)
def health() -> Response:
    """Whether the server answers, which log it keeps, and how far that log goes."""
    journal = the_pit().journal
    return jsonify(ok=True, log=journal.log, head=journal.head()[0])
