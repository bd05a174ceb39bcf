"""The documentation fails the build when it lies."""

import re
import tomllib

import pytest
from click.testing import CliRunner

from pitcrew.base.paths import ROOT
from pitcrew.cli.main import main
from tests.write_docs import page_with_tables

README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"


def test_generated_tables_are_current() -> None:
    """`python -m tests.write_docs` brings them up to date."""
    page = DEVELOPERS.read_text(encoding="utf-8")
    assert page_with_tables(page) == page


def test_every_dependency_earns_its_line() -> None:
    """Each library of pyproject.toml stands in DEVELOPERS.md."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = project["dependencies"] + [
        item for extra in project["optional-dependencies"].values() for item in extra
    ]
    page = DEVELOPERS.read_text(encoding="utf-8").lower()
    assert [
        name for item in wanted if (name := re.split(r"[=<>\[]", item)[0].lower()) not in page
    ] == []


def commands() -> list[list[str]]:
    found = []
    for name, command in main.commands.items():
        children = getattr(command, "commands", None)
        found += [[name, child] for child in children] if children else [[name]]
    return found


@pytest.mark.parametrize("command", commands(), ids=" ".join)
def test_help_fits_a_screen_with_an_example_first(command: list[str]) -> None:
    """At most 24 lines, and the example stands before the options."""
    shown = CliRunner().invoke(main, [*command, "--help"]).output
    assert len(shown.splitlines()) <= 24
    assert 0 < shown.index("Example:") < shown.index("Options:")


def test_the_list_of_commands_has_a_line_for_each() -> None:
    """On a terminal 80 wide each command and what it does stand on one line."""
    shown = CliRunner().invoke(main, ["--help"], terminal_width=80).output
    listed = shown.partition("Commands:\n")[2].splitlines()
    assert [line.split()[0] for line in listed] == sorted(main.commands)


def test_every_command_is_in_the_readme() -> None:
    page = README.read_text(encoding="utf-8")
    assert [
        " ".join(command) for command in commands() if f"pitcrew {' '.join(command)}" not in page
    ] == []


def test_targets_of_the_makefile_are_in_the_developers_page() -> None:
    targets = re.findall(
        r"^([a-z]+):.*##", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE
    )
    page = DEVELOPERS.read_text(encoding="utf-8")
    assert [
        target
        for target in targets
        if target not in ("help", "clean") and f"make {target}" not in page
    ] == []
