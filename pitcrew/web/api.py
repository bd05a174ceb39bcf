"""The exchange over HTTP: bearer tokens only, deaf to cookies, and therefore exempt from form
tokens."""

from typing import Any

from flask import Blueprint, Response, current_app, jsonify, request
from flask.typing import ResponseReturnValue
from werkzeug.http import parse_content_range_header

from pitcrew.base.errors import BadInput
from pitcrew.domain.now.snapshot import snapshot
from pitcrew.domain.now.snapshot_shape import PersonRow, Snapshot
from pitcrew.domain.now.view import PitView
from pitcrew.exchange.sync import MOST_BYTES, TooMany, exchange
from pitcrew.pit.addresses import base_urls
from pitcrew.pit.admission import let_in
from pitcrew.pit.photos import PhotoPart
from pitcrew.web.access import MEMBERS, PUBLIC, needs
from pitcrew.web.drawings import draw, draw_map
from pitcrew.web.request_context import device, looking, the_photos, the_pit
from pitcrew.web.screen import for_phones, the_screens

blueprint = Blueprint("api", __name__, url_prefix="/api")


@blueprint.post("/join")
@needs(*PUBLIC)
def join() -> Response:
    """Let a device in: `{code, name, device}` → `{token, person, role}`."""
    data = _json()
    code, name, label = (data.get(field, "") for field in ("code", "name", "device"))
    if not all(isinstance(field, str) for field in (code, name, label)):
        raise BadInput("code, name and device must be texts.", "code")
    joined = let_in(the_pit(), code, name, label, request.remote_addr or "")
    return jsonify(
        token=joined.token,
        person=joined.device.person,
        role=joined.device.role,
        device=joined.device.id,
    )


@blueprint.get("/snapshot")
@needs(*MEMBERS)
def read_snapshot() -> Response:
    """What a phone needs to work on its own. It never moves the phone's cursor."""
    the_pit().reload()
    with looking() as view:
        found = make_snapshot(view)
        added = for_phones(the_screens(), view)
    return jsonify({**found, "map": draw_map(found["robot"]), **added})


@blueprint.post("/entries")
@needs(*MEMBERS)
def entries() -> Response:
    """The exchange of design: entries in, entries out."""
    if (request.content_length or 0) > MOST_BYTES:
        raise TooMany(
            f"{request.content_length} bytes arrived; an exchange takes {MOST_BYTES}. Send half of"
            " the entries.",
            "entries",
        )
    answer = exchange(the_pit(), device(), _json())
    return jsonify(
        {**answer, "addresses": base_urls(current_app.config["ORIGIN"], current_app.config["PORT"])}
    )


@blueprint.route("/photos/<photo_id>", methods=["HEAD"])
@needs(*MEMBERS)
def photo_held(photo_id: str) -> Response:
    """How many bytes of a photo are here, as `X-Held` (of the content in `?sha256=`); `X-Stored`,
    its SHA-256, once it is whole."""
    held, whole = (
        the_photos().held(photo_id, request.args.get("sha256", "")),
        the_photos().find(photo_id),
    )
    return Response(headers={"X-Held": str(held)} | ({"X-Stored": whole.stored} if whole else {}))


@blueprint.get("/photos/<photo_id>")
@needs(*MEMBERS)
def photo_bytes(photo_id: str) -> Response:
    """A photo, or the range of it that is asked for."""
    raw = the_photos().jpeg(photo_id)
    response = Response(raw, mimetype="image/jpeg")
    response.make_conditional(request, accept_ranges=True, complete_length=len(raw))
    return response


@blueprint.route("/photos/<photo_id>", methods=["PUT"])
@needs(*MEMBERS)
def photo(photo_id: str) -> ResponseReturnValue:
    """Take a photo, or what is left of it: `Content-Range: bytes 0-65535/190211`, or `?offset=0`
    with `&total=190211` for a part.

    `?sha256=` names the whole content, which is then checked.
    """
    asked = device()
    stored = the_photos().put(
        photo_id, _part(request.get_data(cache=False)), asked.id, asked.person
    )
    if stored is None:
        return (
            jsonify(
                id=photo_id,
                held=the_photos().held(photo_id, request.args.get("sha256", "")),
                complete=False,
            ),
            202,
        )
    return jsonify(
        id=photo_id,
        held=stored.bytes,
        complete=True,
        received=stored.received,
        stored=stored.stored,
    )


def make_snapshot(view: PitView) -> Snapshot:
    """The snapshot for the device that asks, with the drawings of its checks."""
    pit = the_pit()
    asked = device()
    people: list[PersonRow] = [
        {"name": item.person, "role": item.role}
        for item in pit.roster.devices()
        if not item.withdrawn_at
    ]
    return snapshot(
        view, log=pit.journal.log, person=(asked.person, asked.role), people=people, draw=draw
    )


def _json() -> dict[str, Any]:
    try:
        data = request.get_json(force=True, silent=False)
    except RecursionError:
        raise BadInput("The JSON is nested too deeply. Send plain entries.", "body") from None
    if not isinstance(data, dict):
        raise BadInput("A JSON object is wanted here.", "body")
    return data


def _part(content: bytes) -> PhotoPart:
    """Which bytes of the photo a request carries. Raises BadInput."""
    stated, sha256 = request.headers.get("Content-Range"), request.args.get("sha256", "")
    if stated is not None:
        found = parse_content_range_header(stated)
        if (
            found is None
            or found.start is None
            or found.length is None
            or found.stop != found.start + len(content)
        ):
            raise BadInput(
                f"Content-Range {stated[:60]!r} does not fit these {len(content)} bytes. Wanted:"
                " bytes 0-65535/190211."
            )
        return PhotoPart(found.start, found.length, content, sha256)
    try:
        offset = int(request.args.get("offset", 0))
        return PhotoPart(
            offset, int(request.args.get("total", offset + len(content))), content, sha256
        )
    except ValueError:
        raise BadInput("offset and total must be whole numbers of bytes.", "offset") from None
