"""The lowering card on paper: large, for the wall of the pit and the cart."""

from typing import TYPE_CHECKING

from pitcrew.domain.climb.lowering import lowering_now
from pitcrew.domain.now.view import PitView
from pitcrew.sheets.templates import printed

if TYPE_CHECKING:
    from jinja2 import Environment


def lowering_html(
    view: PitView, stylesheet: str = "", environment: "Environment | None" = None
) -> str:
    """The card of a view as a page (`templates.printed`)."""
    robot, settings = view.definitions.robot, view.definitions.settings
    return printed(
        "lowering",
        stylesheet,
        environment,
        card=lowering_now(view.moment),
        robot=robot,
        team=settings["team"],
        paper=settings["paper"],
    )
