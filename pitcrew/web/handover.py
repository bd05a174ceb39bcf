"""Commands on this laptop hand their work to the running server here, with the secret from the 0600
lock file."""

import hmac

from flask import Blueprint, Response, current_app, jsonify, request

from pitcrew.base.errors import BadInput, Refused
from pitcrew.exchange.commands import run
from pitcrew.web.access import LAPTOP, needs
from pitcrew.web.request_context import the_pit

blueprint = Blueprint("handover", __name__, url_prefix="/hand-over")
LOOPBACK = ("127.0.0.1", "::1", "::ffff:127.0.0.1")


@blueprint.post("/<name>")
@needs(*LAPTOP)
def command(name: str) -> Response:
    """Run one writing command and answer with its result."""
    secret = current_app.config["HAND_OVER_SECRET"]
    given = request.headers.get("X-Pitcrew-Secret", "")
    if request.remote_addr not in LOOPBACK or not secret or not hmac.compare_digest(given, secret):
        raise Refused("Only a command on this laptop may hand over here.")
    arguments = request.get_json(force=True)
    if not isinstance(arguments, dict):
        raise BadInput("The command's arguments must be a JSON object.")
    return jsonify(run(the_pit(), name, arguments))
