"""What the engineering costs: all limits of a large pit folder, one figure from the command line,
one verdict in JavaScript."""

import json
import shutil
import subprocess
import sys
import tomllib
from statistics import median
from time import perf_counter

from pitcrew.base.paths import ROOT
from pitcrew.domain.checks.definitions import build_definitions
from pitcrew.pit.folder import bundled_lists, bundled_sheets

CHECKS, PARTS = 150, 84
FOLDER = """
import sys
from time import perf_counter
from tests.bench.figures import large_folder, load
tables = large_folder()
start = perf_counter()
load(tables)
print(perf_counter() - start)
"""
VERDICTS = """
import { judge } from %(module)s;
import { readFileSync } from "node:fs";
const { limits, cases } = JSON.parse(readFileSync(%(vectors)s, "utf8"));
const run = () => { for (const one of cases) judge(limits[one.limit], one.inputs, one.unjudged_because ?? ""); };
for (let round = 0; round < 20; round += 1) run();
const start = process.hrtime.bigint();
for (let round = 0; round < 100; round += 1) run();
console.log(Number(process.hrtime.bigint() - start) / 1e9 / 100 / cases.length);
"""


def large_folder() -> tuple[dict, dict]:
    """The bundled robot and lists, its parts repeated under other names until there are 84 parts
    and 150 checks or more."""
    sheet = tomllib.loads(bundled_sheets()[0].read_text(encoding="utf-8"))
    parts = sheet["part"]
    for number in range(max(0, PARTS - len(parts))):
        copied = dict(parts[number % len(parts)])
        parts.append(
            {
                **copied,
                "id": f"{copied['id']}.twin{number}",
                "label": f"{copied['label']}, twin {number}",
            }
        )
    lists = {
        f"checklists/{path.name}": tomllib.loads(path.read_text(encoding="utf-8"))
        for path in bundled_lists()
    }
    return {"robots/bench.toml": sheet}, lists


def load(tables: tuple[dict, dict]) -> int:
    """Compute every limit; how many checks there are."""
    sheets, lists = tables
    found = build_definitions({"zone": "UTC"}, sheets, lists, [], {})
    assert len(found.part_checks) >= CHECKS, len(found.part_checks)
    return len(found.part_checks)


def seconds(command: list[str], rounds: int = 5) -> float:
    """Median wall time of a command."""
    times = []
    for _ in range(rounds):
        start = perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        times.append(perf_counter() - start)
    return median(times)


def limits_bench() -> None:
    """All limits, cold in a fresh process and warm, against reading the same TOML files."""
    tables = large_folder()
    load(tables)
    warm, parse = [], []
    for _ in range(5):
        start = perf_counter()
        number = load(tables)
        warm.append(perf_counter() - start)
        start = perf_counter()
        large_folder()
        parse.append(perf_counter() - start)
    command = [sys.executable, "-c", FOLDER]
    colds = [
        float(subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT).stdout)
        for _ in range(3)
    ]
    base = median(parse)
    for name, taken in (("warm", median(warm)), ("cold", median(colds))):
        print(
            f"all limits of {number} checks, {name}: {taken * 1000:.0f} ms = {taken / base:.1f}x"
            " parsing the same TOML"
        )


def start_bench() -> None:
    """The command line's start against importing scipy.stats."""
    scipy = seconds([sys.executable, "-c", "import scipy.stats"])
    for arguments in (
        ["figure", "--help"],
        ["figure", "chain-slack", "span=412 mm", "duty=shock"],
        ["figure", "--list"],
    ):
        taken = seconds([sys.executable, "-m", "pitcrew", *arguments])
        print(
            f"pitcrew {' '.join(arguments)}: {taken * 1000:.0f} ms = {taken / scipy:.2f}x import"
            " scipy.stats (--help: < 0.30x)"
        )


def verdict_bench() -> None:
    """One verdict in JavaScript, against one frame of a 60 Hz screen."""
    node = shutil.which("node")
    if node is None:
        print("a verdict in JavaScript: not measured, there is no node on this machine")
        return
    module = json.dumps((ROOT / "static/js/lib/verdict.js").as_uri())
    vectors = json.dumps(str(ROOT / "tests/data/verdicts.json"))
    script = VERDICTS % {"module": module, "vectors": vectors}
    done = subprocess.run(
        [node, "--input-type=module", "-e", script], check=True, capture_output=True, text=True
    )
    each = float(done.stdout)
    print(f"a verdict in JavaScript: {each * 1e6:.1f} µs = {each * 60:.5f}x one frame at 60 Hz")


def main() -> None:
    """Print the ratios."""
    print("figures and limits")
    limits_bench()
    start_bench()
    verdict_bench()
