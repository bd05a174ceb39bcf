"""The handoff sheet, asserted on its facts, its page and its PDF, for the demo, an empty pit and an
overfull one."""

import io
import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
from pypdf import PdfReader

from pitcrew.base.errors import UnknownName
from pitcrew.base.seal import head_text
from pitcrew.demo import make_demo
from pitcrew.domain.climb.basis import climb_checks
from pitcrew.domain.now.view import view_of
from pitcrew.pit.commands import note_handoff
from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.sheets.handoff import (
    AUDIENCES,
    CAUTIONS,
    HandoffFacts,
    handoff_facts,
    handoff_from_folder,
    handoff_html,
)
from pitcrew.sheets.render import rendered
from pitcrew.sheets.sections import Sheet, section
from tests.domain.folded import moment_of
from tests.domain.test_clearance import checked, sign
from tests.web.test_signing import check_all

NOW = datetime(2026, 3, 7, 11, 20, tzinfo=UTC)
LEAD = Author("laptop", "Maren", "lead")
HOSTILE = (
    '<script src="http://198.51.100.7/x.js"></script><img src=x onerror=alert(1)><link'
    " rel=stylesheet href=//198.51.100.7/c.css>{{ 7 * 7 }} {% raw %} </style></td></table>"
    " url(http://198.51.100.7/d)"
)


class Page(HTMLParser):
    """A page's tags with their attributes, and its text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    @property
    def text(self) -> str:
        """All of its text, blanks made single."""
        return " ".join(" ".join(self.words).split())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sheets") / "demo"
    make_demo(folder, NOW)
    return folder


@pytest.fixture
def pit(demo: Path, tmp_path: Path) -> Iterator[Pit]:
    """The demo's pit, to be written into."""
    shutil.copytree(demo, tmp_path / "pit")
    opened = open_pit(tmp_path / "pit", lambda: NOW, fsync=False)
    yield opened
    opened.close()


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Pit]:
    """A pit in which nothing has happened yet."""
    make_folder(tmp_path / "empty", 'event = "quay"\n', bundled_sheets(), bundled_lists())
    opened = open_pit(tmp_path / "empty", lambda: NOW, fsync=False)
    yield opened
    opened.close()


def facts_of(pit: Pit, audience: str = "shift") -> HandoffFacts:
    with pit.reading() as state:
        return handoff_facts(view_of(pit.definitions, state, NOW), audience)


def print_on(pit: Pit, paper: str) -> None:
    """Set the paper of a pit that has the demo's settings."""
    settings = pit.folder / "pitcrew.toml"
    lines = [
        line
        for line in settings.read_text(encoding="utf-8").splitlines()
        if not line.startswith("paper")
    ]
    settings.write_text("\n".join([*lines, f'paper = "{paper}"']), encoding="utf-8")
    pit.reload()


def rows_of(facts: HandoffFacts, name: str) -> list[str]:
    """A section's rows as text."""
    found = next(section for section in facts.sections if section.name == name)
    return [f"{row.what} | {row.said} | {row.by}" for row in found.rows]


def pages_of(html: str) -> list[str]:
    """The text of each printed page. The libraries are loaded once here; that a process of its own
    prints is tried in test_pdf.py."""
    return [page.extract_text() for page in PdfReader(io.BytesIO(rendered(html))).pages]


def test_the_demo_sheet_says_what_the_next_shift_must_know(pit: Pit) -> None:
    facts = facts_of(pit)
    page = Page(handoff_html(facts)).text
    assert "Hold" in page
    assert "the clearance is void" in page
    assert "Q75" in page
    assert "leave for the queue at 11:34" in page  # start 11:52 less 18 min, in the event's zone
    assert "The field runs 6 min late." in page
    assert any("12.9 mm" in row for row in rows_of(facts, "open"))
    assert "Q82" in rows_of(facts, "deferred")[0]
    assert "half speed" in rows_of(facts, "deferred")[0]
    assert any(
        "Belly cover" in row and "Undo it before the match" in row
        for row in rows_of(facts, "temporary")
    )
    assert any(
        row.startswith("Battery 4") and "not for a match" in row
        for row in rows_of(facts, "batteries")
    )
    assert rows_of(facts, "batteries")[0].split(" | ")[1].endswith("take this one")
    assert any("spare servo 2" in row for row in rows_of(facts, "done"))
    assert all(caution in page for caution in CAUTIONS)
    assert "Handed over by" in page
    assert facts.head in page


def test_the_head_is_that_of_the_logbook(pit: Pit) -> None:
    with pit.reading() as state:
        assert facts_of(pit).head == head_text(state.head, state.seal)


def test_every_near_reading_has_its_gauge(pit: Pit) -> None:
    facts = facts_of(pit)
    near = next(section for section in facts.sections if section.name == "near")
    html = handoff_html(facts)
    assert len(near.rows) >= 3
    assert html.count('class="gauge"') == len(near.rows)
    assert any("Lift chain, right" in row.what and row.verdict == "watch" for row in near.rows)


def test_each_reader_gets_the_same_facts_in_another_order(pit: Pit) -> None:
    sections = {
        audience: [section.name for section in facts_of(pit, audience).sections]
        for audience in AUDIENCES
    }
    assert sections["shift"][0] == "open"
    assert sections["drivers"][0] == "deferred"
    assert sections["captain"][:2] == ["climb", "climb-readings"]
    readiness = {facts_of(pit, audience).reasons for audience in AUDIENCES}
    assert len(readiness) == 1


def test_the_captain_sees_every_reading_that_the_climb_hangs_on(pit: Pit) -> None:
    facts = facts_of(pit, "captain")
    section = next(section for section in facts.sections if section.name == "climb-readings")
    with pit.reading() as state:
        critical = {
            key
            for key, item in pit.definitions.part_checks.items()
            if item.part.climb_critical and state.readings.get(key)
        }
    assert len(section.rows) + section.more == len(critical) >= 20
    assert section.more == 0
    test = next(row for row in section.rows if "Timed hold test" in row.what)
    assert "Teeth" in test.said and "kg" in test.said, "what decided it is on the sheet"


def test_with_all_of_the_climb_list_done_every_reading_is_on_the_captains_sheet(empty: Pit) -> None:
    check_all(empty)
    facts = facts_of(empty, "captain")
    section = next(section for section in facts.sections if section.name == "climb-readings")
    assert section.more == 0 and len(section.rows) == len(climb_checks(empty.definitions)) > 30
    assert len(pages_of(handoff_html(facts))) <= 2


def test_a_sheet_says_for_which_match_a_signature_holds() -> None:
    log = checked()
    sign(log)
    view = view_of(log.definitions, log.state(), moment_of("12:00"))
    first = section("climb", Sheet(view), 9).rows[0]
    assert (first.what, first.said) == ("Cleared", "For Match 4 only, until it is played.")


def test_an_unknown_reader_is_refused_with_the_nearest(pit: Pit) -> None:
    with pytest.raises(UnknownName, match="Nearest: captain"):
        facts_of(pit, "captian")


def test_the_next_sheet_says_what_happened_since(pit: Pit) -> None:
    first = facts_of(pit)
    assert " checks | " in rows_of(first, "done")[0]
    note_handoff(pit, "shift", first.head, LEAD)
    assert rows_of(facts_of(pit), "done") == []
    pit.record("note", {"text": "Lift chain: new tensioner is on the bench"}, LEAD)
    pit.record("battery_move", {"battery": "2", "to": "robot"}, LEAD)
    after = rows_of(facts_of(pit), "done")
    assert [row.split(" | ")[0] for row in after] == ["Battery 2", "Note"]
    assert "new tensioner" in after[1]


def test_a_sheet_for_the_drivers_is_not_shortened_by_one_for_the_shift(pit: Pit) -> None:
    before = rows_of(facts_of(pit, "drivers"), "done")
    note_handoff(pit, "shift", facts_of(pit).head, LEAD)
    assert rows_of(facts_of(pit, "drivers"), "done") == before


@pytest.mark.parametrize("audience", AUDIENCES)
def test_the_demo_fits_on_two_pages_of_either_paper(pit: Pit, audience: str) -> None:
    sizes = set()
    for paper in ("A4", "Letter"):
        print_on(pit, paper)
        facts = facts_of(pit, audience)
        reader = PdfReader(io.BytesIO(rendered(handoff_html(facts))))
        assert len(reader.pages) in (1, 2)
        assert f"page 1 of {len(reader.pages)}" in reader.pages[0].extract_text()
        assert facts.head in reader.pages[0].extract_text()
        sizes.add(tuple(round(float(side)) for side in reader.pages[0].mediabox[2:]))
    assert sizes == {(595, 842), (612, 792)}


def test_an_empty_pit_prints_one_page(empty: Pit) -> None:
    """Nothing is due to be hidden: the sheet says that there is nothing, and why the robot is
    held."""
    facts = facts_of(empty)
    pages = pages_of(handoff_html(facts))
    text = " ".join(pages)
    assert facts.match is None
    assert "No match is ahead of us on the list." in text
    assert "No fault is open." in text
    assert "Nothing is deferred." in text
    assert facts.readiness == "hold"
    assert len(pages) <= 2


def test_a_pit_without_a_build_sheet_prints(tmp_path: Path) -> None:
    make_folder(tmp_path / "bare", 'event = "quay"\n', [], [])
    html, head = handoff_from_folder(tmp_path / "bare", "captain", lambda: NOW)
    assert "Hold" in Page(html).text
    assert head.startswith("0:") or head.startswith("1:")
    assert len(pages_of(html)) == 1


def test_an_overfull_pit_still_fits_and_says_what_was_left_out(pit: Pit) -> None:
    parts = list(pit.definitions.robot.parts) if pit.definitions.robot else []
    for part in parts:
        pit.record(
            "fault", {"part": part, "symptom": "Rattles and rubs " * 60, "grade": "stop"}, LEAD
        )
        moved = pit.record(
            "fault", {"part": part, "symptom": "Bent " * 90, "grade": "degraded"}, LEAD
        )
        body = {
            "fault": moved.id,
            "to": "deferred",
            "why": "No time " * 90,
            "until": "skerry/Q82/1",
            "restriction": "Slowly " * 90,
        }
        pit.record("fault_move", body, LEAD)
        pit.record("temporary", {"part": part, "what": "Tape " * 90}, LEAD)
        pit.record("note", {"text": "Seen " * 90, "part": part}, LEAD)
    print_on(pit, "Letter")
    for audience in AUDIENCES:
        facts = facts_of(pit, audience)
        pages = pages_of(handoff_html(facts))
        assert len(pages) <= 2, audience
        opened = next(section for section in facts.sections if section.name == "open")
        assert f"And {opened.more} more in pitcrew." in " ".join(" ".join(pages).split())
        assert opened.more > 50


def test_text_from_people_cannot_load_or_run_anything(pit: Pit) -> None:
    pit.record("fault", {"part": "lift.chain.right", "symptom": HOSTILE, "grade": "stop"}, LEAD)
    pit.record("temporary", {"part": "frame.main", "what": HOSTILE}, LEAD)
    pit.record("note", {"text": HOSTILE}, Author("phone", HOSTILE[:40], "crew"))
    html = handoff_html(facts_of(pit))
    page = Page(html)
    assert {tag for tag, _ in page.tags} & {"script", "img", "link", "iframe", "object"} == set()
    assert not [name for _, attributes in page.tags for name in attributes if name.startswith("on")]
    assert not [
        value
        for _, attributes in page.tags
        for name, value in attributes.items()
        if name in ("href", "src") and value
    ]
    assert "{{ 7 * 7 }}" in page.text
    assert "<script src=" in " ".join(pages_of(html))


def test_the_print_view_needs_its_stylesheet_and_nothing_else(pit: Pit) -> None:
    """The browser's page carries no style and no script of its own: the site's policy forbids
    both."""
    page = Page(handoff_html(facts_of(pit), "/static/b/css/sheet.css"))
    links = [attributes["href"] for tag, attributes in page.tags if tag == "link"]
    assert links == ["/static/b/css/sheet.css", "data:,"]
    assert {"style", "script"} & {tag for tag, _ in page.tags} == set()
    assert not [attributes for _, attributes in page.tags if "style" in attributes]


def test_the_sheet_is_black_on_white() -> None:
    """Anything that is printed in another colour would be lost on the team's printer."""
    from pitcrew.base.paths import STATIC

    css = (STATIC / "css" / "sheet.css").read_text(encoding="utf-8")
    assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", css)) <= {"#000", "#fff"}
    assert "url(" not in css


def test_a_battery_has_the_verdict_and_the_charge_of_the_page(pit: Pit) -> None:
    """On paper nothing but the sign and a few words is read: OK stands for a battery that is fit
    and known to be charged, for no other."""
    with pit.reading() as state:
        fleet = view_of(pit.definitions, state, NOW).fleet
    rows = {
        row.what: row
        for part in facts_of(pit).sections
        if part.name == "batteries"
        for row in part.rows
    }
    assert {item.charged for item in fleet} == {item.offered for item in fleet} == {True, False}
    for item in fleet:
        row = rows[item.part.label]
        good = item.offered and item.charged and item.state == "ok"
        assert (row.verdict == "ok") == good, row
        band = item.charge
        charge = f"{band.low:.0f} to {band.high:.0f} %" if band else "charge not known"
        assert f", {charge}: " in row.said
        said = ("charged", "take this one") if item.charged else ("if its charge", "once charged")
        assert any(words in row.said for words in said) or "not for a match" in row.said
