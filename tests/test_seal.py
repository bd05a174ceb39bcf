"""Seals: HMAC-SHA-256 chained over the canonical JSON of each entry."""

import hashlib
import hmac
import json

import pytest

from pitcrew.base.errors import BadInput
from pitcrew.base.seal import first_bad, head_text, read_head, seal_of, short

KEY = bytes(range(32))


def chain(length: int) -> list[dict]:
    records, previous = [], ""
    for seq in range(1, length + 1):
        record = {"id": f"e{seq}", "kind": "note", "body": {"text": f"n {seq}"}, "seq": seq}
        record["seal"] = previous = seal_of(KEY, previous, record)
        records.append(record)
    return records


def test_a_seal_is_a_plain_hmac_of_the_standard_library() -> None:
    """RFC 2104 with SHA-256, by Python's own hmac over json with sorted keys."""
    record = {"seq": 2, "id": "e2", "body": {"b": 1, "a": "ø"}}
    text = json.dumps(record, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    assert seal_of(KEY, "ab", record) == hmac.new(KEY, b"ab" + text, hashlib.sha256).hexdigest()


def test_a_whole_chain_holds() -> None:
    assert first_bad(KEY, chain(20)) is None


def test_altered_removed_and_reordered_entries_are_named() -> None:
    altered = chain(9)
    altered[4]["body"] = {"text": "other"}
    assert "Entry 5 (note, e5)" in first_bad(KEY, altered)
    removed = chain(9)
    del removed[3]
    assert first_bad(KEY, removed).startswith("Entry 4 is missing")
    swapped = chain(9)
    swapped[6], swapped[7] = swapped[7], swapped[6]
    assert first_bad(KEY, swapped).startswith("Entry 7 is missing or out of order")
    assert first_bad(bytes(32), chain(3)).startswith("Entry 1")


def test_a_head_is_printed_and_read_back() -> None:
    seal = chain(3)[2]["seal"]
    seq, digits = read_head(head_text(3, seal))
    assert (seq, seal.startswith(digits), len(digits)) == (3, True, 12)
    assert short("") == ""


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "12",
        "12:",
        ":abcd",
        "x:abcdef012345",
        "12:zzzz-zzzz",
        "²:abcdef012345",
        "9" * 5000 + ":abcdef012345",
    ],
)
def test_what_is_no_head_is_said(typed: str) -> None:
    with pytest.raises(BadInput, match="not a head"):
        read_head(typed)
