"""Writes the generated tables of DEVELOPERS.md: `python -m tests.write_docs`. `test_docs.py` fails
when they are stale."""

import re
from pathlib import Path

import msgspec

from pitcrew.base.kinds import BODIES
from pitcrew.base.paths import ROOT
from pitcrew.base.settings import TABLE, bounds_text
from pitcrew.base.units import show
from pitcrew.base.unittable import SI_UNIT

PAGE = ROOT / "DEVELOPERS.md"
SCREEN = {"time": "s", "temperature": "degC", "resistance": "mohm", "length": "mm"}


def settings_table() -> str:
    """The table of settings as Markdown."""
    rows = ["| setting | default | allowed | what it is |", "|---|---|---|---|"]
    for setting in TABLE:
        default = setting.default
        if setting.kind in SI_UNIT and setting.kind != "number":
            default = show(default, SCREEN.get(setting.kind, SI_UNIT[setting.kind]))
        default = "none" if default is None else default
        default = (
            {True: "true", False: "false", "": "empty"}.get(default, default)
            if isinstance(default, bool | str)
            else default
        )
        rows.append(
            f"| `{setting.name}` | {default} | {bounds_text(setting)} | {setting.sentence} |"
        )
    return "\n".join(rows)


def kinds_table() -> str:
    """The table of entry kinds as Markdown; optional fields stand in brackets."""
    rows = ["| kind | body |", "|---|---|"]
    for kind, body in BODIES.items():
        fields = [
            field.encode_name if field.required else f"[{field.encode_name}]"
            for field in msgspec.structs.fields(body)
        ]
        rows.append(f"| `{kind}` | {', '.join(fields)} |")
    return "\n".join(rows)


def page_with_tables(page: str) -> str:
    """The page with its generated tables brought up to date."""
    for name, table in (("settings", settings_table()), ("entry kinds", kinds_table())):
        pattern = re.compile(rf"(<!-- {name}: [^>]*-->\n).*?(<!-- end of {name} -->)", re.DOTALL)
        assert pattern.search(page), name
        page = pattern.sub(lambda found, table=table: f"{found[1]}{table}\n{found[2]}", page)
    return page


def write(path: Path = PAGE) -> None:
    """Bring the page up to date on disk."""
    path.write_text(page_with_tables(path.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    write()
