"""The house holds: arrows go down, no cycle, and the laws that keep it livable. See DEVELOPERS.md, "The floors"."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from pitcrew.base.paths import ROOT

PACKAGE = ROOT / "pitcrew"
FLOOR = {
    0: ("entries", "units", "clock", "errors", "settings", "paths", "lookalikes"),
    1: ("engineering", "storage"),
    2: ("domain",),
    3: (
        "pit", "sync", "backup", "tls", "roster", "pins", "rollcall", "seal", "folder", "commands", "verify", "handing", "logs",
        "frames", "photos", "relay", "export", "bundle", "camera", "recovery", "replica", "hub", "hubphotos", "quarantine", "waits",
    ),
    4: ("sheets",),
    5: ("web",),
    6: ("cli", "cliparts", "clireports", "serve", "start", "announce", "demo", "about", "__main__"),
}
FLOOR_OF = {name: number for number, names in FLOOR.items() for name in names}
MAY_KNOW_EACH_OTHER = (0, 3, 6)
ONLY_WHERE_USED = (
    "scipy", "numpy", "pint", "segno", "cryptography", "weasyprint", "psycopg", "PIL", "hypercorn", "zeroconf", "ifaddr", "zxingcpp",
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
        wanted = {item.removeprefix("pitcrew.") for item in imported(tree_of(path)) if item.startswith("pitcrew.")}
        graph[name] = {item for item in wanted if item in known and item != name}
    return graph


def floor_name(module: str) -> str:
    return module.split(".")[0]


def test_every_module_stands_on_a_floor() -> None:
    """A new top-level module or folder must be given its floor."""
    assert {floor_name(name) for name in modules() if name} - set(FLOOR_OF) == set()


def test_arrows_only_go_down() -> None:
    """No module imports a higher floor, and rooms of one floor know each other only where that is allowed."""
    wrong = []
    for name, targets in own_imports().items():
        for target in targets if name else ():
            here, there = FLOOR_OF[floor_name(name)], FLOOR_OF[floor_name(target)]
            same_room = floor_name(name) == floor_name(target)
            if there > here or (there == here and not same_room and here not in MAY_KNOW_EACH_OTHER):
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


def test_domain_and_sheets_never_import_storage() -> None:
    wrong = [
        f"{name} -> {target}"
        for name, targets in own_imports().items()
        for target in targets
        if floor_name(name) in ("domain", "sheets") and floor_name(target) == "storage"
    ]
    assert wrong == []


def test_the_package_root_imports_nothing() -> None:
    assert imported(tree_of(PACKAGE / "__init__.py")) == frozenset()


def test_flask_lives_on_the_web_floor_and_above() -> None:
    wrong = [
        name for name, path in modules().items()
        if name and FLOOR_OF[floor_name(name)] < FLOOR_OF["web"]
        and any(item.split(".")[0] in ("flask", "flask_wtf", "werkzeug", "wtforms") for item in imported(tree_of(path)))
    ]
    assert wrong == []


def test_the_clock_is_asked_in_one_place() -> None:
    """`now`, `today`, `utcnow` and `time.time` are called in clock.py alone."""
    wrong = []
    for name, path in modules().items():
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Attribute) and name != "clock":
                owner = node.value.id if isinstance(node.value, ast.Name) else ""
                asks_date = owner in ("datetime", "date") and node.attr in ("now", "utcnow", "today")
                asks_time = owner == "time" and node.attr in ("time", "time_ns", "localtime", "gmtime")
                if asks_date or asks_time:
                    wrong.append(f"{name}:{node.lineno}")
    assert wrong == []


def test_toml_is_opened_by_the_pit_folder_alone() -> None:
    wrong = [name for name, path in modules().items() if "tomllib" in imported(tree_of(path)) and name != "folder"]
    assert wrong == []


def test_the_journal_is_opened_on_the_pit_floor_alone() -> None:
    """Only floor 3 and the starting of a server touch storage; pages read the state."""
    wrong = [
        f"{name} -> {target}"
        for name, targets in own_imports().items()
        for target in targets
        if floor_name(target) == "storage" and floor_name(name) not in ("storage", *FLOOR[3], "start")
    ]
    assert wrong == []


def test_places_beside_the_package_are_known_to_paths_alone() -> None:
    """No other module builds a path from its own `__file__`."""
    wrong = [
        name for name, path in modules().items()
        if name != "paths" and any(isinstance(node, ast.Name) and node.id == "__file__" for node in ast.walk(tree_of(path)))
    ]
    assert wrong == []


def test_heavy_libraries_are_imported_where_they_are_used() -> None:
    """No module-level import of a library that costs start-up time."""
    wrong = []
    for name, path in modules().items():
        for node in tree_of(path).body:
            wrong += [f"{name}: {item}" for item in imported(node) if isinstance(node, ast.Import | ast.ImportFrom)
                      and item.split(".")[0] in ONLY_WHERE_USED]
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


def test_no_module_has_a_name_that_says_nothing() -> None:
    assert [name for name in modules() if name.split(".")[-1] in FORBIDDEN_NAMES] == []


def test_public_functions_have_docstrings() -> None:
    wrong = []
    for name, path in modules().items():
        for node in tree_of(path).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_") and not ast.get_docstring(node):
                if isinstance(node, ast.ClassDef) and any(isinstance(base, ast.Name) and base.id == "Body" for base in node.bases):
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
