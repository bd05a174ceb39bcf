"""The recipes of DEVELOPERS.md, each followed on a copy of the tree: what they say is enough is
enough. Each adds a sample thing, tries it in the program, and takes it away again."""

import hashlib
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from tests.recipes import engine, entry_kind, language, measured, screen, setting

ROOT = Path(__file__).parents[1]
PARTS = ("pitcrew", "templates", "static", "checklists")


class Tree:
    """A copy of what the program needs to run, with what a recipe adds to it."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._added: list[Path] = []
        self._changed: dict[Path, str] = {}

    def add(self, files: dict[str, str]) -> None:
        """Write new files."""
        for name, text in files.items():
            path = self.root / name
            assert not path.exists(), f"{name} is there already"
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
            self._added.append(path)

    def put_before(self, name: str, mark: str, text: str) -> None:
        """Write a text before the first `mark` of a file that is there."""
        path = self.root / name
        before = path.read_text(encoding="utf-8")
        assert mark in before
        self._changed[path] = before
        path.write_text(before.replace(mark, text + mark, 1), encoding="utf-8")

    def take_away(self) -> None:
        """Leave the tree as it was."""
        for path in self._added:
            path.unlink()
            if not any(path.parent.iterdir()):
                path.parent.rmdir()
        for path, text in self._changed.items():
            path.write_text(text, encoding="utf-8")
        self._added, self._changed = [], {}

    def digest(self) -> str:
        """A hash over all that is in it."""
        found = hashlib.sha256()
        for path in sorted(item for item in self.root.rglob("*") if item.is_file()):
            found.update(path.relative_to(self.root).as_posix().encode() + path.read_bytes())
        return found.hexdigest()

    def run(self, script: str, folder: Path) -> list[str]:
        """The lines that a script prints that imports the copy; it is given a pit folder's name."""
        found = subprocess.run(
            [sys.executable, "-c", script, str(folder)],
            cwd=self.root,
            env={
                "PYTHONPATH": str(self.root),
                "PYTHONPYCACHEPREFIX": str(self.root.parent / "compiled"),
                "PATH": "/usr/bin:/bin",
            },
            capture_output=True,
            text=True,
        )
        assert found.returncode == 0, found.stderr
        return found.stdout.splitlines()


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Tree:
    root = tmp_path_factory.mktemp("recipes") / "tree"
    for name in PARTS:
        copytree(ROOT / name, root / name, ignore=ignore_patterns("__pycache__"))
    return Tree(root)


@pytest.fixture
def tree(copy: Tree) -> Iterator[Tree]:
    before = copy.digest()
    yield copy
    copy.take_away()
    assert copy.digest() == before


def test_an_entry_kind_is_one_file(tree: Tree, tmp_path: Path) -> None:
    """Written, filed, judged by role, seen as work on its part, told on the handoff, exported."""
    tree.add(entry_kind.FILES)
    assert tree.run(entry_kind.TRIED, tmp_path / "pit") == [
        "3 drops filed",
        "['oiled']",
        "['oiled with 3 drops']",
        "True False True",
        "True",
    ]


def test_a_check_with_its_figure_and_its_drawing_is_a_file_each(tree: Tree, tmp_path: Path) -> None:
    """The command knows the figure, the list loads, the limit is the figure's, Walk draws it, and a
    reading is judged by it."""
    tree.add(measured.FILES)
    assert tree.run(measured.TRIED, tmp_path / "pit") == [
        "strap-sag: 10 mm",
        "[]",
        "Strap sag: stop above 10 mm",
        "drawn for Lift chain, left",
        "stop",
    ]


def test_a_screen_is_one_file_beside_its_template_and_scripts(tree: Tree, tmp_path: Path) -> None:
    """In the menu of those who may open it alone, on the page, in the bundle, in the worker's list
    and in a phone's snapshot."""
    tree.add(screen.FILES)
    assert tree.run(screen.TRIED, tmp_path / "pit") == [
        "lead True 200",
        "crew False 403",
        "stranger's shell False",
        "worker True",
        "scripts True True",
        "styles True",
        "piece <p>9 wrenches, all back.</p>",
    ]


def test_a_setting_is_one_row(tree: Tree, tmp_path: Path) -> None:
    """Its default, its unit and range, the mistake in a file, the schema, and a limit that reads
    it."""
    tree.put_before(*setting.ROW)
    assert tree.run(setting.TRIED, tmp_path / "pit") == [
        "0.04",
        "0.035",
        "30 mm to 50 mm",
        "pitcrew.toml",
        "True",
        "0.035",
    ]


def test_a_store_is_one_file(tree: Tree, tmp_path: Path) -> None:
    """A pit writes into it, opens it again, and the seals hold."""
    tree.add(engine.FILES)
    assert tree.run(engine.TRIED, tmp_path / "pit") == [
        "no logbook.jsonl True",
        "['Tooth 3 is chipped.']",
        "True",
    ]


def test_a_list_in_another_language_is_one_file(tree: Tree, tmp_path: Path) -> None:
    """What a checklist says is shown as it is written; what templates say stays English."""
    assert tree.run(language.TRIED, tmp_path / "pit") == [
        "[]",
        "Henger kjedet?",
        "Svar: henger. Et slakt kjede hopper av. Kjedet henger for mye.",
        "True",
    ]
