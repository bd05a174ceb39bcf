"""Hand-overs without a link, over HTTP: a bundle as a file, or as pictures of the codes that a
phone shows."""

import threading
from dataclasses import asdict
from typing import Any

from flask import Blueprint, Response, current_app, jsonify, request

from pitcrew.base.errors import BadInput
from pitcrew.exchange.bundle import hand_in, read_bundle, sentence_of
from pitcrew.exchange.camera import codes_in
from pitcrew.exchange.frames import Receiver
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import author, the_pit

blueprint = Blueprint("receiving", __name__, url_prefix="/api")


class Desk:
    """The half-read hand-overs, one for each device that holds a camera; gone when the server
    stops, and shown again then."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._receivers: dict[str, Receiver] = {}
        self._done: dict[str, dict[str, Any]] = {}

    def take(self, pit: Pit, bringer: Author, frames: list[bytes]) -> dict[str, Any]:
        """Add what one picture showed; how far the hand-over is, and once whole what it brought."""
        reader = bringer.device
        with self._lock:
            receiver = self._receivers.setdefault(reader, Receiver())
            wrong = ""
            for frame in frames:
                try:
                    if receiver.add(frame):
                        self._done.pop(reader, None)
                except BadInput as error:
                    wrong = error.sentence
            if receiver.payload is not None and reader not in self._done:
                self._done[reader] = handed_in(pit, receiver.payload, bringer)
            progress = {
                "found": len(frames),
                "known": receiver.known,
                "wanted": receiver.k,
                "wrong": wrong,
            }
            return progress | {
                "done": self._done.get(reader) if receiver.payload is not None else None
            }


def handed_in(pit: Pit, raw: bytes, bringer: Author) -> dict[str, Any]:
    """Take a bundle and say what it brought: `{person, new, known, refused, receipt, sentence}`."""
    done = hand_in(pit, read_bundle(raw), bringer.role, by=bringer)
    return asdict(done) | {"sentence": sentence_of(done)}


@blueprint.post("/hand-in")
@needs(*MEMBERS)
def bundle() -> Response:
    """Take a bundle file."""
    return jsonify(handed_in(the_pit(), request.get_data(cache=False), author()))


@blueprint.post("/frames")
@needs(*MEMBERS)
def frames() -> Response:
    """Take one picture of the moving codes: PNG or JPEG, or with `?width=&height=` grey values row
    by row."""
    try:
        width, height = int(request.args.get("width", 0)), int(request.args.get("height", 0))
    except ValueError:
        raise BadInput("width and height must be whole numbers of pixels.", "width") from None
    found = codes_in(request.get_data(cache=False), width, height)
    desk: Desk = current_app.extensions["desk"]
    return jsonify(desk.take(the_pit(), author(), found))
