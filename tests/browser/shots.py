"""Screenshots of pages, phone and laptop, light, dark and sunlight:
`python -m tests.browser.shots OUT URL [URL …] [--theme light,dark,sun] [--size
390x844,320x640,1366x768] [--full] [--state FILE]`.
"""

import argparse
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Browser, sync_playwright

from tests.browser.chromium import FLAGS, windowless_path

PHONE = 700


def shot(
    browser: Browser,
    url: str,
    size: tuple[int, int],
    theme: str,
    out: Path,
    full: bool,
    state: str | None,
) -> Path:
    """One page in one size and theme; says where the page is wider than the screen, and what its
    console complains of."""
    phone = size[0] < PHONE
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        device_scale_factor=2 if phone else 1,
        has_touch=phone,
        storage_state=state,
        color_scheme="dark" if theme == "dark" else "light",
    )
    context.add_init_script(f"localStorage.setItem('pitcrew.theme', '{theme}')")
    tab = context.new_page()
    tab.on(
        "console",
        lambda message: (
            print(f"  {url}: {message.type}: {message.text}")
            if message.type in ("error", "warning")
            else None
        ),
    )
    tab.on("pageerror", lambda error: print(f"  {url}: {error}"))
    tab.goto(url)
    tab.wait_for_load_state("networkidle")
    wide = tab.evaluate("document.documentElement.scrollWidth - innerWidth")
    if wide > 0:
        print(f"  {url} at {size[0]} px scrolls sideways by {wide} px")
    name = (urlsplit(url).path.strip("/").replace("/", "-") or "root") + f"-{size[0]}-{theme}.png"
    tab.screenshot(path=out / name, full_page=full)
    context.close()
    return out / name


def main() -> None:
    """Take all shots that the arguments ask for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("urls", nargs="+")
    parser.add_argument("--theme", default="light,dark")
    parser.add_argument("--size", default="390x844,320x640,1366x768")
    parser.add_argument("--full", action="store_true")
    parser.add_argument("--state", help="a file with the cookies and storage of a joined device")
    wanted = parser.parse_args()
    wanted.out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=windowless_path(), headless=True, args=FLAGS
        )
        for url in wanted.urls:
            for size in wanted.size.split(","):
                width, height = map(int, size.split("x"))
                for theme in wanted.theme.split(","):
                    print(
                        shot(
                            browser,
                            url,
                            (width, height),
                            theme,
                            wanted.out,
                            wanted.full,
                            wanted.state,
                        )
                    )
        browser.close()


if __name__ == "__main__":
    main()
