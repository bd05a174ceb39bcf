"""The page of all figures follows the catalogue and the check values."""

from pitcrew.engineering.catalogue import figures
from tests.engineering.remake.figures_table import PAGE, page


def test_the_page_of_figures_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), (
        "stale: run `python -m tests.engineering.remake.figures_table`"
    )


def test_every_figure_has_a_row_and_a_check() -> None:
    rows = [line for line in page().splitlines() if line.startswith("| `")]
    assert len(rows) == len(figures())
    assert not [row for row in rows if "| 0: " in row]
