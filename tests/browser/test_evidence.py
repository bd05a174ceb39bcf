"""A failing browser test leaves a picture, the page and a trace, and says where."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.browser import conftest, evidence


class Call:
    """What the hook is given back: the report of a failed call."""

    def __init__(self) -> None:
        self.report = SimpleNamespace(failed=True, when="call", sections=[])


def test_what_a_failed_test_leaves(
    browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(evidence, "FAILURES", tmp_path)
    monkeypatch.setattr(evidence, "OPEN", {})
    context = browser.new_context()
    tab = context.new_page()
    tab.goto("data:text/html,<p>It failed here</p><script>console.log('and why')</script>")
    hook = conftest.pytest_runtest_makereport(
        SimpleNamespace(nodeid="tests/browser/test_x.py::test_y[a b]"), None
    )
    next(hook)
    with pytest.raises(StopIteration):
        hook.send(report := Call().report)
    ((head, told),) = report.sections
    paths = [Path(line) for line in told.splitlines() if re.search(r"\.(png|html|zip)$", line)]
    assert head == "What the browser showed"
    assert {path.suffix for path in paths} == {".png", ".html", ".zip"}
    assert any("It failed here" in path.read_text() for path in paths if path.suffix == ".html")
    assert "data:text/html" in told and "its console said log: and why" in told
    context.close()
    assert evidence.leave("again") == "No tab was open any more."


def test_a_test_that_passes_leaves_nothing(
    browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(evidence, "FAILURES", tmp_path)
    hook = conftest.pytest_runtest_makereport(SimpleNamespace(nodeid="x"), None)
    next(hook)
    report = SimpleNamespace(failed=False, when="call", sections=[])
    with pytest.raises(StopIteration):
        hook.send(report)
    assert report.sections == [] and list(tmp_path.iterdir()) == []
