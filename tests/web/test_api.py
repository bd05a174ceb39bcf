"""The exchange as a phone meets it: joining, the snapshot, entries in and out, and everything that
can be wrong with them."""

import json
from datetime import timedelta
from typing import Any, get_type_hints

import msgspec
import pytest
from flask import Flask

from pitcrew.domain.now.snapshot_shape import Snapshot
from pitcrew.exchange.sync import MOST_BYTES, MOST_ENTRIES
from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, LEAD, SLACK, Client, Hands, count, entry, join, slack


def error_of(answer: Any, status: int) -> str:
    """The sentence of an error in the one shape that errors have."""
    assert answer.status_code == status, answer.text
    body = answer.get_json()
    assert set(body) == {"error", "field", "status"} and body["status"] == status
    return body["error"]


def test_join_with_the_right_code(app: Flask, pit: Pit) -> None:
    code = pit.roster.make_code("captain", timedelta(minutes=15))
    answer = app.test_client().post(
        "/api/join", json={"code": code, "name": " Mira  Sund ", "device": "phone"}
    )
    body = answer.get_json()
    assert (answer.status_code, body["person"], body["role"]) == (200, "Mira Sund", "captain")
    assert pit.roster.device_of_token(body["token"]).id == body["device"]
    assert "Set-Cookie" not in answer.headers


@pytest.mark.parametrize(
    ("body", "status", "said"),
    [
        ({"code": "AAAA-AAAA", "name": "Ivo", "device": ""}, 403, "not known, used up or too old"),
        ({"code": 7, "name": "Ivo", "device": ""}, 400, "must be texts"),
        (["code"], 400, "JSON object"),
    ],
)
def test_join_with_something_wrong(app: Flask, body: Any, status: int, said: str) -> None:
    assert said in error_of(app.test_client().post("/api/join", json=body), status)


def test_what_is_not_json_is_said_to_be_unreadable(app: Flask) -> None:
    assert "could not be read" in error_of(
        app.test_client().post("/api/join", data="{", content_type="application/json"), 400
    )


def test_wrong_and_missing_tokens_are_turned_away_in_json(app: Flask, lead: Client) -> None:
    """The page session of a joined browser does not count: the exchange is deaf to cookies."""
    for headers in ({}, {"Authorization": "Bearer nonsense"}, {"Authorization": "Basic abc"}):
        assert "join" in error_of(lead.flask.get("/api/snapshot", headers=headers), 401).lower()
        assert (
            "join"
            in error_of(lead.flask.post("/api/entries", json={}, headers=headers), 401).lower()
        )


def test_the_snapshot_holds_what_a_phone_needs(pit: Pit, crew: Client) -> None:
    before = pit.journal.head()
    snapshot = crew.flask.get("/api/snapshot", headers=crew.bearer).get_json()
    assert (snapshot["log"], snapshot["head"], snapshot["person"]) == (
        pit.journal.log,
        before[0],
        {"name": "Ivo", "role": "crew"},
    )
    assert snapshot["next"]["run"] == "fjord/14/1"
    assert {zone["id"] for zone in snapshot["robot"]["zones"]} == set(pit.definitions.robot.zones)
    check = next(item for item in snapshot["checks"] if item["key"] == SLACK)
    assert check["limit"]["stop_high"] == pit.definitions.part_checks[SLACK].limit.stop_high
    assert check["drawing"].startswith("<svg") and check["due"] and check["ask"]
    assert pit.journal.head() == before


def test_the_snapshot_has_the_shape_that_stands_in_the_code(
    pit: Pit, crew: Client, lead: Client
) -> None:
    """Each field that a shape names is there with its kind, and no other: a script may rely on
    it."""
    pit.record("reading", slack(pit, 10), LEAD)
    pit.record("fault", {"part": CHAIN, "symptom": "Rattles", "grade": "degraded"}, LEAD)
    pit.record("temporary", {"part": CHAIN, "what": "Taped"}, LEAD)
    found = crew.flask.get("/api/snapshot", headers=crew.bearer).get_json()
    lists = [name for name, value in found.items() if isinstance(value, list)]
    assert lists and all(found[name] for name in lists), "a list that is empty shows nothing"
    read = msgspec.json.decode(msgspec.json.encode(msgspec.convert(found, Snapshot)))
    assert set(read) == set(get_type_hints(Snapshot))
    assert read == {name: found[name] for name in read}, "fields that no shape names"


def test_entries_are_taken_and_come_back_sealed(pit: Pit, crew: Client) -> None:
    offered = entry(pit, "reading", slack(pit, 10), match="fjord/14/1")
    answer = crew.exchange([offered], log=pit.journal.log, after=count(pit)).get_json()
    assert (
        answer["accepted"] == [{"id": offered["id"], "seq": answer["head"]}]
        and answer["refused"] == []
    )
    (stored,) = answer["entries"]
    assert (stored["person"], stored["seq"], stored["match"]) == (
        "Ivo",
        answer["head"],
        "fjord/14/1",
    )
    assert len(stored["seal"]) == 64
    with pit.reading() as state:
        assert state.readings[SLACK][-1].verdict == "ok"


def test_the_same_entry_twice_is_one_entry(pit: Pit, crew: Client) -> None:
    offered = entry(pit, "note", {"text": "once"})
    first = crew.exchange([offered]).get_json()["accepted"]
    assert crew.exchange([offered]).get_json()["accepted"] == first
    changed = crew.exchange([offered | {"body": {"text": "twice"}}]).get_json()
    assert changed["accepted"] == [] and "other content" in changed["refused"][0]["error"]


def test_one_bad_entry_does_not_hold_up_the_rest(pit: Pit, crew: Client) -> None:
    good, later = entry(pit, "note", {"text": "a"}), entry(pit, "note", {"text": "b"})
    bad = [
        entry(pit, "note", {"text": 7}),
        entry(pit, "nonsense", {}),
        entry(pit, "note", {"text": "c"}) | {"id": "x"},
        "no entry",
        entry(pit, "reading", slack(pit, 10) | {"check": "chain-slak"}),
        entry(pit, "clearance", {"decision": "cleared", "seen_seq": 1}),
        entry(pit, "match_run", {"ours": "red 1"}, match="fjord/30/1"),
        entry(pit, "note", {"text": "d"}) | {"seq": 1},
        entry(pit, "note", {"text": "e"}) | {"match": "fjord"},
        entry(pit, "note", {"text": "f"}) | {"at": "yesterday"},
    ]
    answer = crew.exchange([good, *bad, later]).get_json()
    assert [item["id"] for item in answer["accepted"]] == [good["id"], later["id"]]
    assert [item["field"] for item in answer["refused"]] == [
        "body.text",
        "kind",
        "id",
        "entries",
        "body.check",
        "kind",
        "kind",
        "seq",
        "match",
        "at",
    ]
    assert "Nearest: chain-slack" in answer["refused"][4]["error"]
    assert "made on their page" in answer["refused"][5]["error"]
    assert "crew may not write a change of the schedule" in answer["refused"][6]["error"]


def test_person_and_device_come_from_the_token(pit: Pit, crew: Client) -> None:
    answer = crew.exchange(
        [entry(pit, "note", {"text": "a"}, person="Ada", device="laptop")]
    ).get_json()
    assert answer["entries"][-1]["person"] == "Ivo"


def test_the_phone_clock_is_measured(pit: Pit, crew: Client, clock: Hands) -> None:
    """A phone 3 h ahead: its time is kept as it came, the corrected one is derived."""
    ahead = clock.now + timedelta(hours=3)
    offered = entry(pit, "reading", slack(pit, 10)) | {"at": ahead.isoformat()}
    answer = crew.exchange([offered], sent_at=ahead.isoformat()).get_json()
    assert answer["entries"][-1]["offset"] == -3 * 3600
    with pit.reading() as state:
        assert state.readings[SLACK][-1].at == clock.now


def test_the_worse_verdict_stands(pit: Pit, crew: Client) -> None:
    crew.exchange([entry(pit, "reading", slack(pit, 40) | {"verdict": "ok", "limit": None})])
    with pit.reading() as state:
        fact = state.readings[SLACK][-1]
    assert (fact.verdict, fact.conflict_with_phone != "") == ("stop", True)
    page = crew.get(f"/readings/{fact.id}")
    assert "The phone showed ok" in page


def test_a_known_log_is_read_on_and_another_from_the_start(pit: Pit, crew: Client) -> None:
    head = count(pit)
    assert crew.exchange([], log=pit.journal.log, after=head).get_json()["entries"] == []
    assert len(crew.exchange([], log="another", after=head).get_json()["entries"]) == head
    assert len(crew.exchange([], log=None, after=head).get_json()["entries"]) == head


def test_long_logs_come_in_portions(pit: Pit, crew: Client) -> None:
    for _ in range(3):
        crew.exchange([entry(pit, "note", {"text": "n"}) for _ in range(MOST_ENTRIES)])
    first = crew.exchange([], log=pit.journal.log, after=0).get_json()
    assert (len(first["entries"]), first["more"]) == (500, True)
    rest = crew.exchange([], log=pit.journal.log, after=500).get_json()
    assert rest["more"] is False and rest["entries"][-1]["seq"] == count(pit)


def test_a_restored_log_is_told(pit: Pit, crew: Client) -> None:
    before = count(pit)
    sentence = error_of(
        crew.exchange([entry(pit, "note", {"text": "a"})], log=pit.journal.log, after=before + 5),
        409,
    )
    assert sentence.startswith("Your entries are safe on this phone.")
    assert count(pit) == before


def test_too_much_at_once(pit: Pit, crew: Client) -> None:
    many = [entry(pit, "note", {"text": "n"}) for _ in range(MOST_ENTRIES + 1)]
    assert "Send half" in error_of(crew.exchange(many), 413)
    large = json.dumps({"entries": [entry(pit, "note", {"text": "x" * 3000}) for _ in range(100)]})
    assert len(large) > MOST_BYTES
    assert "Send half" in error_of(
        crew.flask.post("/api/entries", data=large, headers=crew.bearer), 413
    )


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"entries": {}}, "entries"),
        ({"after": -1}, "after"),
        ({"after": "5"}, "after"),
        ({"log": 5}, "log"),
        ({"sent_at": "noon"}, "sent_at"),
        ({"sent_at": 5}, "sent_at"),
    ],
)
def test_a_request_out_of_shape_names_its_field(
    crew: Client, body: dict[str, Any], field: str
) -> None:
    answer = crew.flask.post("/api/entries", json=body, headers=crew.bearer)
    assert error_of(answer, 400) and answer.get_json()["field"] == field


def test_nested_json_does_not_break_the_server(crew: Client) -> None:
    answer = crew.flask.post("/api/entries", data="[" * 100_000, headers=crew.bearer)
    assert error_of(answer, 400)


def test_the_crew_may_not_defer(app: Flask, pit: Pit, crew: Client) -> None:
    """Whether to play with a fault is not the crew's to say, through whatever door it comes."""
    fault = entry(pit, "fault", {"part": CHAIN, "symptom": "slack", "grade": "stop"})
    move = entry(
        pit,
        "fault_move",
        {"fault": fault["id"], "to": "deferred", "why": "late", "until": "fjord/14/1"},
    )
    answer = crew.exchange([fault, move]).get_json()
    assert [item["id"] for item in answer["accepted"]] == [fault["id"]]
    assert "may not defer" in answer["refused"][0]["error"]
    allowed = join(app, pit, "mentor", "Lis").exchange([move]).get_json()
    assert [item["id"] for item in allowed["accepted"]] == [move["id"]]
