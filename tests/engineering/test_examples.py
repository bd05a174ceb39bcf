"""The worked example of each figure: its command answers as written, and its sums are right when
they are worked out by Python alone."""

import math
import re
import shlex

import pytest
from click.testing import CliRunner

from pitcrew.cli.main import main
from pitcrew.engineering.catalogue import figures, find

SUM = re.compile(
    r"((?:(?:ln|cos|tan|e\^)\(|[\d.π√(])(?:[\d.π√()×/+\-^° ]|ln\(|cos\(|tan\(|e\^)*)"
    r" = (-?\d+(?:\.\d+)?)"
)
"""A sum and its result, in numbers: `0.025 × 412 = 10.3`."""
KNOWN = {"sqrt": math.sqrt, "ln": math.log, "exp": math.exp, "pi": math.pi} | {
    "cos": math.cos,
    "tan": math.tan,
    "radians": math.radians,
}
SIGNS = {"e^": "exp", "×": "*", "^": "**", "√": "sqrt", "π": "pi"}


def worked_out(written: str) -> float:
    """A sum as it is written on paper, in numbers."""
    for sign, name in SIGNS.items():
        written = written.replace(sign, name)
    return float(eval(re.sub(r"(\d+)°", r"radians(\1)", written), {"__builtins__": {}}, KNOWN))


@pytest.mark.parametrize("name", sorted(figures()))
def test_the_command_answers_as_the_example_says(name: str) -> None:
    lines = re.sub(r"\\\n\s*", "", find(name).example).splitlines()
    command, answer = (line.strip() for line in lines[-2:])
    program, *arguments = shlex.split(command)
    done = CliRunner().invoke(main, arguments)
    assert (program, arguments[:2]) == ("pitcrew", ["figure", name])
    assert done.exit_code == 0, done.output
    assert done.output.startswith(f"{answer} (")


def test_the_sums_of_the_examples_are_right() -> None:
    """To the last digit written."""
    found = []
    for name, figure in figures().items():
        words = " ".join(figure.example.partition("\n\n")[0].split())
        for written, result in SUM.findall(words):
            half = 0.51 * 10.0 ** -len(result.partition(".")[2])
            found.append((name, written, result, abs(worked_out(written) - float(result)) <= half))
    assert [item for item in found if not item[3]] == []
    assert len({name for name, *_ in found}) > 0.8 * len(figures()), "most examples show a sum"


def test_help_of_a_figure_shows_its_example() -> None:
    done = CliRunner().invoke(main, ["figure", "chain-slack", "--help"])
    assert done.exit_code == 0
    assert "0.025 × 412 = 10.3 mm" in done.output
    assert "source: roller chain makers" in done.output
