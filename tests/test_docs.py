"""The documentation fails the build when it lies."""

import re
import tomllib

import pytest
from click.testing import CliRunner

from pitcrew import __version__
from pitcrew.base.paths import ROOT
from pitcrew.cli.main import main
from tests.test_floors import picture
from tests.write_docs import page_with_tables

README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
CHANGELOG, LICENSE = ROOT / "CHANGELOG.md", ROOT / "LICENSE"


def test_generated_tables_are_current() -> None:
    """`python -m tests.write_docs` brings them up to date."""
    page = DEVELOPERS.read_text(encoding="utf-8")
    assert page_with_tables(page) == page


def test_the_picture_of_the_floors_is_the_one_that_the_imports_follow() -> None:
    """The page opens with the floors as `python -m tests.test_floors` prints them."""
    drawing = DEVELOPERS.read_text(encoding="utf-8").split("```")[1].strip("\n").splitlines()[2:]
    assert [line.partition("│")[0].rstrip() for line in drawing] == picture().splitlines()


BESIDE_THE_PROGRAM = ("robots/NAME.toml", "pitcrew.toml", "spares.toml", "secrets/", "app.js")
"""Files of a pit folder and what the server packs: named on the page, not in the repository."""


def test_every_file_named_on_the_developers_page_exists() -> None:
    """Seen from the top of the repository or from the package; a bare name is in some room."""
    page = DEVELOPERS.read_text(encoding="utf-8")
    named = set(re.findall(r"[`(]([\w*][\w*./]*(?:\.(?:py|js|md|toml|html)|/))[`)]", page))
    assert len(named) > 100
    package = ROOT / "pitcrew"
    assert [
        name
        for name in sorted(named - set(BESIDE_THE_PROGRAM))
        if not any(ROOT.glob(name))
        and not any(package.glob(name))
        and ("/" in name or not any(package.rglob(name)))
    ] == []


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


def test_the_license_is_the_one_that_the_package_states() -> None:
    """SPDX id `BSD-3-Clause`: three numbered conditions, whose third keeps the names of those who
    wrote it out of advertising."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    text = LICENSE.read_text(encoding="utf-8")
    assert project["license"] == "BSD-3-Clause" and project["license-files"] == ["LICENSE"]
    assert "the pitcrew contributors" in text
    assert re.findall(r"^(\d)\.", text, re.MULTILINE) == ["1", "2", "3"]
    assert "Neither the name of the copyright holder" in text


def test_the_changelog_has_an_entry_for_this_version() -> None:
    """Newest first: what is not out yet, then the version of the package with its date."""
    heads = re.findall(r"^## (.+)$", CHANGELOG.read_text(encoding="utf-8"), re.MULTILINE)
    assert "not out yet" in heads[0]
    assert [head for head in heads if f"({__version__})" in head] != []
    numbers = [int(found[1]) for head in heads if (found := re.match(r"Release (\d+)", head))]
    assert numbers == list(range(len(heads), 0, -1))
