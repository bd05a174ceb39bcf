"""Verifying: what was altered, removed, reordered or judged otherwise is named; the last entry only
with a head kept elsewhere."""

import json
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.clock import format_instant
from pitcrew.base.entries import new_id
from pitcrew.base.seal import first_bad, head_text, seal_of
from pitcrew.cli.main import main
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.pit.verify import Verification, verify_folder
from pitcrew.storage.opening import read_records
from tests.world import hold_test, let_it_climb, make_world

KEY = b"a key of the tests"
CAPTAIN = Author("laptop", "Mira", "captain")
Records = list[dict]


def sealed(bodies: list[str], key: bytes = KEY) -> Records:
    """Notes with those texts, numbered and sealed as the pit does."""
    records: Records = []
    for seq, text in enumerate(bodies, 1):
        record = {
            "id": f"{seq:036}",
            "kind": "note",
            "at": "2026-03-07T10:00:00Z",
            "body": {"text": text},
            "seq": seq,
        }
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


CHAIN = "lift.chain.left"


def measure(pit: Pit, travel: int, ago: float = 0) -> None:
    """The chain's slack in mm, measured so many seconds ago, as a phone sends it: 60 is judged
    stop, 10 ok."""
    at = pit.clock() - timedelta(seconds=ago)
    offer = {
        "id": new_id(at),
        "kind": "reading",
        "at": format_instant(at),
        "body": {
            "check": "chain-slack",
            "part": CHAIN,
            "inputs": {"travel": {"typed": str(travel), "value": travel, "unit": "mm"}},
        },
    }
    assert pit.take([offer], Author("phone", "Ivo", "crew"), 0.0)[0].error == ""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A pit whose climb hangs on a chain: read as stop (entry 2) and as ok (3), its hold test seen
    by two (4, 5), signed for (6), and a note on the chain after that (7)."""
    made = make_world(tmp_path / "pit")
    let_it_climb(made)
    edit(made, "teeth = 24", "teeth = 24\nclimb_critical = true")
    pit = open_pit(made, fsync=False)
    measure(pit, 60, ago=2)
    measure(pit, 10, ago=1)
    hold_test(pit, pit.clock())
    pit.record("clearance", {"decision": "cleared", "seen_seq": 5}, CAPTAIN)
    pit.record("note", {"text": "a note", "part": CHAIN}, CAPTAIN)
    pit.close()
    return made


def edit(folder: Path, old: str, new: str) -> None:
    """Change the build sheet as a student would."""
    path = folder / "robots" / "bench.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def rewrite(folder: Path, change) -> None:
    """Change the log and seal it again with the pit's own key, as its owner could."""
    from pitcrew.pit.folder import pit_keys
    from pitcrew.storage.opening import open_journal

    key, _ = pit_keys(folder)
    path = folder / "logbook.jsonl"
    records = [
        {name: value for name, value in record.items() if name not in ("seq", "seal")}
        for record in read_records(path).records
    ]
    path.unlink()

    def stamp(draft: dict, seq: int, previous: str) -> dict:
        record = {**draft, "seq": seq}
        return {**record, "seal": seal_of(key, previous, record)}

    journal = open_journal(path, stamp, create=True, fsync=False)
    journal.append(change(records))
    journal.close()


def test_a_whole_log_holds_and_tells_which_entry_ended_each_clearance(folder: Path) -> None:
    report = verify_folder(folder)
    assert not report.bad
    assert (
        "Clearance of entry 6, Mira: void. A note on Lift chain, left came after the signature"
        " (Mira, entry 7)." in report.lines
    )


def changed(folder: Path, kind: str, change) -> Verification:
    """What verifying says after the first entry of a kind was changed and all was sealed again."""

    def first(records: Records) -> Records:
        change(next(record for record in records if record["kind"] == kind))
        return records

    rewrite(folder, first)
    return verify_folder(folder)


def test_a_verdict_that_does_not_follow_from_its_numbers_is_named_even_when_it_was_sealed_again(
    folder: Path,
) -> None:
    report = changed(folder, "reading", lambda record: record["judged"].update(verdict="ok"))
    assert (
        report.bad
        and "Entry 2 (reading" in report.lines[-1]
        and "judged again it is stop" in report.lines[-1]
    )


def test_a_verdict_without_the_limit_that_it_was_judged_by_is_named(folder: Path) -> None:
    report = changed(
        folder, "reading", lambda record: record["judged"].update(verdict="ok", limit=None)
    )
    assert (
        report.bad
        and "Entry 2 (reading" in report.lines[-1]
        and "judged again it is unjudged" in report.lines[-1]
    )


def test_a_clearance_signed_over_something_missing_is_named_even_when_it_was_sealed_again(
    folder: Path,
) -> None:
    rewrite(
        folder,
        lambda records: [
            record
            for record in records
            if record["body"].get("inputs", {}).get("travel", {}).get("value") != 10
        ],
    )
    report = verify_folder(folder)
    assert (
        report.bad
        and "Entry 5 (clearance" in report.lines[-1]
        and "missing. Chain slack, Lift chain, left: stop." in report.lines[-1]
    )


def test_a_clearance_signed_while_a_file_had_a_mistake_is_named(folder: Path) -> None:
    mistake = {
        "file": "robots/bench.toml",
        "place": "part lift.hook, kind",
        "found": "hok",
        "wanted": "a part kind",
        "climb": True,
    }
    report = changed(
        folder, "definitions", lambda record: record["body"].update(mistakes=[mistake])
    )
    assert (
        report.bad
        and "Entry 6 (clearance" in report.lines[-1]
        and "part lift.hook, kind: found hok" in report.lines[-1]
    )


def test_what_came_later_changes_nothing_of_what_a_signature_rested_on(folder: Path) -> None:
    """A limit made stricter, the mark taken away, a reading corrected: each after the signature,
    each by the rules."""
    pit = open_pit(folder, fsync=False)
    edit(folder, 'span = "412 mm"', 'span = "90 mm"')
    pit.reload()
    edit(folder, "climb_critical = true", "")
    pit.reload()
    load = pit.journal.after(0)[-1]["id"]
    for person in ("Ada", "Vera"):
        pit.record(
            "approval", {"of": load, "decision": "approved"}, Author("laptop", person, "lead")
        )
    reading = pit.journal.after(2, 1)[0]
    pit.record(
        "correction",
        {"of": reading["id"], "body": None, "why": "the wrong chain"},
        Author("phone", "Ivo", "crew"),
    )
    assert not pit.definitions.robot.parts[CHAIN].climb_critical
    pit.close()
    report = verify_folder(folder)
    assert not report.bad
    assert (
        "Clearance of entry 6, Mira: void. A note on Lift chain, left came after the signature"
        " (Mira, entry 7)." in report.lines
    )


def test_a_signature_that_an_entry_overtook_is_ended_by_it_and_not_a_forgery(folder: Path) -> None:
    pit = open_pit(folder, fsync=False)
    measure(pit, 60)
    pit.record("clearance", {"decision": "cleared", "seen_seq": 7}, CAPTAIN)
    pit.close()
    report = verify_folder(folder)
    assert not report.bad
    assert (
        "Clearance of entry 9, Mira: void. A reading on Lift chain, left came after the signature"
        " (Ivo, entry 8)." in report.lines
    )


def test_a_rewritten_chain_and_a_cut_tail_show_only_against_a_head(folder: Path) -> None:
    last = read_records(folder / "logbook.jsonl").records[-1]
    head = head_text(last["seq"], last["seal"])
    assert not verify_folder(folder, head).bad
    (folder / "secrets" / "head.json").unlink()  # the laptop's owner can do that as well
    assert not changed(folder, "note", lambda record: record["body"].update(text="another")).bad
    assert (
        verify_folder(folder, head).bad and "was rewritten" in verify_folder(folder, head).lines[-1]
    )
    rewrite(folder, lambda records: records[:-1])
    assert (
        not verify_folder(folder).bad
        and "its tail was cut" in verify_folder(folder, head).lines[-1]
    )


def test_the_head_that_the_laptop_keeps_itself_shows_both_too(folder: Path) -> None:
    assert changed(folder, "note", lambda record: record["body"].update(text="another")).bad
    rewrite(folder, lambda records: records[:-1])
    report = verify_folder(folder)
    assert report.bad and "an older copy was put back, or its end was cut" in "\n".join(
        report.lines
    )


def run(*arguments: object, code: int = 0) -> str:
    answer = CliRunner().invoke(main, [str(argument) for argument in arguments])
    assert answer.exit_code == code, answer.output
    return answer.output


def test_the_command_exits_1_for_a_finding(folder: Path) -> None:
    assert "entries hold" in run("verify", folder)
    assert "its tail was cut" in run("verify", folder, "--head", "99:0123-4567-89ab", code=1)


def test_clearance_as_json(folder: Path) -> None:
    found = json.loads(run("clearance", folder, "--json"))
    assert {"state", "signed_by", "signed_seq", "voided_by", "missing", "links", "weakest"} <= set(
        found
    )
    assert (found["state"], found["signed_by"], found["signed_seq"]) == ("void", "Mira", 6)
    assert {"name", "load", "strength", "factor", "required", "inspection", "inputs"} <= set(
        found["links"][0]
    )
    assert "hook" in run("clearance", folder)


def test_people_show_no_secret(folder: Path) -> None:
    pit = open_pit(folder, fsync=False)
    code = pit.roster.make_code("crew", timedelta(minutes=9))
    joined = pit.roster.join(code, "Ivo", "phone", "a")
    pit.pins.set("Ivo", "4071", "", "a")
    pit.close()
    shown = run("people", folder) + run("people", folder, "--json")
    assert "Ivo, crew: phone" in shown and "has a PIN" in shown
    secrets = (
        joined.token,
        joined.device.token,
        code,
        "4071",
        (folder / "secrets" / "pins.json").read_text().split('"')[3],
    )
    assert not any(secret in shown for secret in secrets)
