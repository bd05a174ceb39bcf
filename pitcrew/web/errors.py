"""The one table from error class to HTTP status, and the one shape of an error: a page, or JSON
under /api/."""

from flask import (
    Flask,
    Response,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from pitcrew.base import errors as e
from pitcrew.exchange.sync import Restored, TooMany

STATUS: dict[type[Exception], int] = {
    e.NotJoined: 401,
    e.TooMuch: 429,
    e.Refused: 403,
    e.Missing: 404,
    TooMany: 413,
    Restored: 409,
    e.Conflict: 409,
    e.Locked: 423,
    e.DiskFull: 507,
    e.Damaged: 500,
    e.BadInput: 400,
    e.PitcrewError: 400,
}
_HTTP_SENTENCES = {
    400: "The request could not be read. Go back, reload the page and send it again.",
    404: "There is no such page. Use the menu.",
    405: "This address cannot be used in that way. Use the menu.",
    413: "This is larger than is accepted at once. Send less; nothing was stored.",
    415: "The content type is not accepted. Send JSON.",
}


def init_app(app: Flask) -> None:
    """Answer every error with a sentence; no one is shown a stack trace."""
    app.register_error_handler(e.PitcrewError, _known)
    app.register_error_handler(
        CSRFError,
        lambda error: _answer(
            "This form was opened too long ago or in another tab; nothing was stored. Go back,"
            " reload the page and send it again.",
            None,
            400,
        ),
    )
    app.register_error_handler(
        HTTPException,
        lambda error: _answer(
            _HTTP_SENTENCES.get(
                error.code or 500, "The laptop could not answer this. Reload the page."
            ),
            None,
            error.code or 500,
        ),
    )
    app.register_error_handler(Exception, _unknown)


def status_of(error: e.PitcrewError) -> int:
    """The HTTP status of an error: that of its nearest class in the table."""
    return next(STATUS[kind] for kind in type(error).__mro__ if kind in STATUS)


def _known(error: e.PitcrewError) -> Response:
    return _answer(error.sentence, error.field, status_of(error))


def _unknown(error: Exception) -> Response:
    from flask import current_app

    current_app.logger.error("%s %s failed", request.method, request.path, exc_info=error)
    return _answer(
        "Something in pitcrew failed here; what was stored before is safe. Reload the page, and"
        " tell whoever keeps the laptop.",
        None,
        500,
    )


def _answer(sentence: str, field: str | None, status: int) -> Response:
    if request.path.startswith(("/api/", "/hand-over/")):
        return make_response(jsonify(error=sentence, field=field, status=status), status)
    if status == 401 and request.method == "GET":
        return make_response(redirect(url_for("join.page", next=request.full_path.rstrip("?"))))
    return make_response(
        render_template("errors/error.html", sentence=sentence, status=status), status
    )
