"""Python and JavaScript judge alike: one table of cases through both."""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.paths import STATIC
from pitcrew.domain.checks.readings import judge
from tests.data.write_verdicts import FILE, as_lines, vectors

TABLE: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
RUNNER = """
import { readFileSync } from "node:fs";
import { judge } from "./verdict.js";
const table = JSON.parse(readFileSync(process.argv[2], "utf-8"));
const answers = table.cases.map((item) => judge(table.limits[item.limit], item.inputs, item.unjudged_because ?? ""));
process.stdout.write(JSON.stringify(answers));
"""


def described(item: dict[str, Any]) -> str:
    values = {name: given["value"] for name, given in item["inputs"].items()}
    return f"{item['limit']} {values}"


def test_table_is_as_its_script_writes_it() -> None:
    """Whoever changes a limit or a sentence runs `python -m tests.data.write_verdicts` again."""
    assert json.loads(json.dumps(vectors())) == TABLE
    assert FILE.read_text(encoding="utf-8") == as_lines(TABLE), "a case a line"


def test_table_covers_every_verdict_and_outcome() -> None:
    """Each verdict occurs often, and every kind of sentence of a limit is reached at least once."""
    counts = {
        verdict: sum(item["verdict"] == verdict for item in TABLE["cases"])
        for verdict in ("ok", "watch", "stop", "unjudged")
    }
    assert min(counts.values()) > 40, counts
    bounded = [limit for limit in TABLE["limits"].values() if limit and limit["result"] is not None]
    for name in ("stop_low", "watch_low", "watch_high", "stop_high"):
        guarded = name.startswith("stop")  # guard bands belong to stop bounds
        assert any(
            limit[name] is not None and bool(limit["guards"].get(name)) is guarded
            for limit in bounded
        ), name


def test_python_judges_as_the_table_says() -> None:
    wrong = []
    for item in TABLE["cases"]:
        found = judge(
            TABLE["limits"][item["limit"]], item["inputs"], item.get("unjudged_because", "")
        )
        if (found.verdict, found.sentence, found.result) != (
            item["verdict"],
            item["sentence"],
            item["result"],
        ):
            wrong.append(f"{described(item)}: {found}")
    assert wrong == []


@pytest.mark.skipif(
    shutil.which("node") is None,
    reason="node is not installed: the browser tests run the same table",
)
def test_javascript_judges_as_the_table_says(tmp_path: Path) -> None:
    for name in ("verdict.js", "format.js"):
        shutil.copy(STATIC / "js" / "lib" / name, tmp_path / name)
    (tmp_path / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    (tmp_path / "run.js").write_text(RUNNER, encoding="utf-8")
    command = ["node", str(tmp_path / "run.js"), str(FILE)]
    answers = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    wrong = []
    for item, found in zip(TABLE["cases"], answers, strict=True):
        if (found["verdict"], found["sentence"], found["result"]) != (
            item["verdict"],
            item["sentence"],
            item["result"],
        ):
            wrong.append(
                f"{described(item)}: {found} instead of {item['verdict']}: {item['sentence']}"
            )
    assert wrong == []
