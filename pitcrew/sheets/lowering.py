"""The lowering card on paper: large, for the wall of the pit and the cart."""

from pitcrew.base.paths import STATIC
from pitcrew.domain.climb.lowering import lowering_now
from pitcrew.domain.logbook.moment import Moment
from pitcrew.sheets.handoff import templates


def lowering_html(moment: Moment, stylesheet: str = "") -> str:
    """The card of a moment as a page. `stylesheet`: the address of sheet.css; without one it is
    written into the page."""
    css = "" if stylesheet else (STATIC / "css" / "sheet.css").read_text(encoding="utf-8")
    robot, settings = moment.definitions.robot, moment.definitions.settings
    return (
        templates()
        .get_template("sheets/lowering.html")
        .render(
            card=lowering_now(moment),
            robot=robot,
            team=settings["team"],
            paper=settings["paper"],
            stylesheet=stylesheet,
            css=css,
        )
    )
