"""The laptop dies: another one takes its place from the recovery file and what the phones hold."""

import json
import os
import shutil
import stat
from pathlib import Path

import pytest
from click.testing import CliRunner

from pitcrew.base.clock import system_clock
from pitcrew.base.errors import Missing
from pitcrew.cli.main import main
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.now.view import PitView
from pitcrew.exchange.bundle import make_bundle
from pitcrew.pit.folder import definition_files
from pitcrew.pit.intake import Author
from pitcrew.pit.recovery import recovery_of, write_recovery
from pitcrew.pit.relay import adopted_lines, relayed
from pitcrew.pit.tls import CertificateFiles, fingerprint
from pitcrew.pit.verify import verify_folder
from tests.exchange.conftest import CHAIN, Hands, Laptop, Phone

FILES = {
    "spares.toml": b'[[spare]]\nitem = "chain link 25"\ncount = 4\nreorder = 2\n',
    "robots/Tern 2.toml": (
        b'\xef\xbb\xbf# lines that end as on Windows\r\n[robot]\r\nlabel = "Second"\r\n'
    ),
    "checklists/our-own.toml": '[checklist]\nname = "our-own"\nlabel = "Prüfen"\n'.encode(),
    "checklists/example-old.toml": b"not TOML at all [",
    "matches.csv": b"match,date,time\n",
    "refused.json": b"[]",
    "demo.json": b"{}",
    "logbook.jsonl.cut": b"[",
    "photos/0195d1a2-0000-7000-8000-000000000001.jpg": b"x",
    "logs/ab.csv": b"x",
    "secrets/pins.json": b"{}",
    "secrets/hub.json": b"{}",
}
"""Whatever may lie in a pit folder beside what every one has."""


def pitcrew(*arguments: object) -> str:
    done = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert done.exit_code == 0, done.output
    return done.output


def lose(laptop: Laptop) -> Path:
    """The laptop falls into the water; the recovery file is on a memory stick."""
    stick = write_recovery(laptop.folder, laptop.folder.with_name("stick.json"), laptop.clock())
    laptop.stop()
    shutil.rmtree(laptop.folder)
    return stick


def day(laptop: Laptop) -> list[Phone]:
    """Three phones: all have read up to Mira's last entry, and Ivo alone has read what the laptop
    did after that."""
    phones = [
        laptop.join(name, role, seed)
        for seed, (name, role) in enumerate([("Ivo", "crew"), ("Mira", "crew"), ("Ada", "captain")])
    ]
    for number in range(4):
        for phone in phones:
            phone.make("fault", part=CHAIN, symptom=f"{phone.name} {number}", grade="watch")
            laptop.clock.later(60)
            phone.exchange()
    captain = laptop.pit.roster.device_of_token(phones[2].token)
    body = {"decision": "cleared", "seen_seq": laptop.pit.journal.head()[0]}
    laptop.pit.record("clearance", body, Author(captain.id, "Ada", "captain"))
    phones[0].exchange()
    return phones


def test_with_the_recovery_file_phones_meet_it_as_if_nothing_had_happened(
    laptop: Laptop, tmp_path: Path, clock: Hands
) -> None:
    phones = day(laptop)
    lost = {record["id"]: record for record in laptop.records()}
    root = fingerprint(CertificateFiles(laptop.folder))
    stick = lose(laptop)
    assert "phones that had joined meet it as before" in pitcrew(
        "adopt", tmp_path / "pit", "--recovery", stick
    )
    laptop.start()
    assert fingerprint(CertificateFiles(laptop.folder)) == root
    assert (
        set(laptop.pit.definitions.part_checks) == {f"chain-slack@{CHAIN}"}
        and not laptop.pit.definitions.mistakes
    )
    for phone in (phones[1], phones[0], phones[2]):
        assert phone.exchange() == 200 and phone.refused == {}
    found = {record["id"]: record for record in laptop.records()}
    assert set(lost) <= set(found) and len(found) == len(laptop.records())
    assert [found[name]["origin"]["seq"] for name in lost] == [
        record["seq"] for record in lost.values()
    ]
    (line,) = adopted_lines(laptop.records())
    assert (
        f"{len(lost)} entries, {len(lost)} proven by their seal, 0 unverified; none missing."
        in line
    )
    assert line in verify_folder(laptop.folder).lines
    with laptop.pit.reading() as state:
        clearance = PitView(Moment(laptop.pit.definitions, state, clock(), None)).clearance
        assert len(state.faults) == 12
    assert clearance.state == "none", "an adopted clearance is history"
    for phone in phones:
        phone.exchange()
        assert phone.replica == laptop.records()


def test_from_files_alone_nothing_is_proven_and_nothing_is_lost(
    laptop: Laptop, tmp_path: Path
) -> None:
    ivo = day(laptop)[0]
    records, log = ivo.replica, ivo.log or ""
    lose(laptop)
    device = next(record["device"] for record in records if record["person"] == "Ivo")
    file = tmp_path / "ivo.pitcrew.json"
    kept = [
        relayed(record, log)
        for record in records
        if record["kind"] != "definitions" and record["seq"] != 5
    ]
    file.write_bytes(
        make_bundle(device, "Ivo", log, "2026-03-07T10:00:00Z", json.loads(json.dumps(kept)))
    )
    said = pitcrew("adopt", tmp_path / "pit", file)
    assert "nothing can be proven" in said and f"From Ivo: {len(kept)} new entries" in said
    assert (
        f"{len(kept)} entries, 0 proven by their seal, {len(kept)} unverified; missing: 1, 5."
        in said
    )
    assert "0 new entries" in pitcrew("adopt", tmp_path / "pit", file)
    laptop.start()


def test_the_recovery_file_is_for_its_owner_alone(laptop: Laptop, tmp_path: Path) -> None:
    said = pitcrew("new", tmp_path / "season")
    made = tmp_path / "season" / "recovery-season.json"
    assert str(made) in said and "memory stick" in said
    assert os.name != "posix" or stat.S_IMODE(made.stat().st_mode) == 0o600
    pitcrew("recovery", tmp_path / "season", "-o", tmp_path / "again.json")
    again, first = (json.loads(path.read_text()) for path in (tmp_path / "again.json", made))
    assert {**again, "made_at": ""} == {**first, "made_at": ""}


def test_a_stick_that_is_not_plugged_in_is_said(laptop: Laptop, tmp_path: Path) -> None:
    with pytest.raises(Missing, match="plugged in"):
        write_recovery(laptop.folder, tmp_path / "stick" / "recovery.json", laptop.clock())
    assert not (tmp_path / "stick").exists()


def test_tokens_are_in_it_as_hashes_only(laptop: Laptop) -> None:
    ivo = laptop.join("Ivo")
    assert ivo.token not in json.dumps(recovery_of(laptop.folder, system_clock()))


@pytest.mark.parametrize(
    "change",
    [
        {"version": 2},
        {"pitcrew": "bundle"},
        {"files": {"../evil.toml": "x"}},
        {"files": {"secrets/pit.toml": "x"}},
        {"files": 7},
        {"files": {"robots/../../evil.toml": "x"}},
        {"pit": 3},
        {"devices": None},
        {"files": {"/etc/evil.toml": "x"}},
    ],
)
def test_a_wrong_recovery_file_makes_nothing(laptop: Laptop, tmp_path: Path, change: dict) -> None:
    wrong = tmp_path / "wrong.json"
    wrong.write_text(json.dumps({**recovery_of(laptop.folder, system_clock()), **change}))
    done = CliRunner().invoke(main, ["adopt", str(tmp_path / "new"), "--recovery", str(wrong)])
    assert (
        done.exit_code == 2 and "recovery file" in done.output and not (tmp_path / "new").exists()
    )


def test_a_pit_folder_is_never_overwritten(laptop: Laptop, tmp_path: Path) -> None:
    stick = write_recovery(laptop.folder, tmp_path / "stick.json", laptop.clock())
    done = CliRunner().invoke(main, ["adopt", str(laptop.folder), "--recovery", str(stick)])
    assert done.exit_code == 1 and "is a pit folder already" in done.output


def test_certificates_are_made_renewed_and_made_anew(laptop: Laptop) -> None:
    files = CertificateFiles(laptop.folder)
    first = pitcrew("certificates", laptop.folder)
    assert "Issued a certificate for" in first and fingerprint(files) in first
    assert "The certificate holds for" in pitcrew("certificates", laptop.folder)
    assert fingerprint(files) in first
    anew = pitcrew("certificates", laptop.folder, "--new-root")
    assert fingerprint(files) in anew and fingerprint(files) not in first


def test_every_file_of_a_pit_folder_comes_back_or_is_named_as_left_out(
    laptop: Laptop, tmp_path: Path
) -> None:
    """The memory stick must not fail on the day on which it is needed, whatever is in the
    folder."""
    laptop.join("Ivo")
    for name, text in FILES.items():
        path = laptop.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text)
    stick = tmp_path / "stick.json"
    told = pitcrew("recovery", laptop.folder, "-o", stick)
    laptop.stop()
    for words in (
        "photos",
        "logs of the robot",
        "the logbook",
        "PINs",
        "refused entries",
        "the match list",
    ):
        assert words in told
    said = pitcrew("adopt", tmp_path / "again", "--recovery", stick)
    assert "photos" in said and "logs of the robot" in said
    for path in definition_files(laptop.folder):
        name = path.relative_to(laptop.folder)
        assert (tmp_path / "again" / name).read_bytes() == path.read_bytes(), name
    for name in (
        "secrets/pit.json",
        "certificates/root.crt",
        "certificates/intermediate.crt",
        "secrets/intermediate.key",
    ):
        assert (tmp_path / "again" / name).read_bytes() == (laptop.folder / name).read_bytes(), name
    devices = [
        json.loads((place / "secrets" / "roster.json").read_text())["devices"]
        for place in (laptop.folder, tmp_path / "again")
    ]
    assert devices[0] == devices[1] != []


def test_a_recovery_file_of_the_first_release_is_taken(tmp_path: Path) -> None:
    """It holds spares.toml, which that release could write and not read."""
    kept = Path(__file__).parents[1] / "data" / "release-1" / "pit"
    said = pitcrew("adopt", tmp_path / "again", "--recovery", kept / "recovery-pit.json")
    assert "phones that had joined meet it as before" in said
    for path in definition_files(kept):
        assert (tmp_path / "again" / path.relative_to(kept)).read_bytes() == path.read_bytes()
