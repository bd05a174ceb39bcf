"""The fold: order, corrections, clocks, and records that no one expected."""

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.clock import parse_instant
from pitcrew.base.entries import Entry
from pitcrew.domain.logbook.state import State, corrected
from tests.domain.folded import Log, define, moment_of, numbered

CHAIN = "lift.chain.left"
KEY = f"chain-slack@{CHAIN}"


def verdicts(state: State, key: str = KEY) -> list[str]:
    return [fact.verdict for fact in state.readings.get(key, [])]


def test_readings_of_a_check_are_ordered_by_time_not_by_arrival():
    log = Log()
    late = log.read("chain-slack", CHAIN, 13, "10:00")
    early = log.read("chain-slack", CHAIN, 5, "09:00")
    assert [fact.id for fact in log.state().readings[KEY]] == [early.id, late.id]


def test_facts_of_the_same_instant_are_ordered_by_id():
    log = Log()
    first = log.read("chain-slack", CHAIN, 5, "09:00", id=numbered(900))
    second = log.read("chain-slack", CHAIN, 6, "09:00", id=numbered(100))
    assert [fact.id for fact in log.state().readings[KEY]] == [second.id, first.id]


def test_a_wrong_phone_clock_is_put_right_by_its_measured_offset_and_the_raw_time_is_kept():
    log = Log()
    wrong = log.read("chain-slack", CHAIN, 5, "13:05", offset=-3 * 3600.0)
    right = log.read("chain-slack", CHAIN, 6, "10:10")
    facts = log.state().readings[KEY]
    assert [fact.id for fact in facts] == [wrong.id, right.id]
    assert facts[0].at == moment_of("10:05") and facts[0].entry.at == wrong.at


@pytest.mark.parametrize(
    "at",
    [
        "yesterday",
        "",
        "2026-03-07T10:00:00",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00",
    ],
)
def test_a_time_that_no_clock_shows_falls_back_to_the_time_received(at):
    entry = Entry(id=numbered(1), kind="note", at=at, body={}, received_at="2026-03-07T10:00:00Z")
    assert corrected(entry) == moment_of("10:00")
    assert corrected(msgspec.structs.replace(entry, received_at="")).year == 1970


@pytest.mark.parametrize("offset", [float("inf"), float("nan"), 1e300])
def test_an_impossible_offset_falls_back_to_the_time_received(offset):
    entry = Entry(
        id=numbered(1),
        kind="note",
        at="2026-03-07T08:00:00Z",
        body={},
        offset=offset,
        received_at="2026-03-07T10:00:00Z",
    )
    assert corrected(entry) == moment_of("10:00")


@pytest.mark.parametrize(
    "kind, body",
    [
        ("hologram", {"x": 1}),
        ("reading", {"check": 5}),
        ("reading", {}),
        ("fault", {"part": "a.b", "symptom": "bent", "grade": "terrible"}),
        ("fault_move", {"to": "open"}),
        ("correction", {"of": "x"}),
        ("match_run", {}),
        ("battery_move", {"battery": "1", "to": "moon"}),
    ],
)
def test_what_cannot_be_read_is_kept_named_and_does_not_stop_the_fold(kind, body):
    log = Log()
    strange = log.add(kind, body)
    log.read("chain-slack", CHAIN, 5)
    state = log.state()
    assert verdicts(state) == ["ok"] and state.head == 2
    assert [(item.entry_id, bool(item.sentence)) for item in state.conflicts] == [
        (strange.id, True)
    ]
    assert state.entries_by_id[strange.id] == strange


@pytest.mark.parametrize(
    "limit",
    [
        {"stop_high": "x"},
        {"result": ["?"]},
        {"scale": 0, "stop_high": 1, "result": "travel"},
        {"answers": 3},
    ],
)
def test_a_reading_with_a_damaged_limit_is_unjudged(limit):
    log = Log()
    inputs = {"travel": {"typed": "1", "value": 1}}
    log.add(
        "reading",
        {"check": "chain-slack", "part": CHAIN, "inputs": inputs, "limit": limit, "verdict": "ok"},
    )
    assert verdicts(log.state()) == ["unjudged"]


def test_the_same_entry_twice_counts_once():
    log = Log()
    log.read("chain-slack", CHAIN, 5)
    state = log.state()
    state.advance(log.entries)
    assert len(state.readings[KEY]) == 1 and len(state.touches[CHAIN]) == 1


def test_of_phone_own_limit_and_server_the_worst_verdict_stands_and_the_difference_is_told():
    log = Log()
    entry = log.read("chain-slack", CHAIN, 13)
    for phone, judged, wanted in (("ok", None, "stop"), ("stop", None, "stop")):
        log.entries = [
            msgspec.structs.replace(entry, body={**entry.body, "verdict": phone}, judged=judged)
        ]
        fact = log.state().readings[KEY][0]
        assert fact.verdict == wanted and bool(fact.conflict_with_phone) == (phone != wanted)
    good = log.read("chain-slack", CHAIN, 5)
    for phone, judged, wanted in (
        ("ok", {"verdict": "stop", "sentence": "new limit"}, "stop"),
        ("watch", None, "watch"),
        ("unjudged", None, "unjudged"),
        ("ok", None, "ok"),
    ):
        log.entries = [
            msgspec.structs.replace(good, body={**good.body, "verdict": phone}, judged=judged)
        ]
        assert log.state().readings[KEY][0].verdict == wanted


def test_a_reading_without_a_limit_is_judged_by_the_servers_alone_and_proves_nothing_without_it():
    log = Log()
    entry = log.read("chain-slack", CHAIN, 5)
    bare = msgspec.structs.replace(
        entry,
        body={
            "check": "chain-slack",
            "part": CHAIN,
            "inputs": entry.body["inputs"],
            "verdict": "ok",
        },
    )
    log.entries = [bare]
    assert verdicts(log.state()) == ["unjudged"]
    log.entries = [
        msgspec.structs.replace(
            bare, judged={"verdict": "ok", "sentence": "fine", "limit": entry.body["limit"]}
        )
    ]
    assert verdicts(log.state()) == ["ok"]


def test_an_old_reading_keeps_the_limit_it_was_judged_by():
    log = Log()
    log.read("chain-slack", CHAIN, 11)
    assert verdicts(log.state()) == ["watch"] and log.state().readings[KEY][0].limit[
        "stop_high"
    ] == pytest.approx(0.012)


def body_with(entry: Entry, value: float) -> dict:
    """A reading's body with another travel in mm."""
    return {**entry.body, "inputs": {"travel": {"typed": str(value), "value": value, "unit": "mm"}}}


def test_a_correction_replaces_the_body_at_the_originals_place():
    log = Log()
    first = log.read("chain-slack", CHAIN, 13, "09:00")
    log.read("chain-slack", CHAIN, 5, "10:00")
    log.correct(first, body_with(first, 3), at="11:00")
    state = log.state()
    assert verdicts(state) == ["ok", "ok"] and state.readings[KEY][0].result == pytest.approx(0.003)
    assert state.entries_by_id[first.id].body == first.body
    assert not state.conflicts


@pytest.mark.parametrize(
    "person, role, counts",
    [
        ("Ada", None, True),
        ("Bo", "lead", True),
        ("Bo", "crew", False),
        ("Bo", "captain", False),
        ("Bo", "", False),
        ("Bo", None, False),
    ],
)
def test_the_author_or_the_lead_corrects(person, role, counts):
    log = Log()
    first = log.read("chain-slack", CHAIN, 13)
    log.correct(first, body_with(first, 3), person=person)
    state = log.state(None if role is None else lambda name: role)
    assert verdicts(state) == (["ok"] if counts else ["stop"])
    assert len(state.conflicts) == (0 if counts else 1)


def test_the_last_correction_by_seq_wins_whatever_its_clock_says():
    log = Log()
    first = log.read("chain-slack", CHAIN, 13)
    log.correct(first, body_with(first, 3), at="12:00")
    log.correct(first, body_with(first, 11), at="08:00")
    assert verdicts(log.state()) == ["watch"]


def test_a_corrected_reading_is_freed_of_the_judgement_of_its_first_numbers():
    log = Log()
    first = log.read(
        "chain-slack", CHAIN, 13, judged={"verdict": "stop", "sentence": "beyond the new limit"}
    )
    log.correct(first, {key: value for key, value in body_with(first, 3).items() if key != "limit"})
    fact = log.state().readings[KEY][0]
    assert fact.verdict == "ok" and fact.limit == first.body["limit"]


def test_a_correction_to_nothing_takes_it_out_and_the_original_stays_readable():
    log = Log()
    first = log.read("chain-slack", CHAIN, 13)
    log.correct(first, None)
    state = log.state()
    assert verdicts(state) == [] and state.entries_by_id[first.id] == first
    log.correct(first, body_with(first, 3))
    assert verdicts(log.state()) == ["ok"]


def test_a_correction_that_cannot_be_read_does_not_count():
    log = Log()
    first = log.read("chain-slack", CHAIN, 13)
    wrong = log.correct(first, {"check": 7})
    state = log.state()
    assert verdicts(state) == ["stop"] and [item.entry_id for item in state.conflicts] == [wrong.id]


def test_a_correction_may_come_before_what_it_corrects():
    log = Log()
    first = log.read("chain-slack", CHAIN, 13)
    log.correct(first, body_with(first, 3))
    assert verdicts(log.shuffled([1, 0])) == ["ok"]
    log.entries = log.entries[1:]
    assert [item.sentence for item in log.state().conflicts] == [
        "It corrects an entry that is not in the logbook."
    ]


def test_a_correction_of_a_correction_or_of_a_clearance_does_not_count():
    log = Log()
    signed = log.add("clearance", {"decision": "refused", "seen_seq": 0})
    first = log.correct(signed, {"decision": "cleared", "seen_seq": 9})
    second = log.correct(first, None)
    state = log.state(lambda name: "lead")
    assert state.clearances[0].body.decision == "refused"
    assert [item.entry_id for item in state.conflicts] == [first.id, second.id]


def test_a_correction_touches_the_part_before_and_the_part_after():
    log = Log()
    first = log.fault("climb.pawl")
    change = log.correct(first, {**first.body, "part": "lift.bracket"})
    state = log.state()
    assert state.faults[first.id].part == "lift.bracket"
    assert [seq for seq, _ in state.touches["climb.pawl"]] == [first.seq, change.seq]
    assert [seq for seq, _ in state.touches["lift.bracket"]] == [change.seq]


def test_an_entry_whose_part_cannot_be_told_touches_the_unknown_part():
    log = Log()
    log.add("hologram", {"part": "climb.pawl"})
    log.add("fault_move", {"fault": "nobody", "to": "repaired"})
    assert [seq for seq, _ in log.state().touches[""]] == [1, 2]


def test_a_temporary_state_is_open_until_undone_in_whatever_order_the_two_arrive():
    log = Log()
    pulled = log.add("temporary", {"part": "drive.frame", "what": "fuse 8 pulled"}, "09:00")
    assert log.state().temporaries[pulled.id].open
    log.add("temporary_undone", {"temporary": pulled.id, "how": "back in"}, "09:30")
    for order in ([0, 1], [1, 0]):
        state = log.shuffled(order)
        assert not state.temporaries[pulled.id].open and not state.conflicts
    log.entries = log.entries[1:]
    assert len(log.state().conflicts) == 1


def test_runs_keep_what_a_later_fact_leaves_out_and_a_bad_time_is_named():
    log = Log()
    run = log.run("12", "10:20")
    log.add("match_run", {"actual": moment_of("10:57").isoformat()}, match=run)
    wrong = log.add("match_run", {"planned": "noon"}, match=run)
    state = log.state()
    assert (state.runs[run].planned, state.runs[run].actual, state.runs[run].ours) == (
        moment_of("10:20"),
        moment_of("10:57"),
        "red 1",
    )
    assert [item.entry_id for item in state.conflicts] == [wrong.id]


def picture(state: State) -> dict:
    """What a state says, without the numbers of arrival."""

    def told(table):
        return {
            key: [(fact.id, fact.at, fact.entry.body) for fact in facts]
            for key, facts in table.items()
            if facts
        }

    readings = {
        key: [(fact.id, fact.at, fact.verdict, fact.sentence) for fact in facts]
        for key, facts in state.readings.items()
    }
    return {
        "readings": {key: facts for key, facts in readings.items() if facts},
        "lists": [
            told(table)
            for table in (state.part_changes, state.battery_moves, state.battery_tests, state.skips)
        ],
        "faults": {
            name: (item.state, item.deferral, item.conflicts, item.changed_at)
            for name, item in state.faults.items()
        },
        "temporaries": {
            name: (item.open, item.what, item.undone and item.undone.id)
            for name, item in state.temporaries.items()
        },
        "runs": state.runs,
        "flat": told({"returned": state.returned, "debriefs": state.debriefs}),
        "conflicts": sorted((item.entry_id, item.sentence) for item in state.conflicts),
        "clearances": [fact.id for fact in state.clearances],
    }


DEFINITIONS = define()
VALUES = st.sampled_from([3.0, 8.8, 10.0, 13.0])
CLOCKS = st.integers(0, 59).map(lambda minute: f"{9 + minute // 20}:{minute:02d}")


@st.composite
def histories(draw):
    """A log with facts and decisions, and another order of arrival in which the decisions keep
    theirs."""
    log = Log(DEFINITIONS)
    decisions = []
    for _ in range(draw(st.integers(1, 12))):
        at = draw(CLOCKS)
        kind = draw(
            st.sampled_from(
                [
                    "read",
                    "fault",
                    "change",
                    "battery",
                    "temporary",
                    "run",
                    "move",
                    "correct",
                    "undo",
                    "clear",
                ]
            )
        )
        faults = [entry for entry in log.entries if entry.kind == "fault"]
        if kind == "read":
            log.read(
                "chain-slack",
                CHAIN,
                draw(VALUES),
                at,
                offset=draw(st.sampled_from([None, 0.0, 600.0, -600.0])),
            )
        elif kind == "change":
            log.add("part_change", {"part": CHAIN, "identical": True}, at)
        elif kind == "battery":
            log.add(
                "battery_move", {"battery": draw(st.sampled_from(["1", "2"])), "to": "robot"}, at
            )
        elif kind == "temporary":
            log.add("temporary", {"part": CHAIN, "what": "pin"}, at)
        elif kind == "undo" and any(entry.kind == "temporary" for entry in log.entries):
            start = draw(
                st.sampled_from([entry for entry in log.entries if entry.kind == "temporary"])
            )
            log.add("temporary_undone", {"temporary": start.id}, at)
        elif kind == "run":
            log.run(draw(st.sampled_from(["9", "10"])), at)
        elif kind == "move" and faults:
            to = draw(st.sampled_from(["open", "deferred", "repaired", "proven", "no_fault_found"]))
            decisions.append(log.move(draw(st.sampled_from(faults)), to, at).seq - 1)
        elif kind == "correct" and any(entry.kind == "reading" for entry in log.entries):
            target = draw(
                st.sampled_from([entry for entry in log.entries if entry.kind == "reading"])
            )
            body = draw(st.sampled_from([None, 3.0, 13.0]))
            decisions.append(
                log.correct(target, None if body is None else body_with(target, body)).seq - 1
            )
        elif kind == "clear":
            decisions.append(
                log.add("clearance", {"decision": "cleared", "seen_seq": 0}, at).seq - 1
            )
        else:
            log.fault(CHAIN, at=at)
    order = draw(st.permutations(range(len(log.entries))))
    kept = iter(decisions)
    return log, [next(kept) if place in decisions else place for place in order]


@settings(max_examples=150, deadline=None)
@given(histories())
def test_the_same_history_in_any_order_of_arrival_gives_the_same_state(history):
    log, order = history
    assert picture(log.shuffled(order)) == picture(log.state())


@settings(max_examples=60, deadline=None)
@given(histories())
def test_advancing_one_by_one_gives_the_same_state_as_all_at_once(history):
    log, _ = history
    state = State("UTC")
    for entry in log.entries:
        state.advance([entry])
    assert picture(state) == picture(log.state())


def test_nothing_happens_after_it_was_received():
    """A clock three hours ahead that no one measured: the reading counts as of its receipt, so it
    proves no later repair."""
    ahead = {"id": "x", "kind": "note", "at": "2026-03-07T13:00:00Z", "body": {"text": "x"}}
    assert corrected(Entry(**ahead, received_at="2026-03-07T10:00:00Z")) == parse_instant(
        "2026-03-07T10:00:00Z"
    )
    measured = Entry(**ahead, offset=-10800.0, received_at="2026-03-07T10:00:05Z")
    assert corrected(measured) == parse_instant("2026-03-07T10:00:00Z")


def test_a_still_state_is_not_moved_by_later_entries():
    log = Log()
    log.read("chain-slack", CHAIN, 5, "09:00")
    state = log.state()
    still = state.still()
    log.read("chain-slack", CHAIN, 13, "08:00")
    log.add("fault", {"part": CHAIN, "symptom": "loose", "grade": "stop"}, "10:00")
    state.advance(log.entries[still.head :])
    assert (verdicts(still), still.head, still.faults, list(still.touches)) == (
        ["ok"],
        1,
        {},
        [CHAIN],
    )
    assert (len(verdicts(state)), state.head, len(state.faults)) == (2, 3, 1)
