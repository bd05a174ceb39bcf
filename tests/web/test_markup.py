"""No page carries script or style of its own, asks anything of another site, or lets through what
people typed as markup."""

from collections.abc import Iterator
from html.parser import HTMLParser

import pytest

from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.web.app import create_app
from tests.web.conftest import CHAIN, LEAD, Client, Hands, count, entry, join, pit_in, slack, words
from tests.web.screens import EVERY_SCREEN, pages_of

MORE = (f"/parts/{CHAIN}", "/schedule?all=1", "/nowhere")
"""Addresses with something asked, and one that does not exist; the pages themselves are known by
the app."""
MARKUP = '<img src=x onerror=alert(1)>"><script>alert(2)</script>{{ 777*777 }}'
BACKWARDS = "\u202egnp.exe\u202c"
FORMULA = "=cmd|'/C calc'!A0"
SIGNS = "🤖🔧 ünïcödé 漢字"
HOSTILE = (MARKUP, BACKWARDS, FORMULA, SIGNS)


class Elements(HTMLParser):
    """Collects what would run or reach out."""

    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        given = dict(attrs)
        if tag == "style" or (
            tag == "script" and "src" not in given and given.get("type") != "application/json"
        ):
            self.wrong.append(f"<{tag}> with its own content")
        for name, value in attrs:
            outside = (
                name in ("src", "href", "action", "formaction", "data")
                and "//" in (value or "").split("?")[0]
            )
            if (
                name == "style"
                or name.startswith("on")
                or outside
                or "javascript:" in (value or "")
            ):
                self.wrong.append(f"<{tag} {name}={value}>")


def elements(page: str) -> Elements:
    parser = Elements()
    parser.feed(page)
    return parser


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pit]:
    """A pit full of what people should not type."""
    with pit_in(tmp_path_factory.mktemp("told"), Hands()) as pit:
        tell(pit)
        yield pit


@pytest.fixture(scope="module")
def hostile(told: Pit) -> Client:
    """A client of that pit whose own name is markup."""
    return join(create_app(told), told, "lead", "<b onclick=alert(3)>Ada</b>")


def tell(pit: Pit) -> None:
    somebody = Author("phone", MARKUP[:40], "lead")
    for text in HOSTILE:
        fault = pit.record(
            "fault", {"part": CHAIN, "symptom": text, "grade": "stop"}, somebody, match="fjord/11/1"
        )
        pit.record(
            "fault_move",
            {
                "fault": fault.id,
                "to": "deferred",
                "why": text,
                "until": "fjord/14/1",
                "restriction": text,
            },
            somebody,
        )
        repaired = pit.record("fault", {"part": CHAIN, "symptom": text, "grade": "watch"}, somebody)
        pit.record(
            "fault_move",
            {"fault": repaired.id, "to": "repaired", "why": text, "parts_used": [text]},
            somebody,
        )
        pit.record("temporary", {"part": CHAIN, "what": text}, somebody)
        pit.record(
            "part_change", {"part": CHAIN, "identical": True, "old": text, "new": text}, somebody
        )
        pit.record("battery_move", {"battery": text, "to": "channel", "where": text}, somebody)
        run = {"label": text, "ours": text, "planned": "2026-03-07T12:00:00Z"}
        pit.record("match_run", run, somebody, match=f"fjord/{text.replace('/', '-')}/1")
        pit.record("reading", slack(pit, 10) | {"note": text}, somebody)


def test_pages_run_nothing_and_reach_nowhere(hostile: Client) -> None:
    paths = [*pages_of(hostile.flask.application), *MORE]
    assert set(EVERY_SCREEN) <= set(paths)
    for path in paths:
        answer = hostile.flask.get(path)
        found = elements(answer.text)
        assert (found.wrong, "img" in found.tags) == ([], False), path
        assert "603729" not in words(answer.text), path
        assert answer.headers["Referrer-Policy"] == "same-origin", path
        policy = answer.headers["Content-Security-Policy"]
        assert (
            "unsafe-inline" not in policy
            and "script-src 'self'" in policy
            and "style-src 'self'" in policy
        ), path


def test_pages_of_one_thing_too(hostile: Client, told: Pit) -> None:
    with told.reading() as state:
        addresses = [f"/faults/{fault}" for fault in state.faults] + [
            f"/readings/{fact.id}" for fact in state.readings_of_part[CHAIN]
        ]
    for path in addresses:
        found = elements(hostile.get(path))
        assert (found.wrong, "img" in found.tags) == ([], False), path


def test_what_was_typed_is_shown_as_typed(hostile: Client) -> None:
    seen = words(hostile.get("/faults"))
    for text in HOSTILE:
        assert text in seen


def test_ten_thousand_letters_are_refused_in_a_sentence(lead: Client, pit: Pit) -> None:
    before = count(pit)
    page = lead.post(
        "/faults/new",
        {"part": CHAIN, "symptom": "x" * 10_000, "grade": "watch", "match": ""},
        status=400,
    )
    assert "At most 200 letters are kept" in words(page)
    answer = lead.exchange([entry(pit, "note", {"text": "x" * 10_000})]).get_json()
    assert "10000 characters; at most 4000 are kept" in answer["refused"][0]["error"]
    assert count(pit) == before


def test_lines_of_a_text_survive_the_browser(lead: Client, pit: Pit) -> None:
    """Browsers end lines with CR LF; the logbook keeps LF."""
    fault = pit.record("fault", {"part": CHAIN, "symptom": "slack", "grade": "watch"}, LEAD)
    page = lead.post(
        f"/faults/{fault.id}/repaired",
        {"repaired-why": "one\r\ntwo", "repaired-parts_used": "link\r\n\r\n clip "},
    )
    assert "one\ntwo" in page
    with pit.reading() as state:
        assert state.faults[fault.id].moves[-1].body.parts_used == ["link", "clip"]
