"""A failing browser test leaves a picture, the page and a trace, and says where."""

import re
from pathlib import Path

from tests.browser import evidence


def test_what_a_failed_test_leaves(browser, tmp_path, monkeypatch) -> None:
    monkeypatch.setattr(evidence, "FAILURES", tmp_path)
    context = browser.new_context()
    tab = context.new_page()
    tab.goto("data:text/html,<p>It failed here</p>")
    told = evidence.leave("tests/browser/test_x.py::test_y[a b]", {"tab": tab, "other": 3})
    paths = [Path(line) for line in told.splitlines() if re.search(r"\.(png|html|zip)$", line)]
    assert {path.suffix for path in paths} >= {".png", ".html", ".zip"}
    assert all(path.stat().st_size > 100 or path.suffix == ".html" for path in paths)
    assert any("It failed here" in path.read_text() for path in paths if path.suffix == ".html")
    assert "data:text/html" in told
    context.close()
    assert evidence.leave("again", {"tab": 1}) == "No tab was open any more."
