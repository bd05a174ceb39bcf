"""Copies of checklists in a pit folder: untouched ones are replaced when asked for, edited ones
stay and are shown side by side."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from pitcrew.cli.main import main
from pitcrew.pit import shipped
from pitcrew.pit.folder import bundled_lists
from pitcrew.pit.pit import open_pit
from pitcrew.pit.shipped import copies, replace_older
from pitcrew.web.app import create_app
from tests.web.conftest import join

RELEASE_1 = Path(__file__).parent / "data" / "release-1" / "pit"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A pit folder of the first release: one list was edited, the others are as that release
    brought them."""
    return Path(shutil.copytree(RELEASE_1, tmp_path / "pit"))


@pytest.fixture
def newer(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A program whose lists all say something else than those of the first release."""
    lists = tmp_path / "lists"
    lists.mkdir()
    for path in sorted((RELEASE_1 / "checklists").glob("*.toml")):
        text = path.read_text(encoding="utf-8").replace("minutes = 1\n", "minutes = 3\n", 1)
        (lists / path.name).write_text(f"{text}# newer\n", encoding="utf-8")
    (lists / "extra.toml").write_text(
        '[checklist]\nname = "extra"\nlabel = "Extra"\n', encoding="utf-8"
    )
    monkeypatch.setattr(shipped, "bundled_lists", lambda: sorted(lists.glob("*.toml")))
    return lists


def states(folder: Path) -> dict[str, str]:
    return {item.name: item.state for item in copies(folder)}


def test_each_list_of_the_first_release_is_known_untouched_and_the_edited_one_is_not(
    folder: Path, newer: Path
) -> None:
    older = dict.fromkeys(("battery.toml", "climb.toml", "morning.toml", "pre-match.toml"), "older")
    assert states(folder) == older | {"post-match.toml": "edited", "extra.toml": "absent"}


def test_only_untouched_ones_are_replaced(folder: Path, newer: Path) -> None:
    edited = (folder / "checklists" / "post-match.toml").read_bytes()
    assert replace_older(folder) == ["battery.toml", "climb.toml", "morning.toml", "pre-match.toml"]
    assert (folder / "checklists" / "climb.toml").read_bytes() == (
        newer / "climb.toml"
    ).read_bytes()
    assert (folder / "checklists" / "post-match.toml").read_bytes() == edited and not (
        folder / "checklists" / "extra.toml"
    ).exists()
    assert (
        set(states(folder).values()) == {"current", "edited", "absent"}
        and replace_older(folder) == []
    )


def test_other_line_ends_and_a_mark_are_no_edit(folder: Path, newer: Path) -> None:
    path = folder / "checklists" / "climb.toml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert states(folder)["climb.toml"] == "older"


def test_an_edited_one_is_shown_side_by_side(folder: Path, newer: Path) -> None:
    path = folder / "checklists" / "climb.toml"
    text = path.read_text(encoding="utf-8").replace(
        'due = ["before a climb", "after part change"]', 'due = ["on arrival"]', 1
    )
    path.write_text(text + '\n[[check]]\nid = "own"\n', encoding="utf-8")
    climb = next(item for item in copies(folder) if item.name == "climb.toml")
    rows = {(row.check, row.what): (row.yours, row.comes) for row in climb.differs}
    assert rows["rope-diameter", "due"] == ("on arrival", "before a climb, after part change")
    assert rows["own", "the check"] == ("is there", "–") and rows["rope-diameter", "minutes"] == (
        "1",
        "3",
    )
    path.write_text("[[[", encoding="utf-8")
    assert (
        next(item for item in copies(folder) if item.name == "climb.toml").differs[0].yours
        == "cannot be read"
    )


def test_the_command(folder: Path, newer: Path) -> None:
    def run(*arguments: str) -> str:
        done = CliRunner().invoke(main, ["checklists", str(folder), *arguments])
        assert done.exit_code == 0, done.output
        return done.output

    assert "climb.toml is as an earlier release brought it" in run() and "--update" in run()
    assert {item["state"] for item in json.loads(run("--json"))} == {"older", "edited", "absent"}
    assert "Replaced checklists/climb.toml." in run("--update") and "--update" not in run()


def test_a_file_that_cannot_be_written_stays(
    folder: Path, newer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (folder / "checklists" / "battery.toml").read_bytes()
    monkeypatch.setattr(
        shipped.os,
        "replace",
        lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")),
    )
    done = CliRunner().invoke(main, ["checklists", str(folder), "--update"])
    assert done.exit_code == 2 and "stays as it was" in done.output
    assert (folder / "checklists" / "battery.toml").read_bytes() == before


def test_the_page_offers_it_to_the_lead_and_a_replaced_climb_list_waits_for_two_people(
    folder: Path, newer: Path
) -> None:
    pit = open_pit(folder, fsync=False)
    app = create_app(pit)
    crew, lead = join(app, pit, "crew", "Ivo"), join(app, pit, "lead", "Maren")
    assert "The pit lead replaces" in crew.get("/mistakes") and "post-match.toml" in crew.get(
        "/mistakes"
    )
    crew.post("/mistakes/lists", {}, 403)
    lead.post("/mistakes/lists", {}, 302)
    assert "climb.toml" not in lead.get("/mistakes")
    pit.close()


def test_a_list_that_was_changed_since_a_release_has_that_releases_digest() -> None:
    """Whoever changes a bundled list adds the digest of the one that the last release brought, so
    that old copies are known."""
    assert all(len(digest) == 64 for digests in shipped.RELEASED.values() for digest in digests)
    assert {path.name for path in bundled_lists()} >= set(shipped.RELEASED)


def test_every_list_that_a_release_brought_is_known_by_its_digest() -> None:
    """Of each release a pit is kept here; its first load names the lists as they came with it. A
    list that is missing from RELEASED would count as edited by the team, and never be replaced."""
    pits = sorted((Path(__file__).parent / "data").glob("release-*/pit"))
    assert pits
    for pit in pits:
        with (pit / "logbook.jsonl").open(encoding="utf-8") as log:
            entries = (json.loads(line)[1] for line in log)
            load = next(entry for entry in entries if entry.get("kind") == "definitions")
        lists = {
            name.removeprefix("checklists/"): digest
            for name, digest in load["body"]["digests"].items()
            if name.startswith("checklists/")
        }
        assert len(lists) >= 5
        for name, digest in lists.items():
            assert digest in shipped.RELEASED[name], f"{pit.parent.name}: {name}"
