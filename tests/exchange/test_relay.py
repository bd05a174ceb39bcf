"""Entries by way of others: who made them stays, and what no one can prove counts for no more than
its bringer may."""

import json
from typing import Any

import pytest

from pitcrew.pit.relay import adopted_lines, relayed
from tests.exchange.conftest import CHAIN, Laptop, Phone

NUMBERED = {"travel": {"typed": "12,0", "value": 12.0, "unit": "mm"}}


def other_laptop(laptop: Laptop, tmp_path: Any) -> Laptop:
    """An empty laptop with the same key, as after a loss."""
    copy = laptop.copy("other")
    (copy / "logbook.jsonl").unlink()
    return Laptop(copy, laptop.clock)


def day(laptop: Laptop) -> Phone:
    """A phone that holds a log of two people's work, with a reading that the server judged and a
    slow clock."""
    ivo, mira = laptop.join("Ivo", seed=1), laptop.join("Mira", seed=2)
    mira.fast = -3600.0
    mira.make("reading", check="chain-slack", part=CHAIN, inputs=NUMBERED)
    mira.make("fault", part=CHAIN, symptom="slack", grade="stop")
    mira.exchange()
    ivo.note()
    ivo.exchange()
    return ivo


def offer(phone: Phone, items: list[Any]) -> dict[str, Any]:
    return phone.post({"log": None, "after": 0, "entries": items})[1]


def as_javascript(value: Any) -> Any:
    """A value after the way through a phone: whole floats have become integers."""
    return json.loads(
        json.dumps(value),
        parse_float=lambda text: int(float(text)) if float(text).is_integer() else float(text),
    )


def test_proven_by_the_seal_after_the_way_through_a_phone(laptop: Laptop, tmp_path: Any) -> None:
    ivo = day(laptop)
    second = other_laptop(laptop, tmp_path)
    ivo.laptop = second
    items = [as_javascript(relayed(record, ivo.log or "")) for record in ivo.replica]
    answer = offer(ivo, items)
    assert answer["refused"] == []
    adopted = [record for record in second.records() if "origin" in record]
    assert [record["origin"]["proven"] for record in adopted] == [True] * len(ivo.replica)
    judged = next(record for record in adopted if record["kind"] == "reading")
    assert (judged["person"], judged["offset"]) == ("Mira", 3600.0)
    assert (
        judged["judged"]
        == next(record for record in laptop.records() if record["kind"] == "reading")["judged"]
    )
    second.stop()


@pytest.mark.parametrize(
    "change",
    [
        {"person": "Ada"},
        {"at": "2026-03-07T08:00:00.000Z"},
        {"body": {"text": "forged"}},
        {"device": "another"},
    ],
)
def test_an_altered_entry_is_unverified(
    laptop: Laptop, tmp_path: Any, change: dict[str, Any]
) -> None:
    ivo = day(laptop)
    second = other_laptop(laptop, tmp_path)
    ivo.laptop = second
    items = [relayed(record, ivo.log or "") for record in ivo.replica]
    offer(ivo, [*items[:-1], {**items[-1], **change}])
    assert [record["origin"]["proven"] for record in second.records() if "origin" in record] == [
        True
    ] * (len(items) - 1) + [False]
    second.stop()


def test_what_is_missing_is_named(laptop: Laptop, tmp_path: Any) -> None:
    """Without the entry before it a seal proves nothing, so the one after a gap is unverified."""
    ivo = day(laptop)
    for _ in range(8):
        ivo.note()
    ivo.exchange()
    second = other_laptop(laptop, tmp_path)
    ivo.laptop = second
    log = ivo.log or ""
    offer(
        ivo, [relayed(record, log) for record in ivo.replica if record["seq"] not in (3, 6, 7, 8)]
    )
    total = len(ivo.replica)
    assert adopted_lines(second.records()) == [
        (
            f"From log {log[:8]}: {total - 4} entries, {total - 6} proven by their seal, 2"
            " unverified; missing: 3, 6-8."
        ),
    ]
    second.stop()


def test_a_made_up_number_costs_nothing(laptop: Laptop) -> None:
    """The gap before it is named, not walked: an entry can never be taken out of the log again."""
    ivo = day(laptop)
    origin = {"log": "made up", "seq": 2**53, "seal": "x"}
    offer(
        ivo,
        [
            {
                **relayed(ivo.replica[-1], "x"),
                "id": ivo.replica[-1]["id"][:-4] + "0009",
                "origin": origin,
            }
        ],
    )
    (line,) = adopted_lines(laptop.records())
    assert (
        line == "From log made up: 1 entries, 0 proven by their seal, 1 unverified; missing:"
        f" 1-{2**53 - 1}."
    )


def test_a_crew_phone_cannot_bring_decisions_of_others(laptop: Laptop) -> None:
    """Unverified, an entry is held to its bringer's role, and signatures are not taken at all (a
    clearance never counts)."""
    ivo = day(laptop)
    fault = next(record for record in laptop.records() if record["kind"] == "fault")
    origin = {"log": "made up", "seq": 5, "seal": "0" * 64}
    base = {"at": fault["at"], "device": "captains", "person": "Ada", "origin": origin}
    move = {"fault": fault["id"], "to": "deferred", "why": "no", "until": "x"}
    deferred = {**base, "id": fault["id"][:-4] + "0001", "kind": "fault_move", "body": move}
    approved = {
        **base,
        "id": fault["id"][:-4] + "0002",
        "kind": "approval",
        "body": {"of": fault["id"], "decision": "approved"},
    }
    loaded = {
        **base,
        "id": fault["id"][:-4] + "0003",
        "kind": "definitions",
        "body": {"digests": {}},
    }
    cleared = {
        **base,
        "id": fault["id"][:-4] + "0004",
        "kind": "clearance",
        "body": {"decision": "cleared", "seen_seq": 3},
    }
    answer = offer(ivo, [deferred, approved, loaded, cleared])
    assert [item["id"] for item in answer["refused"]] == [
        deferred["id"],
        approved["id"],
        loaded["id"],
    ]
    with laptop.pit.reading() as state:
        assert (
            state.clearances[-1].entry.origin is not None
            and state.faults[fault["id"]].state == "open"
        )


@pytest.mark.parametrize(
    "origin",
    [
        None,
        {},
        7,
        {"log": "x", "seq": "1", "seal": "x"},
        {"log": "x", "seq": 1, "seal": None},
        [],
        {"log": 1},
        {"log": "x", "seq": -1, "seal": "x"},
        {"log": "x", "seq": 2**70, "seal": "x"},
    ],
)
def test_an_origin_that_says_nothing_is_refused_alone(laptop: Laptop, origin: Any) -> None:
    ivo = day(laptop)
    item = {
        **relayed(ivo.replica[-1], "x"),
        "id": ivo.replica[-1]["id"][:-4] + "0009",
        "origin": origin,
    }
    fine = {**relayed(ivo.replica[-1], "x"), "id": ivo.replica[-1]["id"][:-4] + "0010"}
    answer = offer(ivo, [item, fine])
    assert [entry["id"] for entry in answer["refused"]] == [item["id"]] and [
        entry["id"] for entry in answer["accepted"]
    ] == [fine["id"]]


def test_what_this_log_holds_already_is_known(laptop: Laptop) -> None:
    ivo = day(laptop)
    before = laptop.records()
    answer = offer(ivo, [as_javascript(relayed(record, "elsewhere")) for record in ivo.replica])
    assert answer["refused"] == [] and laptop.records() == before
