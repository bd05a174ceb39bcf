"""The Flask application: registers the parts, nothing else."""

from datetime import timedelta

from flask import Flask
from flask_wtf.csrf import CSRFProtect

from pitcrew.base.paths import STATIC, TEMPLATES
from pitcrew.domain.patterns.memory import Memory
from pitcrew.pit.photos import PhotoStore
from pitcrew.pit.pit import Pit
from pitcrew.web import (
    access,
    api,
    compress,
    cors,
    errors,
    filters,
    frame,
    handover,
    headers,
    receiving,
    shell,
)
from pitcrew.web.pages import BLUEPRINTS, SCREENS
from pitcrew.web.receiving import Desk
from pitcrew.web.screen import EXTENSION
from pitcrew.web.sessions import Sessions

LARGEST_BODY = 8 * 1024 * 1024
A_SEASON = timedelta(days=365)
csrf = CSRFProtect()


def create_app(pit: Pit, *, hand_over_secret: str = "", origin: str = "", port: int = 0) -> Flask:
    """The application that serves one open pit.

    `hand_over_secret` lets commands on this laptop hand their work over; `origin` is the https
    origin at which phones keep the app,
    `port` that of plain http.
    """
    app = Flask("pitcrew", static_folder=None, template_folder=str(TEMPLATES))
    app.config.update(
        SECRET_KEY=pit.session_key,
        MAX_CONTENT_LENGTH=LARGEST_BODY,
        WTF_CSRF_TIME_LIMIT=None,
        SESSION_COOKIE_NAME="pitcrew",
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_HTTPONLY=True,
        # else a slow answer of one tab puts an older session over that of another
        SESSION_REFRESH_EACH_REQUEST=False,
        PERMANENT_SESSION_LIFETIME=A_SEASON,
        HAND_OVER_SECRET=hand_over_secret,
        ORIGIN=origin,
        PORT=port,
    )
    app.session_interface = Sessions()
    app.extensions["pit"] = pit
    app.extensions[EXTENSION] = SCREENS
    app.extensions["desk"] = Desk()
    app.extensions["patterns"] = Memory()
    app.extensions["photos"] = PhotoStore(pit.folder, pit.clock)
    csrf.init_app(app)
    for part in (cors, access, errors, filters, frame, headers, compress):
        part.init_app(app)
    for blueprint in (api.blueprint, receiving.blueprint, handover.blueprint):
        csrf.exempt(blueprint)
        app.register_blueprint(blueprint)
    for blueprint in (shell.blueprint, *BLUEPRINTS):
        app.register_blueprint(blueprint)
    assert STATIC.is_dir(), "static/ must lie beside the package"
    return app
