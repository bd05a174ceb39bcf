"""Every figure judges a check or is used by the program, or is on the list in DEVELOPERS.md
with the reason why it is for people only; none is both."""

import re

from pitcrew.base.paths import ROOT
from pitcrew.engineering.catalogue import figures

TABLE = re.compile(
    r"<!-- figures for people -->\n(.*?)<!-- end of figures for people -->", re.DOTALL
)
ROW = re.compile(r"^\| `([a-z-]+)` \| (.+) \|$", re.MULTILINE)


def listed() -> dict[str, str]:
    """Figure -> reason, as the page has them."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    found = TABLE.search(page)
    assert found
    return dict(ROW.findall(found[1]))


def used() -> set[str]:
    """The figures that a bundled checklist judges by, and those that code outside the formulas
    works with, by their name or by their function."""
    lists = "\n".join(
        path.read_text(encoding="utf-8") for path in (ROOT / "checklists").rglob("*.toml")
    )
    judging = set(re.findall(r'figure\s*=\s*"([a-z-]+)"', lists))
    code = "\n".join(
        path.read_text(encoding="utf-8")
        for path in (ROOT / "pitcrew").rglob("*.py")
        if "engineering" not in path.parts
    )
    names = set(re.findall(r'"([a-z-]+)"', code)) | {
        name.replace("_", "-") for name in re.findall(r"\b([a-z_]+)\(", code)
    }
    return judging | (names & figures().keys())


def test_every_figure_is_used_or_listed_with_its_reason() -> None:
    people = listed()
    assert set(people) == figures().keys() - used()
    assert all(len(reason) > 20 for reason in people.values())
