"""Someone else's STOP stands: the author of an entry is a person on a device, and what nothing
proves may do no more than who brings it."""

from typing import Any

import pytest
from flask import Flask

from pitcrew.domain.checks.limits import limit_as_dict
from pitcrew.exchange.bundle import hand_in, make_bundle, read_bundle
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, SLACK, Client, entry, join, slack

ORIGIN = {"log": "0" * 32, "seq": 0, "seal": ""}


@pytest.fixture
def runa(app: Flask, pit: Pit) -> Client:
    return join(app, pit, "crew", "Runa")


@pytest.fixture
def stop(pit: Pit, runa: Client) -> dict[str, Any]:
    """Runa's reading of a chain that is far too slack."""
    made = entry(pit, "reading", slack(pit, 60))
    assert runa.exchange([made]).get_json()["refused"] == []
    assert verdict(pit) == "stop"
    return made


def verdict(pit: Pit) -> str:
    with pit.reading() as state:
        return state.readings[SLACK][-1].verdict if state.readings.get(SLACK) else "none"


def better(pit: Pit, stop: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    """Corrections that would take the STOP out: to a good number, and to nothing."""
    return [
        entry(pit, "correction", {"of": stop["id"], "body": body, "why": "typed wrong"}, **more)
        for body in (slack(pit, 10), None)
    ]


def device_of(pit: Pit, client: Client) -> str:
    return pit.roster.device_of_token(client.token).id


def test_its_author_on_the_same_device_corrects_it(pit: Pit, runa: Client, stop: dict) -> None:
    assert runa.exchange(better(pit, stop)[:1]).get_json()["refused"] == []
    assert verdict(pit) == "ok"


def test_the_pit_lead_corrects_it(pit: Pit, lead: Client, stop: dict) -> None:
    assert lead.exchange(better(pit, stop)[:1]).get_json()["refused"] == []
    assert verdict(pit) == "ok"


@pytest.mark.parametrize("name", ["Runa", "RUNA", "Ivo"])
def test_a_phone_that_joined_under_the_authors_name_does_not(
    app: Flask, pit: Pit, stop: dict, name: str
) -> None:
    other = join(app, pit, "crew", name)
    answer = other.exchange(better(pit, stop)).get_json()
    assert len(answer["refused"]) == 2 and verdict(pit) == "stop"
    assert "Only its author" in answer["refused"][0]["error"]


@pytest.mark.parametrize(
    "origin",
    [
        ORIGIN,
        ORIGIN | {"seq": 7, "seal": "f" * 64},
        ORIGIN | {"by": {"role": "lead", "person": "Runa"}},
    ],
)
@pytest.mark.parametrize("role", ["crew", "captain"])
def test_an_invented_origin_does_not(
    app: Flask, pit: Pit, runa: Client, stop: dict, role: str, origin: dict
) -> None:
    other = join(app, pit, role, "Ivo")
    for person, device in (("Runa", device_of(pit, runa)), ("Ada", "x"), ("", "")):
        made = better(pit, stop, person=person, device=device, origin=origin)
        assert len(other.exchange(made).get_json()["refused"]) == 2
    assert verdict(pit) == "stop"


def test_a_correction_sent_before_its_entry_has_come_does_not(
    app: Flask, pit: Pit, runa: Client
) -> None:
    """The door does not know the entry yet, so the fold decides."""
    made = entry(pit, "reading", slack(pit, 60))
    twin, ivo = join(app, pit, "crew", "Runa"), join(app, pit, "crew", "Ivo")
    early = better(pit, made)
    assert twin.exchange(early[:1]).get_json()["refused"] == []
    relayed = {**early[1], "person": "Runa", "device": device_of(pit, runa), "origin": ORIGIN}
    assert ivo.exchange([relayed]).get_json()["refused"] == []
    runa.exchange([made])
    assert verdict(pit) == "stop"
    with pit.reading() as state:
        assert len(state.conflicts) == 2


def test_a_file_that_says_it_is_runas_does_not(
    app: Flask, pit: Pit, runa: Client, stop: dict
) -> None:
    ivo = join(app, pit, "crew", "Ivo")
    raw = make_bundle(device_of(pit, runa), "Runa", "", "2026-03-07T09:10:00Z", better(pit, stop))
    done = hand_in(pit, read_bundle(raw), "crew", by=Author(device_of(pit, ivo), "Ivo", "crew"))
    assert len(done.refused) == 2 and verdict(pit) == "stop"
    answer = ivo.flask.post("/api/hand-in", data=raw, headers=ivo.bearer).get_json()
    assert len(answer["refused"]) == 2 and verdict(pit) == "stop"


def test_what_a_strange_phone_made_and_corrected_itself_comes_as_it_stands(
    app: Flask, pit: Pit
) -> None:
    made = entry(pit, "reading", slack(pit, 60))
    raw = make_bundle(
        "0123456789abcdef", "Eskil", "", "2026-03-07T09:10:00Z", [made, *better(pit, made)[:1]]
    )
    done = hand_in(pit, read_bundle(raw), "crew", by=Author("d", "Ivo", "crew"))
    assert (done.new, done.refused) == (2, []) and verdict(pit) == "ok"


def test_who_brings_a_deferral_by_file_does_not_second_it(app: Flask, pit: Pit) -> None:
    """Otherwise a captain alone would be two people: by a file in the lead's name, and by their own
    PIN."""
    from pitcrew.domain.logbook.secondnames import deferral_confirmed

    captain = join(app, pit, "captain", "Mira")
    device = device_of(pit, captain)
    fault = pit.record(
        "fault",
        {"part": CHAIN, "symptom": "slack", "grade": "stop"},
        Author(device, "Mira", "captain"),
    )
    body = {
        "fault": fault.id,
        "to": "deferred",
        "why": "holds",
        "until": "fjord/18/1",
        "restriction": "half speed",
    }
    move = entry(pit, "fault_move", body, person="Ada", device="x", origin=ORIGIN)
    assert captain.exchange([move]).get_json()["refused"] == []
    pit.record(
        "approval", {"of": move["id"], "decision": "approved"}, Author(device, "Mira", "captain")
    )
    with pit.reading() as state:
        assert state.faults[fault.id].deferral and not deferral_confirmed(
            state, state.faults[fault.id]
        )
    pit.record(
        "approval", {"of": move["id"], "decision": "approved"}, Author("m", "Vera", "mentor")
    )
    with pit.reading() as state:
        assert deferral_confirmed(state, state.faults[fault.id])


def test_a_correction_that_brings_a_loose_limit_of_its_own_is_judged_by_the_laptops(
    pit: Pit, runa: Client, stop: dict
) -> None:
    known = pit.definitions.part_checks[SLACK].limit
    assert known
    limit = {**limit_as_dict(known), "stop_high": 10.0, "watch_high": None}
    loose = {**stop["body"], "limit": limit, "verdict": "ok"}
    runa.exchange([entry(pit, "correction", {"of": stop["id"], "body": loose, "why": "better"})])
    assert verdict(pit) == "stop"


@pytest.mark.parametrize(
    "wrong",
    [
        {"inputs": []},
        {"inputs": {"travel": 3}},
        {"inputs": {"travel": {"typed": 3, "value": {}}}},
        {"inputs": None},
        {"check": 5},
    ],
)
def test_a_correction_that_cannot_be_read_stops_nothing_and_counts_for_nothing(
    pit: Pit, runa: Client, stop: dict, wrong: dict[str, Any]
) -> None:
    """It came with a note; the note is kept, and the stop stands."""
    body = slack(pit, 10) | wrong
    sent = [
        entry(pit, "correction", {"of": stop["id"], "body": body, "why": "x"}),
        entry(pit, "note", {"text": "all is well"}),
    ]
    answer = runa.exchange(sent)
    assert answer.status_code == 200 and sent[1]["id"] in str(answer.get_json())
    assert verdict(pit) == "stop" and runa.get(f"/corrections/{stop['id']}")


def test_a_correction_with_a_match_that_names_no_run_does_not_count(
    pit: Pit, runa: Client, stop: dict
) -> None:
    body = {"of": stop["id"], "body": slack(pit, 10), "why": "x", "match": "eleven"}
    runa.exchange([entry(pit, "correction", body)])
    assert verdict(pit) == "stop"
