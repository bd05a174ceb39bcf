"""The door: what a phone offers is checked one by one, judged again, sealed, and there after a
kill."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from pitcrew.base.entries import new_id
from pitcrew.base.errors import BadInput, Missing, Refused
from pitcrew.pit.folder import make_folder
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, glance, open_pit
from pitcrew.pit.verify import verify_folder
from tests.world import SHEET, make_world

NOW = datetime(2026, 3, 7, 10, 31, 5, tzinfo=UTC)
CREW = Author("d1", "Ada", "crew")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_world(tmp_path / "pit")


@pytest.fixture
def pit(folder: Path):
    opened = open_pit(folder, lambda: NOW, fsync=False)
    assert [mistake.sentence for mistake in opened.definitions.mistakes] == []
    yield opened
    opened.close()


def offer(kind: str = "note", **fields: object) -> dict:
    body = fields.pop("body", {"text": "hei"})
    return {"id": new_id(NOW), "kind": kind, "at": "2026-03-07T10:30:00Z", "body": body} | fields


def reading(travel: str, **body: object) -> dict:
    value = float(travel.replace(",", "."))
    inputs = {"travel": {"typed": travel, "value": value, "unit": "mm"}}
    return offer(
        "reading", body={"check": "chain-slack", "part": "lift.chain.left", "inputs": inputs} | body
    )


def test_one_bad_entry_is_refused_alone(pit: Pit) -> None:
    answers = pit.take([offer(), offer("readin"), 7, offer()], CREW, 0.0)
    assert [bool(answer.error) for answer in answers] == [False, True, True, False]
    assert "Nearest: reading" in answers[1].error
    assert answers[3].seq == answers[0].seq + 1


def test_the_same_id_is_stored_once_and_other_content_is_a_conflict(pit: Pit) -> None:
    first = offer()
    assert pit.take([first, first], CREW, 0.0)[0].seq == pit.take([first], CREW, 0.0)[0].seq
    changed = {**first, "body": {"text": "other"}}
    assert "other content" in pit.take([changed], CREW, 0.0)[0].error


def test_an_unknown_check_or_part_names_the_nearest(pit: Pit) -> None:
    wrong_check = reading("9", check="chain-slak")
    wrong_part = reading("9", part="lift.chain.lefd")
    errors = [answer.error for answer in pit.take([wrong_check, wrong_part], CREW, 0.0)]
    assert "Nearest: chain-slack" in errors[0]
    assert "Nearest: lift.chain.left" in errors[1]


def test_the_laptop_judges_again_and_the_worse_verdict_stands(pit: Pit) -> None:
    """Published slack of a shock-loaded drive is 2 to 3 % of the span: 8.24 to 12.36 mm of 412
    mm."""
    pit.take([reading("20", verdict="ok")], CREW, 0.0)
    with pit.reading() as state:
        found = state.readings["chain-slack@lift.chain.left"][-1]
    assert found.verdict == "stop"
    assert found.entry.judged is not None
    assert found.entry.judged["limit"]["stop_high"] == pytest.approx(0.01236)


def test_signed_kinds_do_not_come_from_phones_and_server_fields_neither(pit: Pit) -> None:
    forged = offer("clearance", body={"decision": "cleared", "seen_seq": 1})
    stamped = offer(seq=99)
    errors = [
        answer.error for answer in pit.take([forged, stamped], Author("d", "Eve", "captain"), 0.0)
    ]
    assert "made on their page" in errors[0]
    assert "'seq' is given by the laptop alone" in errors[1]


def test_person_and_device_come_from_the_token(pit: Pit) -> None:
    pit.take([offer(person="Somebody else", device="other")], CREW, 0.0)
    last = pit.journal.after(pit.journal.head()[0] - 1)[0]
    assert (last["person"], last["device"]) == ("Ada", "d1")


def test_a_role_may_write_only_its_kinds(pit: Pit) -> None:
    with pytest.raises(Refused, match="may not write"):
        pit.record("clearance", {"decision": "cleared", "seen_seq": 1}, CREW)


def test_everything_is_there_after_opening_again(folder: Path) -> None:
    first = open_pit(folder, lambda: NOW)
    first.take([reading("11,8")], CREW, 0.0)
    head = first.journal.head()
    again = glance(folder)  # nothing was closed: as after a kill
    assert again.state.head == head[0]
    assert again.state.readings["chain-slack@lift.chain.left"][-1].verdict == "watch"
    assert not verify_folder(folder, f"{head[0]}:{head[1][:12]}").bad
    first.close()


def test_a_changed_file_is_noted_once_and_old_readings_keep_their_limit(
    pit: Pit, folder: Path
) -> None:
    pit.take([reading("12")], CREW, 0.0)
    sheet = folder / "robots" / "bench.toml"
    sheet.write_text(SHEET.replace('duty = "shock"', 'duty = "normal"'))
    loads = len(pit._state.definitions_loads)
    pit.reload()
    pit.reload()
    assert len(pit._state.definitions_loads) == loads + 1
    with pit.reading() as state:
        kept = state.readings["chain-slack@lift.chain.left"][-1]
    assert kept.limit["stop_high"] == pytest.approx(0.01236)
    assert pit.definitions.part_checks[
        "chain-slack@lift.chain.left"
    ].limit.stop_high == pytest.approx(0.02472)


def test_a_wrong_file_holds_and_the_rest_loads(pit: Pit, folder: Path) -> None:
    (folder / "checklists" / "climb.toml").write_text("[checklist\n")
    definitions = pit.reload()
    assert definitions.climb_blocked
    assert definitions.mistakes[0].file == "checklists/climb.toml"
    assert definitions.mistakes[0].place == "line 1"
    assert "chain-slack@lift.chain.left" in definitions.part_checks


def test_a_second_folder_is_not_made_over_the_first_and_no_folder_is_said(
    folder: Path, tmp_path: Path
) -> None:
    with pytest.raises(Exception, match="pitcrew serve"):
        make_folder(folder, "", [], [])
    with pytest.raises(Missing, match="pitcrew new"):
        open_pit(tmp_path / "nothing")


def test_a_lost_logbook_is_said_when_an_empty_one_is_begun(folder: Path) -> None:
    first = open_pit(folder, lambda: NOW, fsync=False)
    first.roster.join(first.roster.make_code("crew", timedelta(minutes=5)), "Ada", "phone", "here")
    first.close()
    (folder / "logbook.jsonl").unlink()
    again = open_pit(folder, lambda: NOW, fsync=False)
    assert "was missing although devices have joined" in again.journal.report[0]
    again.close()


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("a file, no folder")
    with pytest.raises(BadInput, match=r"cannot be made .*Name a folder where you may write"):
        make_folder(tmp_path / "file" / "pit", "", [], [])
