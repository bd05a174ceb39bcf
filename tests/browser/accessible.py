"""axe at WCAG 2.2 AA on a page as it stands, and on what its colours decide in each theme."""

from typing import Any

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
COLOURS = ["color-contrast", "link-in-text-block"]
"""The rules whose answer a theme can change: the rest of a page is the same in all of them."""


def breaches(tab: Any, rules: list[str] = WCAG) -> list[tuple[str, list[Any]]]:
    """The rules that the page breaks, each with the first places."""
    from axe_playwright_python.sync_playwright import Axe

    found = (
        Axe()
        .run(tab, options={"runOnly": rules, "resultTypes": ["violations"]})
        .response["violations"]
    )
    return [(rule["id"], [node["target"] for node in rule["nodes"]][:4]) for rule in found]


def breaches_in_every_theme(tab: Any) -> list[tuple[str, str, list[Any]]]:
    """Those of the page as it stands, and those of its colours in each theme that a person may
    choose."""
    found = [("as it stands", *breach) for breach in breaches(tab)]
    for theme in ("light", "dark", "sun"):
        tab.evaluate("(theme) => { document.documentElement.dataset.theme = theme; }", theme)
        found += [(theme, *breach) for breach in breaches(tab, COLOURS)]
    return found
