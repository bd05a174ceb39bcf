"""A pit folder with the bundled checklists and build sheet, its application, and one joined client for each role."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from pitcrew.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit import Author, Pit, open_pit
from pitcrew.roster import ROLES
from pitcrew.web.app import create_app

START = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
SETTINGS = 'team = "4711"\nevent = "fjord"\nzone = "Europe/Oslo"\n'
LEAD = Author("laptop", "Ada", "lead")
SCHEDULE = """match,date,time,red 1,red 2,blue 1,blue 2
11,2026-03-07,09:20,4711,17,8,21
12,2026-03-07,10:00,8,17,21,30
14,2026-03-07,11:00,8,17,4711,21
18,2026-03-07,12:10,4711,30,8,21
"""
"""An invented list; the clock of the tests stands at 10:00 in its zone."""


class Hands:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def later(self, minutes: float) -> None:
        """Move the clock on."""
        self.now += timedelta(minutes=minutes)


@pytest.fixture
def clock() -> Hands:
    return Hands()


@pytest.fixture
def pit(tmp_path: Path, clock: Hands) -> Iterator[Pit]:
    """An open pit with the bundled definitions and a short schedule."""
    from pitcrew.commands import import_schedule

    folder = tmp_path / "pit"
    make_folder(folder, SETTINGS, bundled_sheets(), bundled_lists())
    opened = open_pit(folder, clock, fsync=False)
    import_schedule(opened, SCHEDULE)
    yield opened
    opened.close()


@pytest.fixture
def app(pit: Pit) -> Flask:
    made = create_app(pit)
    made.config["PROPAGATE_EXCEPTIONS"] = False
    return made


class Client:
    """A browser of one person: its pages, and posting their forms with the token that they carry."""

    def __init__(self, flask: FlaskClient, token: str) -> None:
        self.flask = flask
        self.token = token

    def get(self, path: str, status: int = 200) -> str:
        """A page's text. Fails where the status is another."""
        answer = self.flask.get(path)
        assert answer.status_code == status, f"{path}: {answer.status_code} {words(answer.text)[:600]}"
        return answer.text

    def post(self, path: str, data: dict[str, Any] | None = None, *, status: int = 302, follow: bool = True) -> str:
        """Post a form with a fresh form token; a redirect is followed. Returns the text that the person then sees."""
        answer = self.flask.post(path, data={**(data or {}), "csrf_token": self.form_token()})
        assert answer.status_code == status, f"{path}: {answer.status_code} {words(answer.text)[:600]}"
        return self.get(answer.location) if status == 302 and follow else answer.text

    def form_token(self) -> str:
        """The form token of a page that has a form."""
        found = re.search(r'name="csrf_token" value="([^"]+)"', self.get("/temporary"))
        assert found
        return found[1]

    def exchange(self, entries: list[dict[str, Any]], **more: Any) -> Any:
        """One exchange with this device's bearer token; returns the answer."""
        body = {"log": None, "after": 0, "sent_at": None, "entries": entries, **more}
        return self.flask.post("/api/entries", json=body, headers={"Authorization": f"Bearer {self.token}"})


def join(app: Flask, pit: Pit, role: str, name: str = "") -> Client:
    """A client that joined through the page with a fresh code."""
    flask = app.test_client()
    page = flask.get("/join").text
    found = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert found
    data = {"code": pit.roster.make_code(role, timedelta(minutes=15)), "name": name or role.capitalize(), "csrf_token": found[1]}
    answer = flask.post("/join", data=data)
    assert answer.status_code == 200, answer.text
    token = re.search(r'"token": "([^"]+)"', answer.text)
    assert token
    return Client(flask, token[1])


@pytest.fixture
def clients(app: Flask, pit: Pit) -> dict[str, Client]:
    """One joined client for each role."""
    return {role: join(app, pit, role) for role in ROLES}


@pytest.fixture
def lead(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "lead", "Ada")


@pytest.fixture
def crew(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "crew", "Ivo")


class _Text(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden += tag in ("script", "template", "head")

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("script", "template", "head")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.pieces.append(data)


def words(page: str) -> str:
    """What a person reads on a page, blanks folded."""
    parser = _Text()
    parser.feed(page)
    return " ".join(" ".join(parser.pieces).split())
