"""Refused entries: held aside on the laptop with their reason, over a restart, until they are
accepted after all."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.entries import new_id
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.quarantine import LONGEST, MOST, Quarantine
from tests.world import make_world

NOW = datetime(2026, 3, 7, 10, tzinfo=UTC)
IVO = Author("phone-1", "Ivo", "crew")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_world(tmp_path / "pit")


def opened(folder: Path) -> Pit:
    return open_pit(folder, lambda: NOW, fsync=False)


def entry(body: dict[str, Any], kind: str = "reading", entry_id: str = "") -> dict[str, Any]:
    return {
        "id": entry_id or new_id(NOW),
        "kind": kind,
        "at": "2026-03-07T09:59:00.000Z",
        "body": body,
        "shape": 1,
    }


WRONG = {"check": "chain-slack", "part": "lift.rope", "inputs": {}}


def test_it_is_held_with_who_what_and_why_over_a_restart(folder: Path) -> None:
    pit = opened(folder)
    wrong, right = entry(WRONG), entry({"text": "fine"}, "note")
    pit.take([wrong, right], IVO, None)
    (held,) = pit.quarantine.held()
    assert (held.id, held.kind, held.person, held.device) == (
        wrong["id"],
        "reading",
        "Ivo",
        "phone-1",
    )
    assert (
        held.refused_at == "2026-03-07T10:00:00.000Z"
        and "lift.rope" in held.error
        and '"lift.rope"' in held.text
    )
    pit.close()
    again = opened(folder)
    assert again.quarantine.held() == [held]
    again.take([wrong], IVO, None)
    assert again.quarantine.held() == [held], "offered again, it is one still"
    again.close()


def test_accepted_after_all_it_is_held_no_longer(folder: Path) -> None:
    """The build sheet lacked the part; someone wrote it in, and the phone offers the reading to
    the new log."""
    pit = opened(folder)
    wrong = entry(WRONG)
    pit.take([wrong], IVO, None)
    pit.take([entry(WRONG | {"part": "lift.chain.left"}, entry_id=wrong["id"])], IVO, None)
    assert pit.quarantine.held() == []
    pit.close()
    assert Quarantine(folder, lambda: NOW).held() == []


def test_another_content_under_a_stored_id_stays_in_sight(folder: Path) -> None:
    pit = opened(folder)
    first = entry({"text": "first"}, "note")
    pit.take([first], IVO, None)
    pit.take([first | {"body": {"text": "second"}}], Author("phone-2", "Mira", "crew"), None)
    pit.take([first], IVO, None)
    assert [(item.person, item.text) for item in pit.quarantine.held()] == [
        ("Mira", '{"text": "second"}')
    ]
    pit.close()


@pytest.mark.parametrize(
    "item", [7, None, "x", [], {}, {"id": 5, "kind": ["reading"], "body": "y" * 10_000}]
)
def test_whatever_arrives_is_held_and_cut(folder: Path, item: Any) -> None:
    pit = opened(folder)
    (answer,) = pit.take([item], IVO, None)
    (held,) = pit.quarantine.held()
    assert held.error == answer.error and len(held.text) <= LONGEST
    pit.close()


def test_one_phone_gone_wild_pushes_out_no_others(folder: Path) -> None:
    kept = Quarantine(folder, lambda: NOW)
    kept.hold([(entry(WRONG), "wrong")], "phone-1", "Ivo")
    kept.hold([(entry(WRONG), f"wrong {number}") for number in range(3 * MOST)], "phone-2", "Mira")
    held = Quarantine(folder, lambda: NOW).held()
    assert [item.error for item in held[:MOST]] == [
        f"wrong {number}" for number in range(3 * MOST - 1, 2 * MOST - 1, -1)
    ]
    assert [item.person for item in held[MOST:]] == ["Ivo"]


def test_a_disk_that_takes_nothing_stops_no_exchange(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pitcrew.pit.quarantine.write_secret", full)
    pit = opened(folder)
    assert pit.take([entry(WRONG)], IVO, None)[0].error and len(pit.quarantine.held()) == 1
    pit.close()
