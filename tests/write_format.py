"""Writes the tables of checklists/README.md: `python -m tests.write_format`.
`domain/test_format.py` fails when they are stale."""

import re
from collections.abc import Iterable
from pathlib import Path

from pitcrew.base.drawings import DRAWINGS
from pitcrew.base.paths import CHECKLISTS
from pitcrew.base.units import screen_unit, show
from pitcrew.domain.checks.duewords import DUE_WORDS
from pitcrew.domain.checks.fields import CHECK_FIELDS, INPUT_FIELDS, LIMIT_FIELDS
from pitcrew.domain.robot.hold_path import (
    BESIDE_FIELDS,
    MOTOR_FIELDS,
    PATH_FIELDS,
    SECOND_FIELDS,
    STEP_FIELDS,
)
from pitcrew.domain.robot.instruments import INSTRUMENTS
from pitcrew.domain.robot.partkinds import KINDS, PART_FIELDS
from pitcrew.domain.robot.tables import Field

PAGE = CHECKLISTS / "README.md"


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join(
        "| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines
    )


def value(field: Field) -> str:
    """What a field holds, in a few words, with its default."""
    words = " or ".join(field.choices) if len(field.choices) < 9 else "name"
    kinds = {"words": words, "yes_no": "true or false", "count": "whole number", "id": "name", "any": "number or text",
             "map": "{ … }", "tables": "[[…]]", "texts": "[texts]"}  # fmt: skip
    kind = kinds.get(field.kind, field.kind.replace("_", " "))
    if field.default in (None, {}, [], (), "", False):
        return kind
    if field.kind in ("count", "number"):
        return f"{kind}, {field.default:g} by default"
    return (
        f"{kind},"
        f" {field.default if isinstance(field.default, str) else show(field.default, screen_unit(field.kind, 'metric'))}"
        " by default"
    )


def fields_table(fields: Iterable[Field]) -> str:
    return table(
        ("key", "holds", "what it is"),
        ((name(field), value(field), field.meaning) for field in fields),
    )


def name(field: Field) -> str:
    return f"`{field.name}`" if field.needed else f"[`{field.name}`]"


def parts_table() -> str:
    """The common keys, then one line for each kind with its own keys."""

    def keys(fields: Iterable[Field]) -> str:
        return (
            "; ".join(f"{name(field)} {field.meaning} ({value(field)})" for field in fields)
            or "nothing more"
        )

    common = [("every part", "", keys(PART_FIELDS))]
    return table(
        ("kind", "what it is", "its keys"),
        [
            *common,
            *((f"`{kind.name}`", kind.meaning, keys(kind.fields)) for kind in KINDS.values()),
        ],
    )


def instruments_table() -> str:
    rows = ((f"`{key}`", item.accuracy.text(item.dimension)) for key, item in INSTRUMENTS.items())
    return table(("instrument", "off by (k = 2)"), rows)


def tables() -> dict[str, str]:
    due = table(("word", "due"), ((f"`{word}`", meaning) for word, meaning in DUE_WORDS.items()))
    return {
        "parts": parts_table(),
        "instruments": instruments_table(),
        "hold path": fields_table(PATH_FIELDS),
        "hold path step": fields_table(STEP_FIELDS),
        "hold path beside": fields_table(BESIDE_FIELDS),
        "hold path motor": fields_table(MOTOR_FIELDS),
        "hold path second": fields_table(SECOND_FIELDS),
        "check": fields_table(CHECK_FIELDS),
        "input": fields_table(INPUT_FIELDS),
        "limit": fields_table(LIMIT_FIELDS),
        "due": due,
        "drawings": ", ".join(f"`{drawing}`" for drawing in DRAWINGS),
    }


def page_with_tables(page: str) -> str:
    """The page with its tables brought up to date."""
    for key, text in tables().items():
        pattern = re.compile(rf"(<!-- {key}: [^>]*-->\n).*?(<!-- end of {key} -->)", re.DOTALL)
        assert pattern.search(page), key
        page = pattern.sub(lambda found, text=text: f"{found[1]}{text}\n{found[2]}", page)
    return page


def write(path: Path = PAGE) -> None:
    path.write_text(page_with_tables(path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    write()
