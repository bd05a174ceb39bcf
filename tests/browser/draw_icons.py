"""Draws static/icons/icon-*.png from icon.svg with the browser: `python -m
tests.browser.draw_icons`."""

from playwright.sync_api import sync_playwright

from pitcrew.base.paths import STATIC
from tests.browser.shots import FLAGS

SIZES = (180, 192, 512)


def main() -> None:
    """Write one PNG per size."""
    icons = STATIC / "icons"
    drawing = (icons / "icon.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path="/usr/bin/chromium", headless=True, args=FLAGS
        )
        for size in SIZES:
            tab = browser.new_page(viewport={"width": size, "height": size})
            sized = drawing.replace(
                'width="512" height="512"', f'width="{size}" height="{size}"', 1
            )
            tab.set_content(
                f"<!doctype html><style>body{{margin:0}}svg{{display:block}}</style>{sized}"
            )
            tab.screenshot(path=icons / f"icon-{size}.png")
        browser.close()


if __name__ == "__main__":
    main()
