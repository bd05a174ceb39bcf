"""What a failing browser test leaves behind: of each open tab a picture, its page, its console and
its trace, with their paths in the test's own message."""

import re
from pathlib import Path
from typing import Any

FAILURES = Path(__file__).parents[2] / ".failures"
OPEN: dict[Any, list[str]] = {}
"""Every browser context that is open, in any browser, with what its consoles said."""


def watch() -> None:
    """Trace each context that any browser opens from now on."""
    from playwright.sync_api import Browser

    if getattr(Browser, "is_watched", False):
        return
    plain = Browser.new_context

    def new_context(self: Any, **options: Any) -> Any:
        context = plain(self, **options)
        context.tracing.start(screenshots=False, snapshots=False, sources=False)
        said = OPEN.setdefault(context, [])
        context.on("console", lambda message: said.append(f"{message.type}: {message.text}"))
        context.on("close", lambda *_: OPEN.pop(context, None))
        return context

    Browser.new_context = new_context  # type: ignore[method-assign]
    Browser.is_watched = True  # type: ignore[attr-defined]


def leave(test: str) -> str:
    """Keep what the tabs of a failed test show; the paths, one a line. Whatever cannot be kept is
    said instead, so that the failure itself stays what is read."""
    folder = FAILURES / re.sub(r"[^\w.-]+", "_", test)[:120]
    lines = []
    for number, (context, said) in enumerate(list(OPEN.items()), 1):
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
        lines += [f"its console said {line}" for line in said[-5:]]
        trace = folder / f"{number}-trace.zip"
        lines += _kept(trace, lambda path, context=context: context.tracing.stop(path=path))
    return "\n".join(lines) or "No tab was open any more."


def _kept(path: Path, keep: Any) -> list[str]:
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        keep(str(path))
    except Exception as error:
        return [f"{path.name} could not be kept: {str(error).splitlines()[0]}"]
    return [str(path)]
