"""The exchange over HTTP: bearer tokens only, deaf to cookies, and therefore exempt from form tokens."""

from typing import Any

from flask import Blueprint, Response, jsonify, request

from pitcrew.domain.snapshot import snapshot
from pitcrew.errors import BadInput
from pitcrew.sync import MOST_BYTES, TooMany, exchange
from pitcrew.web.access import MEMBERS, PUBLIC, needs
from pitcrew.web.drawings import draw
from pitcrew.web.here import device, the_pit

blueprint = Blueprint("api", __name__, url_prefix="/api")


@blueprint.post("/join")
@needs(*PUBLIC)
def join() -> Response:
    """Let a device in: `{code, name, device}` → `{token, person, role}`."""
    data = _json()
    fields = [data.get(name, "") for name in ("code", "name", "device")]
    if not all(isinstance(field, str) for field in fields):
        raise BadInput("code, name and device must be texts.", "code")
    joined = the_pit().roster.join(*fields, request.remote_addr or "")
    return jsonify(token=joined.token, person=joined.device.person, role=joined.device.role, device=joined.device.id)


@blueprint.get("/snapshot")
@needs(*MEMBERS)
def read_snapshot() -> Response:
    """What a phone needs to work alone. It never moves the phone's cursor."""
    return jsonify(make_snapshot())


@blueprint.post("/entries")
@needs(*MEMBERS)
def entries() -> Response:
    """The exchange of design: entries in, entries out."""
    if (request.content_length or 0) > MOST_BYTES:
        raise TooMany(f"{request.content_length} bytes arrived; an exchange takes {MOST_BYTES}. Send half of the entries.", "entries")
    return jsonify(exchange(the_pit(), device(), _json()))


def make_snapshot() -> dict[str, Any]:
    """The snapshot for the device that asks, drawings included."""
    pit = the_pit()
    asked = device()
    definitions = pit.reload()
    head, log = pit.journal.head()[0], pit.journal.log
    people = [{"name": item.person, "role": item.role} for item in pit.roster.devices() if not item.withdrawn_at]
    with pit.reading() as state:
        return snapshot(definitions, state, pit.clock(), log=log, head=head, person=(asked.person, asked.role), people=people, draw=draw)


def _json() -> dict[str, Any]:
    try:
        data = request.get_json(force=True, silent=False)
    except RecursionError:
        raise BadInput("The JSON is nested too deeply. Send plain entries.", "body") from None
    if not isinstance(data, dict):
        raise BadInput("A JSON object is wanted here.", "body")
    return data
