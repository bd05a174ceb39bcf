"""What a phone has to fetch: the whole installed app, and every page of it, packed as a server
would send them."""

import gzip
import json
import re

import pytest

from tests.web.screens import EVERY_SCREEN

APP = 120 * 1024
PAGE = 50 * 1024
PAGES = (*EVERY_SCREEN, "/walk?zone=mast", "/faults/new", "/shell")


def packed(data: bytes) -> int:
    """Bytes after gzip; pictures do not shrink by it and are taken as they are."""
    return min(len(data), len(gzip.compress(data, 9, mtime=0)))


def fetched(app, path: str) -> bytes:
    """The body of a public address."""
    with app.test_client().get(path) as answer:
        assert answer.status_code == 200, path
        return answer.data


def files_kept(app) -> list[str]:
    """The addresses that the service worker keeps."""
    return json.loads(re.search(r"const FILES = (\[.*?\]);", fetched(app, "/sw.js").decode())[1])


def test_the_whole_installed_app_is_light(app) -> None:
    """Every file that the service worker keeps, the shell page and the worker itself: at most 120
    KB."""
    weights = {path: packed(fetched(app, path)) for path in ["/sw.js", "/shell", *files_kept(app)]}
    total = sum(weights.values())
    assert total <= APP, sorted(weights.items(), key=lambda item: -item[1])[:12]


@pytest.mark.parametrize("path", PAGES)
def test_no_page_is_heavy(onlooker, path) -> None:
    """A page as the bundled checklists make it: at most 50 KB."""
    assert packed(onlooker.get(path).encode()) <= PAGE


def test_the_shell_holds_nobodys_data(lead, crew) -> None:
    """The same for everyone, joined or not: it is kept on phones, and matched without looking at
    cookies."""
    assert (
        lead.get("/shell")
        == crew.get("/shell")
        == lead.flask.application.test_client().get("/shell").text
    )
    assert "Ada" not in lead.get("/shell") and "csrf_token" not in lead.get("/shell")


def test_the_worker_is_short_and_names_no_file_twice(app) -> None:
    """A service worker is the one script that cannot be mended quickly."""
    from pitcrew.base.paths import STATIC

    assert len((STATIC / "js" / "sw.js").read_text(encoding="utf-8").splitlines()) <= 100
    with app.test_client().get("/sw.js") as answer:
        assert "no-cache" in answer.headers["Cache-Control"]
    files = files_kept(app)
    assert len(files) == len(set(files)) and not any(path.endswith("/sw.js") for path in files)
