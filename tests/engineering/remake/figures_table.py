"""Writes checklists/FIGURES.md from the catalogue and the check values: `python -m
tests.engineering.remake.figures_table`.

`test_figures_table.py` fails when that page is stale.
"""

from collections import defaultdict
from pathlib import Path
from typing import Any

from pitcrew.base.paths import ROOT
from pitcrew.engineering.catalogue import figures
from pitcrew.engineering.figures import Figure
from tests.engineering.test_check_values import load, residual

PAGE = ROOT / "checklists" / "FIGURES.md"
SMALLEST = 1e-9  # below this a residual is binary rounding
HEAD = """# The figures

Every calculation that pitcrew knows by name, for `limit = { figure = … }` in a checklist and for `pitcrew figure NAME`. Written by
`python -m tests.engineering.remake.figures_table` from the catalogue and from `tests/engineering/check_values/`; do not edit.

*Checks*: published or independently computed values that are tried (**F** read in the source, **V** recomputed by an independent
oracle, **M** from memory), **R** arguments that must be refused, **X** misprints that must not be reproduced. *Residual*: the
largest difference between computed and printed value as a share of the printed one; most of it is the rounding of the print.

| figure | what it gives | source of the formula | range | checks | residual |
|---|---|---|---|---|---|
"""


def page() -> str:
    """The whole page as Markdown."""
    entries = defaultdict(list)
    for entry in load():
        entries[entry["figure"]].append(entry)
    known = figures()
    return HEAD + "\n".join(_row(known[name], entries[name]) for name in sorted(known)) + "\n"


def _row(figure: Figure, entries: list[dict[str, Any]]) -> str:
    unit = "" if figure.unit == "1" else f" [{figure.unit}]"
    cells = [
        f"`{figure.name}`",
        figure.value_is + unit,
        figure.source,
        figure.range,
        _checks(entries),
        _residual(entries),
    ]
    return (
        "| "
        + " | ".join(
            cell.replace("|", "\\|").replace("*", "\\*").replace("\n", " ") for cell in cells
        )
        + " |"
    )


def _kind(entry: dict[str, Any]) -> str:
    return (
        "R" if entry.get("refused") else "X" if entry.get("misprint") else entry["source"]["grade"]
    )


def _checks(entries: list[dict[str, Any]]) -> str:
    kinds = [_kind(entry) for entry in entries]
    return f"{len(kinds)}: " + ", ".join(
        f"{kinds.count(kind)} {kind}" for kind in "FVMRX" if kind in kinds
    )


def _residual(entries: list[dict[str, Any]]) -> str:
    """The largest relative residual of what must be reproduced, to one digit; a printed zero has no
    relative residual."""
    compared = [
        entry
        for entry in entries
        if "printed" in entry and _kind(entry) != "X" and float(entry["printed"]) != 0
    ]
    if not compared:
        return "exact words" if any("word" in entry for entry in entries) else "–"
    largest = max(residual(entry) / abs(float(entry["printed"])) for entry in compared)
    return f"< {SMALLEST:.0e}" if largest < SMALLEST else f"{largest:.0e}"


def write(path: Path = PAGE) -> None:
    """Bring the page up to date on disk."""
    path.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    write()
    print(f"{PAGE} written")
