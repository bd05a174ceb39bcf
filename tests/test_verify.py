"""Verifying: what was altered, removed, reordered or judged otherwise is named; the last entry only with a head kept elsewhere."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.cli import main
from pitcrew.entries import new_id
from pitcrew.pit import Author, open_pit
from pitcrew.seal import first_bad, head_text, seal_of
from pitcrew.storage.opening import read_records
from pitcrew.verify import verify_folder
from tests.world import make_world

KEY = b"a key of the tests"
CAPTAIN = Author("laptop", "Mira", "captain")
Records = list[dict]


def sealed(bodies: list[str], key: bytes = KEY) -> Records:
    """Notes with those texts, numbered and sealed as the pit does."""
    records: Records = []
    for seq, text in enumerate(bodies, 1):
        record = {"id": f"{seq:036}", "kind": "note", "at": "2026-03-07T10:00:00Z", "body": {"text": text}, "seq": seq}
        record["seal"] = seal_of(key, records[-1]["seal"] if records else "", record)
        records.append(record)
    return records


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text(max_size=5), min_size=2, max_size=12), st.data())
def test_any_entry_altered_removed_or_moved_is_found(texts: list[str], data: st.DataObject) -> None:
    """All but the last: that one can be cut without a trace, and shows only against a head."""
    records = sealed(texts)
    assert first_bad(KEY, records) is None
    place = data.draw(st.integers(0, len(records) - 2))
    act = data.draw(st.sampled_from(["alter", "remove", "swap", "repeat", "seal"]))
    if act == "alter":
        records[place] = {**records[place], "body": {"text": texts[place] + "!"}}
    elif act == "remove":
        del records[place]
    elif act == "swap":
        records[place], records[place + 1] = records[place + 1], records[place]
    elif act == "repeat":
        records.insert(place, records[place])
    else:
        records[place] = {**records[place], "seal": seal_of(b"another key", "", records[place])}
    found = first_bad(KEY, records)
    assert found is not None and str(place + 1) in found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A pit with a reading judged stop, a note, and a signature."""
    made = make_world(tmp_path / "pit")
    pit = open_pit(made, fsync=False)
    item = pit.definitions.part_checks["chain-slack@lift.chain.left"]
    offer = {"id": new_id(pit.clock()), "kind": "reading", "at": "2026-03-07T10:00:00Z", "body": {
        "check": item.check.id, "part": item.part.id, "inputs": {"travel": {"typed": "60", "value": 60, "unit": "mm"}}}}
    assert pit.take([offer], Author("phone", "Ivo", "crew"), 0.0)[0].error == ""
    pit.record("note", {"text": "a note"}, CAPTAIN)
    pit.record("clearance", {"decision": "cleared", "seen_seq": 3}, CAPTAIN)
    pit.close()
    return made


def rewrite(folder: Path, change) -> None:
    """Change the log and seal it again with the pit's own key, as its owner could."""
    from pitcrew.folder import pit_keys
    from pitcrew.storage.opening import open_journal

    key, _ = pit_keys(folder)
    path = folder / "logbook.jsonl"
    records = [{name: value for name, value in record.items() if name not in ("seq", "seal")} for record in read_records(path).records]
    path.unlink()

    def stamp(draft: dict, seq: int, previous: str) -> dict:
        record = {**draft, "seq": seq}
        return {**record, "seal": seal_of(key, previous, record)}

    journal = open_journal(path, stamp, create=True, fsync=False)
    journal.append(change(records))
    journal.close()


def test_a_whole_log_holds_and_tells_what_became_of_each_clearance(folder: Path) -> None:
    report = verify_folder(folder)
    assert not report.bad and any(line.startswith("Clearance of entry 4, Mira: void.") for line in report.lines)


def test_a_verdict_that_does_not_follow_from_its_numbers_is_named_even_when_it_was_sealed_again(folder: Path) -> None:
    def better(records: Records) -> Records:
        reading = next(record for record in records if record["kind"] == "reading")
        assert reading["judged"]["verdict"] == "stop"
        reading["judged"]["verdict"] = "ok"
        return records

    rewrite(folder, better)
    report = verify_folder(folder)
    assert report.bad and "Entry 2 (reading" in report.lines[-1] and "judged again it is stop" in report.lines[-1]


def test_a_rewritten_chain_and_a_cut_tail_show_only_against_a_head(folder: Path) -> None:
    last = read_records(folder / "logbook.jsonl").records[-1]
    head = head_text(last["seq"], last["seal"])
    assert not verify_folder(folder, head).bad
    rewrite(folder, lambda records: [{**record, "body": {"text": "another"}} if record["kind"] == "note" else record for record in records])
    assert not verify_folder(folder).bad
    assert verify_folder(folder, head).bad and "was rewritten" in verify_folder(folder, head).lines[-1]
    rewrite(folder, lambda records: records[:-1])
    assert not verify_folder(folder).bad and "its tail was cut" in verify_folder(folder, head).lines[-1]


def run(*arguments: object, code: int = 0) -> str:
    answer = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert answer.exit_code == code, answer.output
    return answer.output


def test_the_command_exits_1_for_a_finding(folder: Path) -> None:
    assert "entries hold" in run("verify", folder)
    assert "its tail was cut" in run("verify", folder, "--head", "99:0123-4567-89ab", code=1)


def test_clearance_as_json(folder: Path) -> None:
    found = json.loads(run("clearance", folder, "--json"))
    assert {"state", "signed_by", "signed_seq", "voided_by", "missing", "chain", "weakest"} <= set(found)
    assert (found["state"], found["signed_by"], found["signed_seq"]) == ("void", "Mira", 4)
    assert {"name", "load", "strength", "factor", "required"} <= set(found["chain"][0])
    assert "not computed: inspect" in run("clearance", folder)


def test_people_show_no_secret(folder: Path) -> None:
    from datetime import timedelta

    pit = open_pit(folder, fsync=False)
    code = pit.roster.make_code("crew", timedelta(minutes=9))
    joined = pit.roster.join(code, "Ivo", "phone", "a")
    pit.pins.set("Ivo", "4071", "", "a")
    pit.close()
    shown = run("people", folder) + run("people", folder, "--json")
    assert "Ivo, crew: phone" in shown and "has a PIN" in shown
    secrets = (joined.token, joined.device.token, code, "4071", (folder / "secrets" / "pins.json").read_text().split('"')[3])
    assert not any(secret in shown for secret in secrets)
