"""Join: a code and a name make a phone part of the crew."""

import hashlib
import re

from flask import Blueprint, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Refused
from pitcrew.pit.admission import let_in
from pitcrew.web.access import PUBLIC, needs
from pitcrew.web.forms import JoinForm
from pitcrew.web.request_context import device_or_none, remember, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("join", __name__)
SCREEN = Screen("join", script="join")


@blueprint.route("/join", methods=["GET", "POST"])
@needs(*PUBLIC)
def page() -> ResponseReturnValue:
    """Ask for code and name; on success hand the token to the page's script, which keeps it on this
    phone."""
    form = JoinForm()
    status = 200
    if form.validate_on_submit():
        label = device_label(request.user_agent.string)
        try:
            joined = let_in(
                the_pit(),
                form.code.data,
                form.name.data,
                label,
                request.remote_addr or "",
                _browser(),
                session.get("device", ""),
            )
        except (Refused, BadInput) as error:
            field = form.name if error.field == "name" else form.code
            field.errors = [*field.errors, error.sentence]
            status = 403
        else:
            remember(joined.device)
            return render_template(
                "join/joined.html", token=joined.token, joined=joined.device, next=_next()
            )
    return (
        render_template("join/join.html", form=form, joined=device_or_none(), next=_next()),
        status,
    )


@blueprint.get("/")
@needs(*PUBLIC)
def start() -> ResponseReturnValue:
    """The first page: Now for those who joined, Join for the others."""
    return redirect(url_for("now.page") if device_or_none() else url_for("join.page"))


BROWSERS = {
    "Edg": "Edge",
    "Firefox": "Firefox",
    "FxiOS": "Firefox",
    "CriOS": "Chrome",
    "Chrome": "Chrome",
    "Safari": "Safari",
}
SYSTEMS = {
    "Android": "Android",
    "iPhone": "iPhone",
    "iPad": "iPad",
    "CrOS": "Chromebook",
    "Windows": "Windows",
    "Mac OS": "Mac",
    "Linux": "Linux",
}


def device_label(agent: str) -> str:
    """`Android, Firefox`: what a device calls itself, short enough to tell the crew's phones
    apart."""
    system = next((word for mark, word in SYSTEMS.items() if mark in agent), "another device")
    browser = next((word for mark, word in BROWSERS.items() if mark in agent), "another browser")
    return f"{system}, {browser}"


def _next() -> str:
    """Where to go after joining: a path of this site only."""
    wanted = request.values.get("next", "")
    safe = _OWN_PATH.fullmatch(wanted) and not wanted.startswith("/join")
    return wanted if safe else url_for("now.page")


_OWN_PATH = re.compile(r"/(?!/)[^\\\s\x00-\x20\x7f-\x9f]*")
"""A path of this site. Browsers drop tabs and line ends and take a backslash for a slash, so that
`/<tab>/host` would be another site."""


def _browser() -> str:
    """What tells the browsers behind one address apart: the session in which the page was
    opened."""
    return hashlib.sha256(str(session.get("csrf_token", "")).encode()).hexdigest()
