"""A stop on what the climb hangs on that a correction took out stays on Climb until the captain has
seen it; and whoever reads an entry sees that it was corrected, or that nothing proves it."""

import re
from typing import Any

import pytest
from flask import Flask

from pitcrew.domain.climb.withdrawn import withdrawn_stops
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.schedule import next_run
from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, SLACK, Client, entry, join, last, slack, words
from tests.web.test_signing import PIN, captain, check_all, ready, sign

__all__ = ["captain", "ready"]

FAULT = {"part": "climb.ratchet", "symptom": "chipped tooth", "grade": "stop"}


def open_stops(pit: Pit) -> list[str]:
    with pit.reading() as state:
        return [
            stop.sentence
            for stop in withdrawn_stops(
                Moment(pit.definitions, state, pit.clock(), next_run(state, pit.clock()))
            )
        ]


def withdraw(
    pit: Pit, runa: Client, of: dict[str, Any], body: dict[str, Any] | None = None
) -> None:
    change = entry(pit, "correction", {"of": of["id"], "body": body, "why": "it was dirt"})
    assert runa.exchange([change]).get_json()["refused"] == []


@pytest.mark.parametrize(
    "body", [None, {**FAULT, "grade": "watch"}, {**FAULT, "part": "drive.fl.wheel"}]
)
def test_a_withdrawn_stop_stays_open_until_the_captain_signs_over_it(
    app: Flask, ready: Pit, captain: Client, body: Any
) -> None:
    runa = join(app, ready, "crew", "Runa")
    made = entry(ready, "fault", FAULT)
    runa.exchange([made])
    assert open_stops(ready) == [], "it stands"
    withdraw(ready, runa, made, body)
    told = (
        "Climb ratchet and drum: the fault 'chipped tooth' (Runa) was taken out by Runa, who"
        ' wrote "it was dirt"'
    )
    assert [told[-60:]] == [item[-60:] for item in open_stops(ready)]
    page = words(captain.get("/climb"))
    assert "Stops that were taken out" in page and "it was dirt" in page
    assert "By signing or refusing you say that you have seen the stop that was taken out." in page
    check_all(ready)
    assert "Stops that were taken out" not in sign(captain)
    assert open_stops(ready) == []


def test_a_refusal_says_that_it_was_seen_as_well_but_only_over_a_screen_that_showed_it(
    app: Flask, ready: Pit, captain: Client
) -> None:
    runa = join(app, ready, "crew", "Runa")
    made = entry(ready, "fault", FAULT)
    runa.exchange([made])
    before = re.search(r'name="refuse-seen_seq"[^>]*value="(\d+)"', captain.get("/climb"))
    withdraw(ready, runa, made)
    refusal = {"refuse-pin": PIN, "refuse-why": "ask Runa"}
    assert before
    captain.post("/climb/refuse", {**refusal, "refuse-seen_seq": before[1]})
    assert len(open_stops(ready)) == 1, "that screen did not show it"
    captain.post("/climb/refuse", {**refusal, "refuse-seen_seq": str(ready.journal.head()[0])})
    assert open_stops(ready) == []


def test_a_reading_that_was_stop_counts_by_its_verdict_and_other_parts_do_not(
    app: Flask, ready: Pit, captain: Client
) -> None:
    runa = join(app, ready, "crew", "Runa")
    with ready.reading() as state:
        rope = state.readings["rope-diameter@climb.rope"][-1].entry.body
    thin = {**rope, "inputs": {"thin": {"typed": "1 mm", "value": 1, "unit": "mm"}}}
    made, elsewhere = entry(ready, "reading", thin), entry(ready, "reading", slack(ready, 60))
    runa.exchange([made, elsewhere])
    with ready.reading() as state:
        assert [state.facts[item["id"]].verdict for item in (made, elsewhere)] == ["stop", "stop"]
    withdraw(ready, runa, made, rope)
    withdraw(ready, runa, elsewhere, slack(ready, 10))
    assert len(open_stops(ready)) == (
        2 if ready.definitions.robot.parts[CHAIN].climb_critical else 1
    )


def test_corrected_and_unverified_are_shown_where_the_entry_is(
    app: Flask, pit: Pit, lead: Client
) -> None:
    runa, ivo = join(app, pit, "crew", "Runa"), join(app, pit, "crew", "Ivo")
    made = entry(pit, "reading", slack(pit, 60))
    runa.exchange([made])
    change = entry(
        pit, "correction", {"of": made["id"], "body": slack(pit, 10), "why": "typed wrong"}
    )
    lead.exchange([change])
    fault = entry(
        pit,
        "fault",
        {"part": CHAIN, "symptom": "slack", "grade": "degraded"},
        person="Eskil",
        device="x",
        origin={"log": "0" * 32, "seq": 0, "seal": ""},
    )
    tied = entry(
        pit,
        "temporary",
        {"part": CHAIN, "what": "tied", "blocks": False},
        person="Eskil",
        device="x",
        origin=fault["origin"],
    )
    assert ivo.exchange([fault, tied]).get_json()["refused"] == []
    for page in (f"/readings/{made['id']}", f"/parts/{CHAIN}"):
        assert "Runa , corrected by Ada" in words(lead.get(page)), page
    assert "Eskil , unverified" in words(lead.get(f"/faults/{fault['id']}"))
    assert "unverified" in words(lead.get("/faults")) and "Eskil , unverified" in words(
        lead.get("/temporary")
    )
    with pit.reading() as state:
        assert state.readings[SLACK][-1].marks == ("corrected by Ada",)
        assert state.faults[fault["id"]].marks == ("unverified",)
    assert last(pit, "fault").origin["by"]["person"] == "Ivo"
    snapshot = lead.flask.get("/api/snapshot", headers=lead.bearer).get_json()
    assert [item["marks"] for item in snapshot["faults"] if item["id"] == fault["id"]] == [
        ["unverified"]
    ]
    assert [item["last"]["marks"] for item in snapshot["checks"] if item["key"] == SLACK] == [
        ["corrected by Ada"]
    ]
