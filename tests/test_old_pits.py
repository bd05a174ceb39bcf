"""A pit folder of the first release opens, reads and verifies, always. What that release read in it
is in `expected.json`."""

import json
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from pitcrew.base.clock import format_instant, parse_instant
from pitcrew.base.entries import as_dict
from pitcrew.base.seal import head_text
from pitcrew.cli.main import main
from pitcrew.domain.climb.clearance import past_clearances
from pitcrew.domain.logbook.moment import moment_now
from pitcrew.domain.logbook.state import State
from pitcrew.pit.export import rows
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Glance, Pit, glance, open_pit
from pitcrew.web.app import create_app
from tests.web.conftest import join
from tests.web.screens import EVERY_SCREEN

KEPT = Path(__file__).parent / "data" / "release-1"
EXPECTED: dict[str, Any] = json.loads((KEPT / "expected.json").read_text(encoding="utf-8"))
NOW = parse_instant(EXPECTED["now"])
PAGES = (*EVERY_SCREEN, "/climb/signatures", "/climb/lowering")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy: nothing is ever written into the kept one."""
    return Path(shutil.copytree(KEPT / "pit", tmp_path / "pit"))


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Glance:
    return glance(Path(shutil.copytree(KEPT / "pit", tmp_path_factory.mktemp("old") / "pit")))


@pytest.fixture
def pit(folder: Path) -> Iterator[Pit]:
    opened = open_pit(folder, lambda: NOW, fsync=False)
    yield opened
    opened.close()


def stored_facts(state: State) -> dict[str, Any]:
    """What a folder's entries say, by their numbers, without what follows from rules that may grow
    stricter."""
    readings = sorted(
        (fact for facts in state.readings.values() for fact in facts), key=lambda fact: fact.seq
    )
    return {
        "head": head_text(state.head, state.seal),
        "kinds": dict(
            sorted(Counter(entry.kind for entry in state.entries_by_id.values()).items())
        ),
        "readings": {str(fact.seq): [fact.key, fact.verdict, fact.result] for fact in readings},
        "faults": {
            fault.id: [fault.part, fault.grade, fault.state, fault.match]
            for fault in state.faults.values()
        },
        "deferrals": {
            fault.id: [fault.deferral.who, fault.deferral.until, fault.deferral.restriction]
            for fault in state.faults.values()
            if fault.deferral
        },
        "temporaries": {
            item.id: [item.part, item.open, item.blocks] for item in state.temporaries.values()
        },
        "part_changes": {
            part: [fact.seq for fact in facts] for part, facts in sorted(state.part_changes.items())
        },
        "runs": {
            run.id: [
                run.label,
                run.planned and format_instant(run.planned),
                run.actual and format_instant(run.actual),
                run.ours,
            ]
            for run in state.runs_in_order()
        },
        "returned": [fact.seq for fact in state.returned],
        "debriefs": {str(fact.seq): dict(fact.body.answers) for fact in state.debriefs},
        "batteries": {
            name: [facts[-1].body.to, len(facts)]
            for name, facts in sorted(state.battery_moves.items())
        },
        "robot_logs": {
            name: [fact.seq for fact in facts] for name, facts in sorted(state.robot_logs.items())
        },
        "decisions": {
            str(fact.seq): [fact.person, fact.body.decision] for fact in state.clearances
        },
        "approvals": {
            of: {str(fact.seq): [fact.person, fact.body.decision] for fact in facts}
            for of, facts in state.approvals.items()
        },
        "loads": [fact.seq for fact in state.loads],
        "notes": {str(fact.seq): fact.body.text for fact in state.notes},
        "merges": [fact.seq for fact in state.merges],
        "taken_out": sorted(
            entry.seq for entry in state.entries_by_id.values() if entry.id not in state.facts
        ),
        "conflicts": [[item.entry_id, item.sentence] for item in state.conflicts],
    }


@pytest.mark.parametrize("what", EXPECTED["facts"])
def test_the_stored_facts_are_as_they_were(seen: Glance, what: str) -> None:
    found = json.loads(json.dumps(stored_facts(seen.state)[what]))
    assert found == EXPECTED["facts"][what]


def test_the_folder_verifies_and_every_decision_of_the_captain_is_told(folder: Path) -> None:
    done = CliRunner().invoke(main, ["verify", str(folder), "--head", EXPECTED["facts"]["head"]])
    assert done.exit_code == 0, done.output
    assert f"1059 entries hold. Head: {EXPECTED['facts']['head']}" in done.output
    for seq in EXPECTED["facts"]["decisions"]:
        assert f"Clearance of entry {seq}, Birk: " in done.output


def test_no_signature_that_had_ended_counts_again(seen: Glance) -> None:
    past = past_clearances(moment_now(seen.definitions, seen.state, NOW))
    found = {str(item.fact.seq): item.state for item in past if item.fact}
    assert found.keys() == EXPECTED["clearances"].keys()
    assert [
        seq
        for seq, then in EXPECTED["clearances"].items()
        if then != "cleared" and found[seq] == "cleared"
    ] == []


def test_every_part_and_check_of_its_files_is_there(seen: Glance) -> None:
    robot = seen.definitions.robot
    assert robot is not None and robot.parts.keys() >= set(EXPECTED["parts"])
    unsafe = {key for key in EXPECTED["checks"] if key.startswith("rope-pull@")}
    assert (
        len(unsafe) == 2 and seen.definitions.part_checks.keys() >= set(EXPECTED["checks"]) - unsafe
    )
    assert any(
        "unsafe" in notice.sentence and "rope-pull" in notice.place
        for notice in seen.definitions.notices
    )


def test_pages_and_exports_read_it(pit: Pit) -> None:
    client = join(create_app(pit), pit, "lead", "Maren")
    for page in PAGES:
        assert len(client.get(page)) > 1000
    snapshot = client.flask.get("/api/snapshot", headers=client.bearer)
    assert snapshot.status_code == 200, snapshot.text
    with pit.reading() as state:
        written = {row["seq"]: row for row in rows(state)}
    for seq, (key, verdict, _) in EXPECTED["facts"]["readings"].items():
        assert (
            written[int(seq)]["verdict"],
            f"{written[int(seq)]['check']}@{written[int(seq)]['part']}",
        ) == (verdict, key)


@pytest.mark.parametrize(
    "command",
    [
        ["clearance", "--json"],
        ["patterns", "--json"],
        ["next-battery", "--json"],
        ["limits"],
        ["people"],
    ],
)
def test_reading_commands_read_it(folder: Path, command: list[str]) -> None:
    done = CliRunner().invoke(main, [command[0], str(folder), *command[1:]])
    assert done.exit_code == 0 and len(done.output) > 100, done.output


def test_it_takes_more_entries_and_then_still_verifies_with_nothing_changed(
    folder: Path, pit: Pit
) -> None:
    before = [record for record in pit.journal.after(0) if record["seq"] <= 1059]
    pit.record("note", {"text": "later"}, Author("laptop", "Maren", "lead"))
    pit.close()
    done = CliRunner().invoke(main, ["verify", str(folder), "--head", EXPECTED["facts"]["head"]])
    assert done.exit_code == 0, done.output
    assert (
        (folder / "logbook.jsonl")
        .read_bytes()
        .startswith((KEPT / "pit" / "logbook.jsonl").read_bytes())
    )
    assert [as_dict(entry)["seal"] for entry in glance(folder).state.entries_by_id.values()][
        :1059
    ] == [item["seal"] for item in before]
