"""The house holds: arrows go down, no cycle, and the laws that keep it livable. See DEVELOPERS.md,
"The floors"."""

import ast
import io
import re
import subprocess
import sys
import tokenize
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from pitcrew.base.paths import ROOT

PACKAGE = ROOT / "pitcrew"
FLOORS: tuple[tuple[str, ...], ...] = (
    ("base",),
    ("engineering", "storage", "robotlog"),
    ("domain.robot",),
    ("domain.holding", "builder"),
    ("domain.checks",),
    ("domain.logbook",),
    ("domain.event",),
    ("domain.batteries", "domain.climb", "domain.patterns"),
    ("domain.now",),
    ("pit",),
    ("exchange",),
    ("sheets",),
    ("web",),
    ("demo",),
    ("cli",),
)
"""The rooms, lowest floor first. A module may import its own room and the floors below, never a
neighbor on its floor."""
FLOOR_OF = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
OUTSIDE = ("__main__",)
"""Modules beside the rooms: `python -m pitcrew`."""
EXCEPTIONS: dict[tuple[str, str], str] = {}
"""(module, module it imports) -> why that upward or sideways arrow is still there."""
CLOCK, TOML_READERS, PLACES = "base.clock", ("pit.folder",), "base.paths"
OPENS_STORAGE = ("pit", "cli.start", "cli.dispatch")
"""Rooms and modules that may touch storage; everything else reads the state."""
ONLY_WHERE_USED = (
    "scipy",
    "numpy",
    "pint",
    "segno",
    "cryptography",
    "weasyprint",
    "psycopg",
    "PIL",
    "hypercorn",
    "zeroconf",
    "ifaddr",
    "tomlkit",
    "zxingcpp",
)
FORBIDDEN_NAMES = ("utils", "util", "helpers", "helper", "manager", "managers", "common", "misc")


@cache
def modules() -> dict[str, Path]:
    """Every module of the package by its dotted name below `pitcrew`."""
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = path
    return found


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


@cache
def imported(tree: ast.AST) -> frozenset[str]:
    """All dotted names that a tree imports, also inside functions."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(names)


@cache
def own_imports() -> dict[str, set[str]]:
    """module -> the modules of the package that it imports."""
    known = modules()
    graph = {}
    for name, path in known.items():
        wanted = {
            item.removeprefix("pitcrew.")
            for item in imported(tree_of(path))
            if item.startswith("pitcrew.")
        }
        graph[name] = {item for item in wanted if item in known and item != name}
    return graph


def room_of(module: str) -> str | None:
    """The room of a module, None for what is beside the rooms: the package itself,
    `domain/__init__`, `__main__`."""
    parts = module.split(".")
    names = (".".join(parts[:length]) for length in range(len(parts), 0, -1))
    return next((name for name in names if name in FLOOR_OF), None)


def is_in(module: str, places: tuple[str, ...]) -> bool:
    """Whether a module is one of these modules, or in one of these rooms."""
    return module in places or room_of(module) in places


def test_every_module_has_a_room() -> None:
    """A new module goes into a room, and a new room gets its floor in FLOORS."""
    packages = {name for name, path in modules().items() if path.name == "__init__.py"}
    homeless = [name for name in modules() if room_of(name) is None and name not in OUTSIDE]
    assert [
        name for name in homeless if name not in packages or imported(tree_of(modules()[name]))
    ] == []


def test_the_tables_name_only_what_exists() -> None:
    """A room or module that is gone leaves the tables of this file as well."""
    known = set(modules())
    named = {
        *FLOOR_OF,
        *OUTSIDE,
        CLOCK,
        *TOML_READERS,
        PLACES,
        *OPENS_STORAGE,
        *(name for pair in EXCEPTIONS for name in pair),
    }
    assert named - known == set()
    assert [pair for pair in EXCEPTIONS if pair[1] not in own_imports()[pair[0]]] == []


def test_arrows_only_go_down() -> None:
    """No module imports a higher floor, nor another room of its own floor."""
    wrong = []
    for name, targets in own_imports().items():
        for target in targets if room_of(name) else ():
            here, there = room_of(name), room_of(target)
            goes_down = here == there or (
                there is not None and FLOOR_OF[there] < FLOOR_OF[here or ""]
            )
            if not goes_down and (name, target) not in EXCEPTIONS:
                wrong.append(f"{name} -> {target}")
    assert wrong == []


def test_no_cycle() -> None:
    """No module is reached from itself."""
    graph = own_imports()
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, " -> ".join([*path, name])
        if name not in done:
            for target in sorted(graph[name]):
                visit(target, (*path, name))
            done.add(name)

    for name in graph:
        visit(name, ())


def test_the_package_root_imports_nothing() -> None:
    assert imported(tree_of(PACKAGE / "__init__.py")) == frozenset()


def test_flask_lives_on_the_web_floor_and_above() -> None:
    wrong = [
        name
        for name, path in modules().items()
        if FLOOR_OF.get(room_of(name) or "", 0) < FLOOR_OF["web"]
        and any(
            item.split(".")[0] in ("flask", "flask_wtf", "werkzeug", "wtforms")
            for item in imported(tree_of(path))
        )
    ]
    assert wrong == []


def test_the_clock_is_asked_in_one_place() -> None:
    """`now`, `today`, `utcnow` and `time.time` are called in `base/clock.py` alone."""
    wrong = []
    for name, path in modules().items():
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Attribute) and name != CLOCK:
                owner = node.value.id if isinstance(node.value, ast.Name) else ""
                asks_date = owner in ("datetime", "date") and node.attr in (
                    "now",
                    "utcnow",
                    "today",
                )
                asks_time = owner == "time" and node.attr in (
                    "time",
                    "time_ns",
                    "localtime",
                    "gmtime",
                )
                if asks_date or asks_time:
                    wrong.append(f"{name}:{node.lineno}")
    assert wrong == []


def test_toml_is_opened_by_the_pit_folder_alone() -> None:
    wrong = [
        name
        for name, path in modules().items()
        if "tomllib" in imported(tree_of(path)) and name not in TOML_READERS
    ]
    assert wrong == []


def test_the_journal_is_opened_by_the_pit_alone() -> None:
    """Only the pit and what starts a server or a command touch storage; pages read the state."""
    wrong = [
        f"{name} -> {target}"
        for name, targets in own_imports().items()
        for target in targets
        if room_of(target) == "storage" and not is_in(name, ("storage", *OPENS_STORAGE))
    ]
    assert wrong == []


def test_places_beside_the_package_are_known_to_paths_alone() -> None:
    """No other module builds a path from its own `__file__`."""
    wrong = [
        name
        for name, path in modules().items()
        if name != PLACES
        and any(
            isinstance(node, ast.Name) and node.id == "__file__" for node in ast.walk(tree_of(path))
        )
    ]
    assert wrong == []


def test_heavy_libraries_are_imported_where_they_are_used() -> None:
    """No module-level import of a library that costs start-up time."""
    wrong = []
    for name, path in modules().items():
        for node in tree_of(path).body:
            wrong += [
                f"{name}: {item}"
                for item in imported(node)
                if isinstance(node, ast.Import | ast.ImportFrom)
                and item.split(".")[0] in ONLY_WHERE_USED
            ]
    assert wrong == []


def test_no_module_is_long_and_no_function_body_is_long() -> None:
    """No module over 400 lines, no function body over 40 (docstring not counted)."""
    wrong = []
    for name, path in modules().items():
        lines = len(path.read_text(encoding="utf-8").splitlines())
        if lines > 400:
            wrong.append(f"{name}: {lines} lines")
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) else node.body
                length = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
                if length > 40:
                    wrong.append(f"{name}.{node.name}: {length} lines")
    assert wrong == []


def test_no_line_is_long() -> None:
    """No line of Python over 100 columns, sentences and comments included."""
    wrong = [
        f"{name}:{number}"
        for name, path in modules().items()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > 100
    ]
    assert wrong == []


def test_no_two_public_classes_have_one_name() -> None:
    """One name for one thing: classes and type aliases of the whole package."""
    homes: dict[str, list[str]] = defaultdict(list)
    for name, path in modules().items():
        for node in tree_of(path).body:
            defined = node.name if isinstance(node, ast.ClassDef) else alias_of(node)
            if defined and not defined.startswith("_"):
                homes[defined].append(name)
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


def alias_of(node: ast.stmt) -> str:
    """The name of a type alias such as `Stamp = Callable[…]`; empty for any other statement."""
    if not isinstance(node, ast.Assign) or not isinstance(node.targets[0], ast.Name):
        return ""
    name = node.targets[0].id
    is_type = isinstance(node.value, ast.Subscript | ast.Name | ast.BinOp)
    return name if is_type and name[0].isupper() and not name.isupper() else ""


def test_no_module_has_a_name_that_says_nothing() -> None:
    assert [name for name in modules() if name.split(".")[-1] in FORBIDDEN_NAMES] == []


STIFF = ("anew", "the own", "nobody", "somebody", "everybody", "anybody", "tells of", "is told to")
"""What no comment or docstring says: again, their own, no one, someone, everyone, anyone, reports,
is asked to."""


def explanations(path: Path) -> Iterator[tuple[int, str]]:
    """The comments and docstrings of a file with the line in which each begins."""
    for token in tokenize.generate_tokens(io.StringIO(path.read_text(encoding="utf-8")).readline):
        if token.type == tokenize.COMMENT:
            yield token.start[0], token.string
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.lineno, str(node.value.value)


def test_comments_and_docstrings_speak_plain_english() -> None:
    """A short list of what crept in before, over the package and the tests."""
    stiff = re.compile(rf"\b({'|'.join(STIFF)})\b", re.IGNORECASE)
    wrong = [
        f"{path.relative_to(ROOT)}:{line}: {found[0]}"
        for folder in (PACKAGE, ROOT / "tests")
        for path in sorted(folder.rglob("*.py"))
        if stiff.search(path.read_text(encoding="utf-8"))
        for line, text in explanations(path)
        if (found := stiff.search(text))
    ]
    assert wrong == []


def test_public_functions_have_docstrings() -> None:
    wrong = []
    for name, path in modules().items():
        for node in tree_of(path).body:
            if (
                isinstance(node, ast.FunctionDef | ast.ClassDef)
                and not node.name.startswith("_")
                and not ast.get_docstring(node)
            ):
                if isinstance(node, ast.ClassDef) and any(
                    isinstance(base, ast.Name) and base.id == "Body" for base in node.bases
                ):
                    continue  # the bodies of entries are listed in a table of DEVELOPERS.md
                wrong.append(f"{name}.{node.name}")
    assert wrong == []


@pytest.mark.parametrize("arguments", [["--help"], ["figure", "--help"], ["serve", "--help"]])
def test_help_pulls_in_no_heavy_library(arguments: list[str]) -> None:
    """`pitcrew --help` stays instant: none of the heavy libraries, nor Flask, is loaded by it."""
    code = (
        "import sys; from pitcrew.cli.main import main\n"
        f"try: main({arguments!r})\nexcept SystemExit: pass\n"
        f"heavy = [m for m in {(*ONLY_WHERE_USED, 'flask', 'tinydb')!r} if m in sys.modules]\n"
        "sys.exit(', '.join(heavy) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def picture() -> str:
    """The order of the rooms, highest floor first, as text."""
    return "\n".join(
        f"{number:>2}  {'   '.join(FLOORS[number])}" for number in range(len(FLOORS) - 1, -1, -1)
    )


if __name__ == "__main__":
    print(picture())
