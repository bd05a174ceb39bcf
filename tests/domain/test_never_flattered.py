"""Leaving something out never helps: not a line of the build sheet, not a check, not an entry that
speaks for the climb."""

import pytest

from pitcrew.domain.now.view import view_of
from tests.domain.climber import CLIMBS, HOLD_TEST, climber
from tests.domain.folded import LOOKS, Log, define, moment_of
from tests.domain.test_readiness import ready_log

RANK = {"ready": 0, "ready with deferrals": 1, "hold": 2}
LINES = [
    line
    for part in CLIMBS.split("[[part]]")[1:]
    if "climb." in part or "[hold_path]" in part
    for line in part.splitlines()
    if "=" in line and not line.startswith(("id", "label", "zone", "kind"))
]
"""Every line that says something of the climb's parts and of the hold path."""


def word(log: Log, definitions) -> str:
    state, now = log.state(), moment_of("12:00")
    return view_of(definitions, state, now).readiness.word


def cleared(log: Log, definitions) -> bool:
    state, now = log.state(), moment_of("12:00")
    return view_of(definitions, state, now).clearance.state == "cleared"


def test_the_robot_of_this_page_is_ready_and_cleared():
    log = ready_log()
    assert word(log, log.definitions) == "ready" and cleared(log, log.definitions)
    assert len(LINES) >= 14 and len(set(LINES)) < len(LINES)


@pytest.mark.parametrize("number", range(len(LINES)))
@pytest.mark.parametrize("seen", [True, False])
def test_a_line_left_out_of_the_build_sheet_raises_no_readiness(number, seen):
    """`seen`: whether the hold test was confirmed; without it the robot holds, and nothing left out
    mends that."""
    nth = LINES[:number].count(LINES[number])
    pieces = CLIMBS.split(f"\n{LINES[number]}\n")
    at = min(nth, len(pieces) - 2)
    less = (
        f"\n{LINES[number]}\n".join(pieces[: at + 1])
        + "\n"
        + f"\n{LINES[number]}\n".join(pieces[at + 1 :])
    )
    assert len(less.splitlines()) < len(CLIMBS.splitlines())
    log = ready_log()
    if not seen:
        log.entries = [entry for entry in log.entries if entry.kind != "approval"]
    before, after = word(log, log.definitions), word(log, climber(sheet=less))
    assert RANK[after] >= RANK[before]
    assert cleared(log, log.definitions) or not cleared(log, climber(sheet=less))


@pytest.mark.parametrize("kind", ["reading", "approval", "clearance", "battery_move", "match_run"])
def test_an_entry_left_out_raises_no_readiness(kind):
    full = ready_log()
    before = word(full, full.definitions)
    for place in [place for place, entry in enumerate(full.entries) if entry.kind == kind]:
        log = ready_log()
        del log.entries[place]
        assert RANK[word(log, log.definitions)] >= RANK[before]


def test_a_robot_without_its_hold_test_or_its_path_holds():
    log = ready_log()
    assert word(log, define(*LOOKS, sheet=CLIMBS)) == "hold", "no checklist has a hold test"
    assert word(log, define(*LOOKS, HOLD_TEST, sheet=CLIMBS.partition("[hold_path]")[0])) == "hold"
    for device in ("motor-brake", "none"):
        assert (
            word(log, climber(sheet=CLIMBS.replace('holds = "pin"', f'holds = "{device}"')))
            == "hold"
        )
