"""Runs every bench beside this file, each of which prints ratios against baselines of the same run.

python -m tests.bench            all of them
python -m tests.bench storage    the one in storage.py
"""

import importlib
import subprocess
import sys
from pathlib import Path

from pitcrew.base.paths import ROOT

NAMES = sorted(
    path.stem for path in Path(ROOT, "tests", "bench").glob("*.py") if not path.stem.startswith("_")
)

for name in sys.argv[1:]:
    if name not in NAMES:
        sys.exit(f"There is no bench {name!r}. Known: {', '.join(NAMES)}.")
    importlib.import_module(f"tests.bench.{name}").main()
for name in (
    () if sys.argv[1:] else NAMES
):  # each in a process of its own, so that none weighs what another has loaded
    subprocess.run([sys.executable, "-m", "tests.bench", name], check=True)
