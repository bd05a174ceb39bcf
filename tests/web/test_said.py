"""Sentences that the phone and the laptop put into entries say what they are made of."""

import msgspec
import pytest

from pitcrew.base.entries import read_body
from pitcrew.base.kinds.kind import Said
from pitcrew.base.spoken import MADE
from pitcrew.domain.checks.limits import limit_as_dict
from pitcrew.domain.checks.limitshape import limit_from_dict
from pitcrew.domain.checks.saying import text_of
from pitcrew.pit.pit import Pit
from tests.data.write_verdicts import bundled
from tests.web.conftest import LEAD, Client
from tests.web.node import needs_node, run

CHECK = "chain-slack@lift.chain.left"
MADE_ON_PHONE = """
  const { faultEntry, photoNote, readingEntry, symptomOf } = await js("pages/walk/entries.js");
  const { judge } = await js("lib/verdict.js");
  const { snapshot, check, inputs } = given;
  const symptom = symptomOf(check, inputs);
  const fault = { symptom: symptom.text, grade: "stop", reading: null, photos: [] };
  return [
    readingEntry(snapshot, check, inputs, judge(check.limit, inputs)),
    faultEntry(snapshot, check.part, fault, symptom),
    faultEntry(snapshot, check.part, { ...fault, symptom: "It rattles" }, symptom),
    photoNote({ id: "f", symptom: "It rattles", robot: null, match: null }, "p"),
  ];
"""


def as_checked(key: str = CHECK) -> dict:
    """A check as the snapshot gives it, as far as an entry needs it."""
    item = bundled()[key]
    inputs = [
        {"name": field.name, "label": field.label, "unit_label": field.unit}
        for field in item.check.inputs
    ]
    return {
        "check": item.check.id,
        "part": item.part.id,
        "label": item.check.label,
        "inputs": inputs,
        "limit": limit_as_dict(item.limit),
    }


@needs_node
def test_what_a_phone_writes_can_be_made_from_key_and_numbers() -> None:
    """Half an inch is 12.7 mm exactly."""
    inputs = {
        "travel": {"typed": "0.5 in", "value": 0.5, "unit": "in"},
        "measured": {
            "typed": "up and down together",
            "value": "up and down together",
            "unit": None,
        },
    }
    check = as_checked()
    given = {"snapshot": {}, "check": check, "inputs": inputs}
    reading, fault, own, photo = (entry["body"] for entry in run(MADE_ON_PHONE, given))
    said = read_body("reading", reading).said
    assert said.text == text_of(limit_from_dict(check["limit"]), said)
    assert said.numbers["result"] == pytest.approx(0.0127)
    for kind, body, shown in (("fault", fault, "symptom"), ("note", photo, "text")):
        said = read_body(kind, body).said
        assert MADE[said.key].format_map(said.words) == said.text == body[shown]
    assert fault["said"]["numbers"] == {"travel": pytest.approx(0.0127)}
    assert "said" not in own, "somebody's own words"


def test_the_laptop_says_what_its_own_judgement_is_made_of(pit: Pit) -> None:
    """A phone's reading without limit and verdict: the laptop adds what it found."""
    inputs = {"travel": {"typed": "90 mm", "value": 90.0, "unit": "mm"}}
    check, part = CHECK.split("@")
    entry = pit.record("reading", {"check": check, "part": part, "inputs": inputs}, LEAD)
    judged = entry.judged or {}
    said = msgspec.convert(judged["said"], Said)
    assert judged["sentence"] == text_of(limit_from_dict(judged["limit"]), said)


def test_what_a_phone_says_is_never_believed(pit: Pit) -> None:
    """The text of a forged entry reaches no screen: what is shown follows from its inputs."""
    inputs = {"travel": {"typed": "90 mm", "value": 90.0, "unit": "mm"}}
    check, part = CHECK.split("@")
    said = {"key": "ok", "numbers": {"result": 0.01}, "text": "All is well."}
    body = {"check": check, "part": part, "inputs": inputs, "verdict": "ok", "said": said}
    entry = pit.record("reading", body, LEAD)
    with pit.reading() as state:
        fact = state.facts[entry.id]
    assert fact.verdict != "ok" and "All is well" not in fact.sentence


def test_a_corrected_symptom_is_somebodys_own(pit: Pit, crew: Client) -> None:
    """The key and numbers of the old words do not stand beside new ones."""
    from pitcrew.web.correction_forms import FaultCorrection

    said = {"key": "typed", "words": {"check": "Chain slack", "typed": "13 mm"}}
    now = {"part": "lift.chain.left", "symptom": "Chain slack: 13 mm", "said": said}
    with crew.flask.application.test_request_context():
        for symptom, kept in (("Chain slack: 13 mm", said), ("It rattles", None)):
            form = FaultCorrection(formdata=None, data={**now, "symptom": symptom, "grade": "stop"})
            assert form.body(now).get("said") == kept
