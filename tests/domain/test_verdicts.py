"""Python and JavaScript judge alike: one table of cases through both."""

import json
import shutil
import subprocess
from dataclasses import asdict
from itertools import product
from pathlib import Path
from typing import Any

import msgspec
import pytest

from pitcrew.base.kinds.kind import Said
from pitcrew.base.paths import STATIC
from pitcrew.domain.checks.judging import said_as_dict
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.checks.limitshape import Limit, limit_from_dict
from pitcrew.domain.checks.readings import Judgement, judge
from pitcrew.domain.checks.saying import text_of
from tests.data.write_verdicts import FILE, as_lines, bundled, one_part_each, vectors

TABLE: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
SAME = ("verdict", "sentence", "result", "said")
"""What both sides must find alike: the sentence, and the key, numbers and words it is made of."""
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
        alike = asdict(found) | {"said": said_as_dict(found.said)}
        if alike != {name: item[name] for name in SAME}:
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
        if {name: found[name] for name in SAME} != {name: item[name] for name in SAME}:
            wrong.append(
                f"{described(item)}: {found} instead of {item['verdict']}: {item['sentence']}"
            )
    assert wrong == []


def rebuilt(limit: Limit | None, said: dict[str, Any]) -> str:
    """The sentence from what an entry stores of it."""
    return text_of(limit or Limit(), msgspec.convert(json.loads(json.dumps(said)), Said))


def test_every_sentence_of_the_table_can_be_made_from_its_key_and_numbers() -> None:
    limits = {name: limit and limit_from_dict(limit) for name, limit in TABLE["limits"].items()}
    wrong = [
        described(item)
        for item in TABLE["cases"]
        if rebuilt(limits[item["limit"]], item["said"]) != item["sentence"]
    ]
    assert wrong == []


def tried(item: PartCheck) -> list[Judgement]:
    """Judgements of a check: without an answer, with each of its answers, and with its numbers
    around each bound."""
    limit = item.limit
    inputs: dict[str, list[Any]] = {}
    bounds = ("stop_low", "watch_low", "watch_high", "stop_high")
    edges = [getattr(limit, name) for name in bounds] if limit else []
    for field in item.check.inputs:
        if field.kind != "number":
            inputs[field.name] = [*(field.options or ("yes", "no")), "something else"]
            continue
        wanted = limit.inputs[field.name] if limit else None
        scale, offset = (wanted.scale, wanted.offset) if wanted else (1.0, 0.0)
        inputs[field.name] = [
            (edge * factor - offset) / scale
            for edge in (*(edge for edge in edges if edge is not None), 1.0)
            for factor in (0.999, 1.0, 1.001)
        ]
    found = [judge(limit, {}, item.unjudged_because)]
    middle = {name: values[0] for name, values in inputs.items()}
    for name, values in inputs.items():
        for value, others in product(values, (middle, {})):
            given = {
                key: {"typed": "", "value": one, "unit": None}
                for key, one in {**others, name: value}.items()
            }
            found.append(judge(limit, given, item.unjudged_because))
    return found


def test_every_sentence_of_each_bundled_check_can_be_made_from_its_key_and_numbers() -> None:
    keys = set()
    for item in one_part_each(bundled()):
        judgements = tried(item)
        for judgement in judgements:
            said = said_as_dict(judgement.said)
            assert rebuilt(item.limit, said) == judgement.sentence, (item.key, said)
            keys.add(said["key"].partition(".")[0])
        assert any(judgement.said and judgement.said.key for judgement in judgements), item.key
    assert {"ok", "stop_high", "near_stop_low", "answer_stop", "stop_when", "no_answer"} <= keys
