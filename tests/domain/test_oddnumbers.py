"""Numbers that fit their fields and not each other are told when the sheet is loaded."""

import pytest

from tests.domain.test_bundled import CHECKLISTS, build_definitions, tables

LBF = 4.4482216


def told(kind: str, **fields: str) -> list[tuple[str, str]]:
    """The notices of the demo's sheet after the first part of a kind got these fields."""
    sheets = tables(CHECKLISTS / "robots")
    part = next(part for part in sheets["robots/tern.toml"]["part"] if part["kind"] == kind)
    part |= fields
    found = build_definitions({}, sheets, tables(CHECKLISTS))
    assert found.mistakes == [] and part["id"] in found.robots["tern"].parts
    return [(notice.place.split(", ")[1], notice.wanted) for notice in found.notices]


@pytest.mark.parametrize("load, link, most", [
    # ASME B29.1: #25 breaks at 780 lbf; a half link keeps 65 % of it (chain makers); a quarter is
    # common practice
    (195 * LBF * 0.99, "none", ""), (195 * LBF * 1.01, "none", "at most 867 N"),
    (195 * LBF * 0.66, "half link", "at most 564 N"), (195 * LBF * 0.64, "half link", ""),
])  # fmt: skip
def test_a_chain_that_its_drive_overloads_is_told_at_home(
    load: float, link: str, most: str
) -> None:
    found = told("roller-chain", size="25", load=f"{load} N", link=link)
    assert [key for key, _ in found] == (["load"] if most else [])
    assert all(most in wanted for _, wanted in found)


@pytest.mark.parametrize("stud, known", [("1/4-28", True), ("M7", False)])
def test_a_stud_that_no_table_has_is_told_at_home(stud: str, known: bool) -> None:
    found = told("breaker", stud=stud)
    assert [key for key, _ in found] == ([] if known else ["stud"])
