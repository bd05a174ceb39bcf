"""Small mistakes in a copy of the program: one line, changed as a slip of the hand would change it."""

import ast
import os
import random
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

SWAPPED = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: (" in ", " not in "),
    ast.NotIn: (" not in ", " in "),
    ast.Is: (" is ", " is not "),
    ast.IsNot: (" is not ", " is "),
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.And: (" and ", " or "),
    ast.Or: (" or ", " and "),
}


@dataclass(frozen=True)
class Mutant:
    """A change: in `file`, the bytes from `start` to `end` become `put`: the line `before` becomes
    `after`. `within` names the function around it."""

    file: str
    line: int
    start: int
    end: int
    put: str
    before: str
    after: str
    within: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line} ({self.within}): `{self.before}` becomes `{self.after}`"


class Finder(ast.NodeVisitor):
    """Everything in a file that could be changed. Texts stay, and so do type hints."""

    def __init__(self, file: str, source: bytes) -> None:
        self.file, self.source = file, source
        self.lines = [0]
        for line in source.splitlines(keepends=True):
            self.lines.append(self.lines[-1] + len(line))
        self.names: list[str] = []
        self.found: list[Mutant] = []
        self.visit(ast.parse(source))

    def start(self, node: ast.expr) -> int:
        return self.lines[node.lineno - 1] + node.col_offset

    def end(self, node: ast.expr) -> int:
        assert node.end_lineno and node.end_col_offset is not None
        return self.lines[node.end_lineno - 1] + node.end_col_offset

    def add(self, start: int, end: int, after: str) -> None:
        line = self.source.count(b"\n", 0, start) + 1
        whole = self.source.splitlines()[line - 1].decode().strip()
        begins = self.lines[line - 1]
        new = (self.source[begins:start] + after.encode() + self.source[end:]).splitlines()[0]
        within = ".".join(self.names) or "module"
        self.found.append(
            Mutant(self.file, line, start, end, after, whole, new.decode().strip(), within)
        )

    def swap(self, operator: ast.AST, start: int, end: int) -> None:
        """Change the operator that stands between two places."""
        old, new = SWAPPED.get(type(operator), ("", ""))
        at = self.source[start:end].find(old.encode()) if old else -1
        if at >= 0:
            self.add(start + at, start + at + len(old), new)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self.names.append(node.name)
        for part in [*node.decorator_list, *node.args.defaults, *node.body]:
            self.visit(part)
        self.names.pop()

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value:
            self.visit(node.value)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """A text with values in it: Python 3.11 does not say where they stand."""

    def visit_Compare(self, node: ast.Compare) -> None:
        sides = [node.left, *node.comparators]
        for operator, left, right in zip(node.ops, sides, sides[1:], strict=False):
            self.swap(operator, self.end(left), self.start(right))
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        if not isinstance(node.left, ast.JoinedStr) and not isinstance(node.right, ast.JoinedStr):
            self.swap(node.op, self.end(node.left), self.start(node.right))
        self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> None:
        for left, right in zip(node.values, node.values[1:], strict=False):
            self.swap(node.op, self.end(left), self.start(right))
        self.generic_visit(node)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.Not):
            self.add(self.start(node), self.start(node.operand), "")
        self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            return
        new = node.value * 1.1 if node.value and isinstance(node.value, float) else node.value + 1
        self.add(self.start(node), self.end(node), repr(new))


def choose(root: Path, folders: list[str], count: int, seed: int) -> list[Mutant]:
    """One change in each of `count` lines, chosen by `seed` from all lines that can be changed."""
    by_line: dict[tuple[str, int], list[Mutant]] = {}
    for folder in folders:
        for path in sorted((root / folder).rglob("*.py")):
            file = path.relative_to(root).as_posix()
            for mutant in Finder(file, path.read_bytes()).found:
                by_line.setdefault((file, mutant.line), []).append(mutant)
    chance = random.Random(seed)
    return [chance.choice(by_line[line]) for line in chance.sample(sorted(by_line), count)]


class Copy:
    """A copy of the tree in which a change is made and taken back."""

    def __init__(self, root: Path, hours: float = 0.25) -> None:
        self.root, self.patience = root, hours * 3600
        self.tick = 2_000_000_000

    def write(self, file: str, content: bytes) -> None:
        """Write a file with a time of its own, or Python would take what it compiled before."""
        path = self.root / file
        path.write_bytes(content)
        self.tick += 10
        os.utime(path, (self.tick, self.tick))

    def first_failure(self, tests: list[str]) -> str:
        """The first of these tests that fails; nothing where all pass."""
        if not tests:
            return ""
        command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "--tb=no", *tests]
        try:
            ran = subprocess.run(
                [*command, "-p", "no:cacheprovider"],
                cwd=self.root,
                env={**os.environ, "PYTHONPATH": str(self.root)},
                capture_output=True,
                text=True,
                timeout=self.patience,
            )
        except subprocess.TimeoutExpired:
            return "no end"
        if ran.returncode == 0:
            return ""
        told = [line for line in ran.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
        return told[0].split(" - ")[0] if told else ran.stdout[-500:] + ran.stderr[-500:]

    def caught_by(self, mutant: Mutant, rounds: list[list[str]]) -> str:
        """What catches a change, in the first of the rounds of tests in which anything does."""
        whole = (self.root / mutant.file).read_bytes()
        self.write(mutant.file, whole[: mutant.start] + mutant.put.encode() + whole[mutant.end :])
        try:
            return next(filter(None, map(self.first_failure, rounds)), "")
        finally:
            self.write(mutant.file, whole)


def rounds_for(root: Path, mutant: Mutant) -> list[list[str]]:
    """Test files in the order in which they are likely to notice: those of its folder that name the
    function or its file, the rest of its folder, and those that see it from further away."""
    names = [mutant.within.rpartition(".")[2], Path(mutant.file).stem]

    def files(folder: str) -> list[str]:
        return sorted(
            path.relative_to(root).as_posix() for path in (root / folder).rglob("test_*.py")
        )

    def names_it(test: str) -> bool:
        said = (root / test).read_text(encoding="utf-8")
        return any(re.search(rf"\b{name}\b", said) for name in names)

    own, *others = [
        f"tests/{name}" for name in [*mutant.file.split("/")[1:2], "domain", "sheets", "web"]
    ]
    near = [test for test in files(own) if names_it(test)]
    rest = [test for test in files(own) if test not in near]
    return [near, rest, [folder for folder in dict.fromkeys(others) if folder != own]]
