"""Runs every bench beside this file, each of which prints ratios against baselines of the same run.

    python -m tests.bench            all of them
    python -m tests.bench storage    the one in storage.py
"""

import importlib
import sys
from pathlib import Path

from pitcrew.paths import ROOT

NAMES = sorted(path.stem for path in Path(ROOT, "tests", "bench").glob("*.py") if not path.stem.startswith("_"))

for name in sys.argv[1:] or NAMES:
    if name not in NAMES:
        sys.exit(f"There is no bench {name!r}. Known: {', '.join(NAMES)}.")
    importlib.import_module(f"tests.bench.{name}").main()
