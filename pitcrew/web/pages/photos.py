"""A photo that an entry names."""

from flask import Blueprint, Response

from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import the_photos

blueprint = Blueprint("photos", __name__)


@blueprint.get("/photos/<photo_id>")
@needs(*MEMBERS)
def page(photo_id: str) -> Response:
    """The photo as a JPEG; it never changes under its id."""
    response = Response(the_photos().jpeg(photo_id), mimetype="image/jpeg")
    response.cache_control.private, response.cache_control.max_age = True, 365 * 24 * 3600
    response.cache_control.immutable = True
    return response
