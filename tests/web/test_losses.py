"""A logbook that lost entries, or may have lost some, ends what was signed: on the page, with the
reason. A restart does not, and neither does a write that was never finished."""

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from flask import Flask

from pitcrew.base.errors import DiskFull
from pitcrew.base.seal import head_text
from pitcrew.cli.main import main
from pitcrew.domain.now.view import view_of
from pitcrew.exchange.bundle import make_bundle
from pitcrew.exchange.commands import adopt_bundle
from pitcrew.pit.pit import Pit, glance, open_pit
from pitcrew.pit.verify import verify_folder
from pitcrew.web.app import create_app
from tests.web.conftest import LEAD, Client, Hands, entry, join, words
from tests.web.test_signing import PIN, check_all, sign

ENDS = {"part": "climb.hook", "identical": True}


class Laptop:
    """One pit folder whose server is stopped, killed and started again, with phones that keep their
    tokens."""

    def __init__(self, pit: Pit, clock: Hands) -> None:
        self.folder, self.clock, self.pit = pit.folder, clock, pit
        self.app: Flask = create_app(pit)
        pit.pins.set("Mira", PIN, "", "a")
        self.captain = join(self.app, pit, "captain", "Mira")
        self.ivo, self.runa = (
            join(self.app, pit, "crew", "Ivo"),
            join(self.app, pit, "crew", "Runa"),
        )

    def sign(self) -> None:
        """All checks are done, then the captain signs."""
        check_all(self.pit)
        self.clock.later(0.1)
        assert "Cleared" in sign(self.captain)

    def kill(self) -> None:
        """The plug is pulled: nothing is closed."""
        self.pit.journal.close()

    def start(self) -> None:
        self.clock.later(0.1)
        self.pit = open_pit(self.folder, self.clock, fsync=False)
        self.app = create_app(self.pit)
        for client in (self.captain, self.ivo, self.runa):
            with client.flask.session_transaction() as kept:
                known = dict(kept)
            client.flask = self.app.test_client()
            with client.flask.session_transaction() as fresh:
                fresh.update(known)

    def restart(self) -> None:
        self.pit.close()
        self.start()

    def copy(self, name: str) -> Path:
        """A backup of the whole folder, secrets and all."""
        return Path(shutil.copytree(self.folder, self.folder.with_name(name)))

    def restore(self, copy: Path) -> None:
        """The whole folder is put back from a backup."""
        shutil.rmtree(self.folder)
        shutil.copytree(copy, self.folder)

    @property
    def log(self) -> Path:
        return self.folder / "logbook.jsonl"

    def climb(self) -> tuple[str, str]:
        with self.pit.reading() as state:
            found = view_of(self.pit.definitions, state, self.clock()).clearance
        return found.state, found.why

    def losses(self) -> list[str]:
        return [
            record["body"]["what"]
            for record in self.pit.journal.after(0)
            if record["kind"] == "loss"
        ]

    def seen(self, client: Client) -> dict[str, Any]:
        """What a phone sends that has read the whole log."""
        client.exchange([])
        last = self.pit.journal.after(0)[-1]
        return {"log": self.pit.journal.log, "after": last["seq"], "seal": last["seal"]}


@pytest.fixture
def laptop(pit: Pit, clock: Hands) -> Iterator[Laptop]:
    made = Laptop(pit, clock)
    yield made
    made.pit.journal.close()


def test_a_restart_ends_nothing_and_writes_nothing(laptop: Laptop) -> None:
    laptop.sign()
    laptop.pit.record("note", {"text": "lunch"}, LEAD)
    for _ in range(3):
        laptop.restart()
        assert laptop.climb() == ("cleared", "")
    assert laptop.losses() == []
    assert not verify_folder(laptop.folder).bad


def test_killed_just_after_the_signature_nothing_is_in_doubt(laptop: Laptop) -> None:
    laptop.sign()
    laptop.kill()
    laptop.start()
    assert laptop.climb() == ("cleared", "")


@pytest.mark.parametrize(("place", "bit"), [(-1, 0x01), (-2, 0x20), (-40, 0x04), (0.5, 0x01)])
def test_one_flipped_bit_in_the_entry_that_ended_it_does_not_bring_the_climb_back(
    laptop: Laptop, bit: int, place: float
) -> None:
    laptop.sign()
    before = laptop.log.stat().st_size
    laptop.pit.record("part_change", ENDS, LEAD)
    assert laptop.climb()[0] == "void"
    laptop.pit.close()
    raw = bytearray(laptop.log.read_bytes())
    raw[place if isinstance(place, int) else int(before + place * (len(raw) - before))] ^= bit
    laptop.log.write_bytes(bytes(raw))
    verified = CliRunner().invoke(main, ["verify", str(laptop.folder)])
    assert (
        verified.exit_code == 1 and "part change" in verified.output and "Ada" in verified.output
    ), verified.output
    assert glance(laptop.folder).state.doubt
    laptop.start()
    state, why = laptop.climb()
    assert (
        state == "void"
        and "The last line of the logbook was damaged and was cut" in why
        and "part change" in why
    )
    page = words(laptop.captain.get("/climb"))
    assert "Void" in page and "perhaps a part change" in page
    assert verify_folder(laptop.folder).bad, (
        "the line is cut now, and still nobody has brought it back"
    )
    laptop.restart()
    assert laptop.climb()[0] == "void" and laptop.losses() == ["cut"]
    laptop.sign()
    (laptop.folder / "logbook.jsonl.cut").unlink()
    assert not verify_folder(laptop.folder).bad


def test_a_write_that_was_never_finished_is_told_and_ends_nothing(laptop: Laptop) -> None:
    laptop.sign()
    laptop.kill()
    with laptop.log.open("ab") as file:
        file.write(
            b'["9f3a01bc",{"id":"0195","kind":"part_change","at":"2026-03-07T09:04:00Z","person":"Runa","body":{"par'
        )
    verified = CliRunner().invoke(main, ["verify", str(laptop.folder)])
    assert verified.exit_code == 1
    assert "has no end: perhaps a part change by Runa at 2026-03-07T09:04:00Z" in verified.output
    assert "never acknowledged" in verified.output
    laptop.start()
    assert laptop.climb() == ("cleared", "") and laptop.losses() == []
    assert "nothing acknowledged was in it" in laptop.pit.journal.report[0]
    assert "stopped in the middle of a write" in words(laptop.captain.get("/climb"))
    assert not verify_folder(laptop.folder).bad


@pytest.mark.parametrize("cut", [1, 2])
def test_whole_lines_cut_from_the_end_end_it(laptop: Laptop, cut: int) -> None:
    """With `head -n`, or an older copy of the log alone: the head kept in secrets/ tells."""
    laptop.sign()
    laptop.pit.record("part_change", ENDS, LEAD)
    laptop.pit.record("note", {"text": "lunch"}, LEAD)
    laptop.pit.close()
    lines = laptop.log.read_bytes().splitlines(keepends=True)
    laptop.log.write_bytes(b"".join(lines[:-cut]))
    verified = CliRunner().invoke(main, ["verify", str(laptop.folder)])
    assert (
        verified.exit_code == 1
        and f"ended at entry {len(lines) - 1 - cut}, but this laptop had stored" in verified.output
    )
    laptop.start()
    assert laptop.climb()[0] == "void" and laptop.losses() == ["shorter"]
    laptop.restart()
    assert laptop.losses() == ["shorter"], "one loss is told once"
    laptop.sign()
    laptop.restart()
    assert laptop.climb()[0] == "cleared"


def test_another_log_put_in_its_place_ends_it(laptop: Laptop) -> None:
    laptop.sign()
    laptop.pit.close()
    copy = laptop.log.read_bytes()
    laptop.start()
    laptop.pit.record("part_change", ENDS, LEAD)
    laptop.pit.close()
    laptop.log.write_bytes(copy)
    laptop.start()
    laptop.pit.record("note", {"text": "one more, so that it is as long as it was"}, LEAD)
    assert laptop.climb()[0] == "void"
    laptop.pit.journal.renew(laptop.pit.journal.log)
    laptop.kill()
    laptop.start()
    assert laptop.losses() == ["shorter", "other"]


def restored(laptop: Laptop) -> tuple[dict[str, Any], dict[str, Any]]:
    """Signed; a backup of all is made; the signature ends; the backup is put back. What two phones
    had seen: before, and all."""
    laptop.sign()
    before = laptop.seen(laptop.ivo)
    copy = laptop.copy("backup")
    laptop.pit.record("part_change", ENDS, LEAD)
    everything = laptop.seen(laptop.runa) | {
        "proof": laptop.pit.journal.after(0)[-1],
        "previous": laptop.pit.journal.after(0)[-2]["seal"],
    }
    laptop.pit.close()
    laptop.restore(copy)
    return before, everything


def test_an_older_backup_of_everything_brings_no_dead_clearance_back(laptop: Laptop) -> None:
    restored(laptop)
    shown = CliRunner().invoke(main, ["clearance", str(laptop.folder), "--json"])
    assert json.loads(shown.output)["state"] != "cleared", "not even before the server has started"
    laptop.start()
    state, why = laptop.climb()
    assert (
        state == "void"
        and "folder was copied or put back from a backup" in why
        and "shows that it saw no more" in why
    )
    assert "Nobody knows whether the logbook still has its last entries" in words(
        laptop.captain.get("/climb")
    )
    laptop.restart()
    assert laptop.climb()[0] == "void", "another restart does not make it sure"


def test_a_phone_that_has_seen_more_proves_the_loss(laptop: Laptop) -> None:
    _, everything = restored(laptop)
    laptop.start()
    proof = {name: everything.pop(name) for name in ("proof", "previous")}
    assert laptop.runa.exchange([], **everything).status_code == 409
    assert laptop.climb()[0] == "void"
    assert laptop.runa.exchange([], **everything, **proof).status_code == 200
    assert laptop.losses() == ["unsure", "restored"]
    assert laptop.climb()[0] == "void"
    assert laptop.ivo.exchange([], log="another", after=0).status_code == 200
    assert laptop.climb()[0] == "void", "now no phone makes it sure any more"


def test_a_phone_without_seals_has_seen_more_than_this_start_began_with(laptop: Laptop) -> None:
    """Its number alone: what was written since the start, it cannot have seen."""
    _, everything = restored(laptop)
    laptop.start()
    answer = laptop.runa.exchange([], log=everything["log"], after=everything["after"])
    assert answer.status_code == 409 and answer.get_json()["field"] == "after"


def test_a_phone_that_has_seen_the_signature_and_no_more_makes_it_sure(laptop: Laptop) -> None:
    laptop.sign()
    seen = laptop.seen(laptop.ivo)
    copy = laptop.copy("moved")
    laptop.pit.close()
    laptop.restore(copy)
    laptop.start()
    assert laptop.climb()[0] == "void"
    for wrong in ({**seen, "seal": "0" * 64}, {**seen, "log": "another"}, {**seen, "after": 3}):
        laptop.runa.exchange([], **wrong)
        assert laptop.climb()[0] == "void"
    assert laptop.ivo.exchange([], **seen).status_code == 200
    assert laptop.climb() == ("cleared", "")
    assert not verify_folder(laptop.folder).bad
    laptop.restart()
    assert laptop.climb() == ("cleared", "")


def test_a_phone_that_this_start_told_what_it_holds_proves_nothing(laptop: Laptop) -> None:
    restored(laptop)
    laptop.start()
    laptop.ivo.exchange([], log=None, after=0)
    last = laptop.pit.journal.after(0)[-1]
    laptop.ivo.exchange([], log=laptop.pit.journal.log, after=last["seq"], seal=last["seal"])
    late = join(laptop.app, laptop.pit, "crew", "Tove")
    last = laptop.pit.journal.after(0)[-1]
    late.exchange([], log=laptop.pit.journal.log, after=last["seq"], seal=last["seal"])
    assert laptop.climb()[0] == "void"


def test_the_captain_signs_again_where_no_phone_is_near(laptop: Laptop) -> None:
    restored(laptop)
    laptop.start()
    assert laptop.climb()[0] == "void"
    laptop.sign()
    assert laptop.climb()[0] == "cleared"
    laptop.restart()
    assert laptop.climb()[0] == "cleared"


@pytest.mark.parametrize("since", [0, 1, 4])
def test_a_kill_at_any_moment_never_ends_it_for_good(laptop: Laptop, since: int) -> None:
    """Killed after the signature and so many further entries, again and again: a phone that saw the
    signature settles it each time."""
    laptop.sign()
    laptop.seen(laptop.ivo)
    for _ in range(2):
        for number in range(since):
            laptop.pit.record("note", {"text": f"note {number}"}, LEAD)
        seen = laptop.seen(laptop.ivo)
        laptop.kill()
        assert glance(laptop.folder).state.head == seen["after"]
        laptop.start()
        assert (laptop.climb()[0] == "cleared") == (since == 0)
        laptop.ivo.exchange([], **seen)
        assert laptop.climb() == ("cleared", "")


def test_a_copy_of_the_log_in_its_place_is_seen_even_where_it_says_the_same(laptop: Laptop) -> None:
    laptop.sign()
    laptop.pit.close()
    fresh = laptop.log.with_name("fresh")
    shutil.copy2(laptop.log, fresh)
    os.replace(fresh, laptop.log)
    laptop.start()
    assert laptop.climb()[0] == "void" and laptop.losses() == ["unsure"]


def test_a_file_that_was_refused_ends_it_and_mending_the_file_does_not_undo_that(
    laptop: Laptop,
) -> None:
    laptop.sign()
    sheet = next((laptop.folder / "robots").glob("*.toml"))
    whole = sheet.read_text(encoding="utf-8")
    sheet.write_text(whole + "\n[[part", encoding="utf-8")
    laptop.pit.reload()
    assert laptop.climb()[0] == "void" and "mistakes" in laptop.climb()[1]
    sheet.write_text(whole, encoding="utf-8")
    laptop.pit.reload()
    state, why = laptop.climb()
    assert state == "void" and "A file with mistakes was refused after the signature" in why


def test_entries_taken_in_from_another_logbook_end_it(laptop: Laptop) -> None:
    laptop.sign()
    item = entry(laptop.pit, "note", {"text": "by file"})
    text = make_bundle("0195", "Eskil", "", "2026-03-07T10:00:00Z", [item]).decode()
    adopt_bundle(laptop.pit, text)
    state, why = laptop.climb()
    assert state == "void" and "pitcrew adopt" in why
    laptop.sign()
    adopt_bundle(laptop.pit, text)
    assert laptop.climb()[0] == "cleared", "the same once more brings nothing"


def test_a_disk_that_does_not_take_the_loss_still_ends_it(
    laptop: Laptop, monkeypatch: pytest.MonkeyPatch
) -> None:
    restored(laptop)

    def full(*_: Any, **__: Any) -> None:
        raise DiskFull("The disk is full: this is not stored on the laptop.")

    with monkeypatch.context() as patched:
        patched.setattr("pitcrew.storage.tiny.TinyJournal.append", full)
        laptop.start()
    state, why = laptop.climb()
    assert state == "void" and "The disk is full" in why
    laptop.sign()
    assert laptop.climb()[0] == "cleared"


def test_the_head_is_kept_at_each_signature_and_never_while_entries_are_stored(
    laptop: Laptop,
) -> None:
    kept = laptop.folder / "secrets" / "head.json"
    laptop.sign()
    at_signature = json.loads(kept.read_text())
    with laptop.pit.reading() as state:
        assert (at_signature["seq"], at_signature["seal"]) == (state.head, state.seal)
    laptop.ivo.exchange([entry(laptop.pit, "note", {"text": str(number)}) for number in range(20)])
    assert json.loads(kept.read_text()) == at_signature
    laptop.pit.continuity.keep()
    assert json.loads(kept.read_text())["seq"] == laptop.pit.journal.head()[0]
    assert os.name != "posix" or kept.stat().st_mode & 0o077 == 0
    head = head_text(*laptop.pit.journal.head())
    assert not verify_folder(laptop.folder, head).bad
