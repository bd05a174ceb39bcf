"""Runs a piece of JavaScript against static/js with node, for tests that hold the phone's code
against Python's."""

import json
import shutil
import subprocess
from typing import Any

import pytest

from pitcrew.base.paths import STATIC

needs_node = pytest.mark.skipif(
    shutil.which("node") is None,
    reason="node is not installed: the same code also runs in the browser tests",
)


def run(script: str, given: Any) -> Any:
    """What `script` returns as JSON; it is the body of an async function with `given`, and
    `js(path)` imports a module of static/js."""
    program = f"""
      const js = (path) => import({json.dumps((STATIC / "js").as_uri())} + "/" + path);
      let text = ""; for await (const part of process.stdin) text += part;
      const given = JSON.parse(text);
      const answer = await (async () => {{ {script} }})();
      process.stdout.write(JSON.stringify(answer));
    """
    done = subprocess.run(
        ["node", "--input-type=module", "-e", program],
        input=json.dumps(given),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
