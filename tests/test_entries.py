"""Entries: strict shapes, well-formed ids, one canonical text."""

from datetime import UTC, datetime

import pytest

from pitcrew.base.entries import (
    Entry,
    as_dict,
    canonical,
    check_maker_fields,
    from_dict,
    new_id,
    read_body,
    schemas,
)
from pitcrew.base.errors import BadInput, UnknownName
from pitcrew.base.kinds import BODIES

NOW = datetime(2026, 3, 7, 10, 31, 5, 120_000, UTC)


def entry(**fields: object) -> Entry:
    given = {
        "id": new_id(NOW),
        "kind": "note",
        "at": "2026-03-07T10:31:05.120Z",
        "body": {"text": "chain feels rough"},
    } | fields
    return from_dict(given)


def test_ids_are_version_7_and_carry_the_time() -> None:
    """RFC 9562 section 5.7: 48 bits of Unix milliseconds, version 7, variant 10."""
    made = new_id(NOW)
    assert int(made.replace("-", "")[:12], 16) == 1772879465120
    assert made[14] == "7"
    assert made[19] in "89ab"
    assert len({new_id(NOW) for _ in range(1000)}) == 1000


def test_an_entry_survives_being_stored() -> None:
    found = entry(match="fjord/12/1")
    assert from_dict(as_dict(found)) == found


def test_canonical_text_does_not_depend_on_the_order_of_fields() -> None:
    assert (
        canonical({"b": 1, "a": {"d": 2.5, "c": "Ø"}}) == '{"a":{"c":"Ø","d":2.5},"b":1}'.encode()
    )
    assert canonical({"a": {"c": "Ø", "d": 2.5}, "b": 1}) == canonical(
        {"b": 1, "a": {"d": 2.5, "c": "Ø"}}
    )


def test_an_unknown_kind_names_the_nearest() -> None:
    with pytest.raises(UnknownName, match="Nearest: reading"):
        check_maker_fields(entry(kind="readin"))


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"body": {"text": 3}}, "body.text"),
        ({"body": {"text": "x", "texd": "y"}}, "body"),
        ({"body": {}}, "body.text"),
        (
            {"kind": "fault", "body": {"part": "a.b", "symptom": "s", "grade": "awful"}},
            "body.grade",
        ),
        ({"at": "yesterday"}, "at"),
        ({"at": "2026-03-07T10:31:05"}, "at"),
        ({"id": "7"}, "id"),
        ({"match": "12"}, "match"),
        ({"body": {"text": "x" * 4001}}, "body.text"),
        ({"body": {"text": "bell\x07"}}, "body.text"),
    ],
)
def test_what_is_wrong_is_named(fields: dict, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        check_maker_fields(entry(**fields))
    assert caught.value.field == field


def test_bodies_are_read_as_their_struct() -> None:
    assert read_body(entry().kind, entry().body).text == "chain feels rough"


def test_every_kind_has_a_schema_that_forbids_unknown_fields() -> None:
    found = schemas()
    assert set(found["kinds"]) == {*BODIES, "entry"}
    for kind in BODIES:
        name = found["kinds"][kind]["$ref"].removeprefix("#/$defs/")
        assert found["$defs"][name]["additionalProperties"] is False
