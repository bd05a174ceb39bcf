"""The Jinja environment without Flask, for what the command line prints. The server prints with its
own, which is set up in the same way."""

from functools import cache
from typing import TYPE_CHECKING

from pitcrew.base.paths import STATIC, TEMPLATES
from pitcrew.base.units import show

if TYPE_CHECKING:
    from jinja2 import Environment


def set_up(environment: "Environment") -> None:
    """Give an environment what every template relies on, printed or on screen."""
    environment.trim_blocks = environment.lstrip_blocks = True
    environment.filters["show"] = show


@cache
def templates() -> "Environment":
    """The templates without Flask, every value escaped."""
    from jinja2 import Environment, FileSystemLoader

    environment = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True)
    set_up(environment)
    return environment


def printed(
    name: str, stylesheet: str = "", environment: "Environment | None" = None, **values: object
) -> str:
    """A sheet as a page of its own.

    `stylesheet`: the address of sheet.css; without one it is written into the page. `environment`:
    the server's, where there is one.
    """
    css = "" if stylesheet else (STATIC / "css" / "sheet.css").read_text(encoding="utf-8")
    template = (environment or templates()).get_template(f"sheets/{name}.html")
    return template.render(stylesheet=stylesheet, css=css, **values)
