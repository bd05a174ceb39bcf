"""A pit folder with the bundled checklists and build sheet, its application, and one joined client
for each role."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import Entry, new_id
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.pit.commands import import_schedule
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.roster import ROLES
from pitcrew.web.app import create_app
from tests.quick import no_waiting_for_the_drive


@pytest.fixture(scope="package", autouse=True)
def quick() -> Iterator[None]:
    with no_waiting_for_the_drive():
        yield


START = datetime(2026, 3, 7, 9, 0, tzinfo=UTC)
SETTINGS = 'team = "4711"\nevent = "fjord"\nzone = "Europe/Oslo"\n'
LEAD = Author("laptop", "Ada", "lead")
SCHEDULE = """match,date,time,red 1,red 2,blue 1,blue 2
11,2026-03-07,09:20,4711,17,8,21
12,2026-03-07,10:00,8,17,21,30
14,2026-03-07,11:00,8,17,4711,21
18,2026-03-07,12:10,4711,30,8,21
"""
"""An invented list; the clock of the tests stands at 10:02 in its zone, 42 minutes after match
11."""
CHAIN = "lift.chain.left"
SLACK = f"chain-slack@{CHAIN}"


class Hands:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = START + timedelta(minutes=2)

    def __call__(self) -> datetime:
        return self.now

    def later(self, minutes: float) -> None:
        """Move the clock on."""
        self.now += timedelta(minutes=minutes)


@pytest.fixture
def clock() -> Hands:
    return Hands()


@contextmanager
def pit_in(place: Path, clock: Hands) -> Iterator[Pit]:
    """An open pit with the bundled definitions and a short schedule."""
    folder = place / "pit"
    make_folder(folder, SETTINGS, bundled_sheets(), bundled_lists())
    opened = open_pit(folder, clock, fsync=False)
    import_schedule(opened, SCHEDULE)
    yield opened
    opened.close()


@pytest.fixture
def pit(tmp_path: Path, clock: Hands) -> Iterator[Pit]:
    with pit_in(tmp_path, clock) as opened:
        yield opened


@pytest.fixture
def app(pit: Pit) -> Flask:
    return create_app(pit)


class Client:
    """A browser of one person: its pages, and posting their forms with the token that they
    carry."""

    def __init__(self, flask: FlaskClient, token: str) -> None:
        self.flask = flask
        self.token = token

    def get(self, path: str, status: int = 200) -> str:
        """A page's text. Fails where the status is another."""
        return _text(path, self.flask.get(path), status)

    def post(self, path: str, data: dict[str, Any] | None = None, status: int = 302) -> str:
        """Post a form with its form token; a redirect is followed. Returns the text that the person
        then sees."""
        answer = self.flask.post(path, data={**(data or {}), "csrf_token": form_token(self.flask)})
        text = _text(path, answer, status)
        return self.get(answer.location) if status == 302 else text

    def exchange(self, entries: list[Any], **more: Any) -> TestResponse:
        """One exchange with this device's bearer token."""
        body = {"log": None, "after": 0, "sent_at": None, "entries": entries, **more}
        return self.flask.post("/api/entries", json=body, headers=self.bearer)

    @property
    def bearer(self) -> dict[str, str]:
        """The header that names this device to the exchange."""
        return {"Authorization": f"Bearer {self.token}"}


def _text(path: str, answer: TestResponse, status: int) -> str:
    assert answer.status_code == status, f"{path}: {answer.status_code} {words(answer.text)[:600]}"
    return answer.text


def form_token(flask: FlaskClient) -> str:
    """The form token that the pages of this browser carry."""
    found = re.search(r'name="csrf_token" value="([^"]+)"', flask.get("/join").text)
    assert found
    return found[1]


def join(
    app: Flask, pit: Pit, role: str, name: str = "", browser: FlaskClient | None = None
) -> Client:
    """A client that joined through the page with a fresh code, in a browser of its own if none is
    given."""
    flask = browser or app.test_client()
    code = pit.roster.make_code(role, timedelta(minutes=15))
    answer = flask.post(
        "/join",
        data={"code": code, "name": name or role.capitalize(), "csrf_token": form_token(flask)},
    )
    assert answer.status_code == 200, words(answer.text)
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


@pytest.fixture(scope="module")
def onlooker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Client]:
    """A lead of a pit of its own: one for all tests of a module that change nothing there."""
    with pit_in(tmp_path_factory.mktemp("onlooker"), Hands()) as opened:
        yield join(create_app(opened), opened, "lead", "Ada")


@pytest.fixture
def crew(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "crew", "Ivo")


def entry(pit: Pit, kind: str, body: dict[str, Any], **more: Any) -> dict[str, Any]:
    """An entry as a phone makes it now."""
    now = pit.clock()
    return {"id": new_id(now), "kind": kind, "at": format_instant(now), "body": body, **more}


def reading(item: PartCheck, number: float, wanted: str = "ok") -> dict[str, Any]:
    """The body of a reading: `number` for the input that is judged, the answer that means `wanted`
    for each choice."""
    inputs: dict[str, Any] = {}
    for field in item.check.inputs:
        if field.kind == "number":
            inputs[field.name] = {"typed": str(number), "value": number, "unit": field.unit}
        elif field.options:
            answer = next(
                (name for name, verdict in field.options.items() if verdict == wanted),
                next(iter(field.options)),
            )
            inputs[field.name] = {"typed": answer, "value": answer}
    return {"check": item.check.id, "part": item.part.id, "inputs": inputs}


def slack(pit: Pit, millimetres: float) -> dict[str, Any]:
    """The body of a reading of the left lift chain's slack."""
    return reading(pit.definitions.part_checks[SLACK], millimetres)


def last(pit: Pit, kind: str) -> Entry:
    """The latest entry of a kind."""
    with pit.reading() as state:
        found = [item for item in state.entries_by_id.values() if item.kind == kind]
    assert found, f"no {kind} was recorded"
    return found[-1]


def count(pit: Pit) -> int:
    """How many entries the log holds."""
    return pit.journal.head()[0]


class _Words(HTMLParser):
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
    parser = _Words()
    parser.feed(page)
    return " ".join(" ".join(parser.pieces).split())
