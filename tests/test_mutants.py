"""Whether the tests notice a slip in one line of the formulas or the rules."""

import ast
import os
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from tests.mutants import Copy, Finder, choose, rounds_for

ROOT = Path(__file__).parents[1]
FOLDERS = ["pitcrew/engineering", "pitcrew/domain"]
COUNT = int(os.environ.get("PITCREW_MUTANTS", "40"))
SEED = int(os.environ.get("PITCREW_SEED", "13"))
MOST_SURVIVE = 0.2
"""Of the changes, some change nothing that anything could see, as a bound that no number meets."""
LEFT_OUT = (".git", ".venv", ".*_cache", ".hypothesis", "__pycache__", "demo-pit", "build", "dist")


def changed(source: str) -> set[str]:
    """Each line as a change leaves it."""
    return {mutant.after for mutant in Finder("a.py", source.encode()).found}


def test_a_slip_changes_one_line_and_what_it_does() -> None:
    assert changed("if a < b and not c:\n    pass\n") == {
        "if a <= b and not c:",
        "if a < b or not c:",
        "if a < b and c:",
    }
    assert changed("ü = f(2, 0.0) * len(x)\n") == {
        "ü = f(3, 0.0) * len(x)",
        "ü = f(2, 1.0) * len(x)",
        "ü = f(2, 0.0) / len(x)",
    }
    assert changed('n: Literal[1] = f"{a + 1}" "2 > 1"\n') == set()


def test_every_slip_can_be_compiled_and_no_two_are_in_one_line() -> None:
    found = choose(ROOT, FOLDERS, COUNT, SEED)
    assert len({(mutant.file, mutant.line) for mutant in found}) == COUNT
    for mutant in found:
        whole = (ROOT / mutant.file).read_bytes()
        new = whole[: mutant.start] + mutant.put.encode() + whole[mutant.end :]
        assert ast.dump(ast.parse(new)) != ast.dump(ast.parse(whole)), str(mutant)


@pytest.mark.soak
def test_slips_are_noticed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Prints each slip with what noticed it; those that nothing noticed are to be looked at."""
    copytree(ROOT, tmp_path / "tree", ignore=ignore_patterns(*LEFT_OUT))
    tree = Copy(tmp_path / "tree")
    assert tree.first_failure(["tests/engineering", "tests/domain", "tests/sheets"]) == ""
    survived = []
    for mutant in choose(ROOT, FOLDERS, COUNT, SEED):
        found = tree.caught_by(mutant, rounds_for(tree.root, mutant))
        survived += [] if found else [mutant]
        with capsys.disabled():
            print(f"{'caught by ' + found if found else 'SURVIVED'}: {mutant}", flush=True)
    with capsys.disabled():
        print(f"{COUNT - len(survived)} of {COUNT} slips were noticed (seed {SEED})")
    assert len(survived) <= MOST_SURVIVE * COUNT, "\n".join(map(str, survived))
