"""What a failing browser test leaves behind: of each open tab a picture, its page and its trace,
with their paths in the test's own message."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

FAILURES = Path(__file__).parents[2] / ".failures"


def traced(browser: Any) -> Any:
    """The browser, with a trace of whatever its contexts do from now on."""
    plain = browser.new_context

    def new_context(**options: Any) -> Any:
        context = plain(**options)
        context.tracing.start(screenshots=False, snapshots=False, sources=False)
        return context

    browser.new_context = new_context
    return browser


def leave(test: str, fixtures: dict[str, Any]) -> str:
    """Keep what the tabs of a failed test show; the paths, one a line. Whatever cannot be kept is
    said instead, so that the failure itself stays what is read."""
    folder = FAILURES / re.sub(r"[^\w.-]+", "_", test)[:120]
    lines = []
    for number, context in enumerate(contexts_of(fixtures.values()), 1):
        for place, tab in enumerate(context.pages, 1):
            name = folder / f"{number}-{place}"
            lines += _kept(
                name.with_suffix(".png"), lambda path, tab=tab: tab.screenshot(path=path)
            )
            lines += _kept(
                name.with_suffix(".html"),
                lambda path, tab=tab: Path(path).write_text(tab.content(), encoding="utf-8"),
            )
            lines.append(f"tab {number}-{place} was at {tab.url}")
        trace = folder / f"{number}-trace.zip"
        lines += _kept(trace, lambda path, context=context: context.tracing.stop(path=path))
    return "\n".join(lines) or "No tab was open any more."


def contexts_of(values: Any) -> Iterator[Any]:
    """The browser contexts behind a test's fixtures: browsers, contexts, tabs and phones; each
    once."""
    seen: list[Any] = []
    for value in values:
        context = getattr(value, "context", None)
        browser = getattr(context, "browser", None) if context is not None else value
        found = [*getattr(browser, "contexts", []), *([context] if context is not None else [])]
        for item in found:
            if hasattr(item, "pages") and item not in seen:
                seen.append(item)
                yield item


def _kept(path: Path, keep: Any) -> list[str]:
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        keep(str(path))
    except Exception as error:
        return [f"{path.name} could not be kept: {str(error).splitlines()[0]}"]
    return [str(path)]
