"""The lowering card on paper: large, for the wall of the pit and the cart."""

from pitcrew.base.paths import STATIC
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.sheets.handoff import templates


def lowering_html(definitions: Definitions, stylesheet: str = "") -> str:
    """The card as a page of its own. `stylesheet`: the address of sheet.css; without one it is written into the page."""
    css = "" if stylesheet else (STATIC / "css" / "sheet.css").read_text(encoding="utf-8")
    settings = definitions.settings
    return templates().get_template("sheets/lowering.html").render(
        robot=definitions.robot, team=settings["team"], paper=settings["paper"], stylesheet=stylesheet, css=css,
    )
