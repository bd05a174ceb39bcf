"""A log restored from an older copy: phones bring back what it lost, and a made-up number changes
nothing."""

from typing import Any

import pytest

from pitcrew.pit.verify import verify_folder
from tests.exchange.conftest import CHAIN, Laptop, Phone


def crew_of_two(laptop: Laptop) -> tuple[Phone, Phone]:
    return laptop.join("Ivo", seed=1), laptop.join("Mira", seed=2)


def test_what_the_copy_lacked_comes_back_from_the_phones(laptop: Laptop) -> None:
    ivo, mira = crew_of_two(laptop)
    ivo.note("before")
    ivo.exchange()
    copy, old_log = laptop.copy(), laptop.pit.journal.log
    lost = [
        ivo.note("lost 1"),
        mira.make("fault", part=CHAIN, symptom="slack", grade="watch"),
        ivo.note("lost 2"),
    ]
    for phone in (ivo, mira, ivo):
        phone.exchange()
    sealed = {record["id"]: record["seal"] for record in laptop.records()}
    laptop.restore(copy)
    assert set(lost) & set(laptop.ids()) == set()

    assert ivo.exchange() == 200
    assert laptop.pit.journal.log != old_log
    assert set(lost) <= set(laptop.ids()), (
        "Ivo alone brought his own and what he had read of Mira's"
    )
    by_id = {record["id"]: record for record in laptop.records()}
    assert (
        by_id[lost[1]]["origin"]["proven"] and by_id[lost[1]]["origin"]["seal"] == sealed[lost[1]]
    )
    mira.exchange()
    ivo.exchange()
    assert [phone.replica for phone in (ivo, mira)] == [laptop.records()] * 2
    assert len(set(laptop.ids())) == len(laptop.ids())
    assert not verify_folder(laptop.folder).bad


def test_a_log_that_went_another_way_since_the_copy(laptop: Laptop) -> None:
    """The copy was written on before the phone came back, so its numbers are taken by other
    entries: the seal shows it."""
    ivo, mira = crew_of_two(laptop)
    ivo.exchange()
    copy = laptop.copy()
    lost = [ivo.note(f"lost {number}") for number in range(3)]
    ivo.exchange()
    laptop.restore(copy)
    others = [mira.note(f"new {number}") for number in range(6)]
    mira.exchange()
    assert ivo.exchange() == 200
    assert mira.exchange() == 200
    assert {*lost, *others} <= set(laptop.ids()) and len(set(laptop.ids())) == len(laptop.ids())
    ivo.exchange()
    assert ivo.replica == mira.replica == laptop.records()


@pytest.mark.parametrize(
    "change",
    [
        {"seal": "0" * 64},
        {"body": {"text": "never written"}},
        {"seq": 4_000_000},
        {"person": "Somebody else"},
    ],
)
def test_a_made_up_entry_changes_nothing(laptop: Laptop, change: dict[str, Any]) -> None:
    ivo, _ = crew_of_two(laptop)
    copy = laptop.copy()
    ivo.note()
    ivo.exchange()
    laptop.restore(copy)
    before = (laptop.pit.journal.log, laptop.records())
    made_up = {**ivo.proof()["proof"], **change}
    status, answer = ivo.post(
        ivo.request(after=made_up["seq"], proof=made_up, previous=ivo.proof()["previous"])
    )
    assert status == 409 and "safe on this phone" in answer["error"]
    assert (laptop.pit.journal.log, laptop.records()) == before


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"proof": None},
        {"proof": {}},
        {"proof": [1]},
        {"proof": "x"},
        {"proof": {"seq": 9000}},
        {"proof": {"seq": 9000}, "previous": 7},
    ],
)
def test_a_mere_number_changes_nothing(laptop: Laptop, more: dict[str, Any]) -> None:
    ivo, _ = crew_of_two(laptop)
    ivo.exchange()
    before = (laptop.pit.journal.log, laptop.records())
    status, answer = ivo.post(ivo.request(after=9000, **more))
    assert (status, answer["field"]) == (409, "after")
    assert (laptop.pit.journal.log, laptop.records()) == before


def test_a_genuine_entry_that_is_still_here_brings_no_new_log(laptop: Laptop) -> None:
    ivo, _ = crew_of_two(laptop)
    ivo.note()
    ivo.exchange()
    log = laptop.pit.journal.log
    assert ivo.post(ivo.request(entries=[], **ivo.proof()))[0] == 200
    assert laptop.pit.journal.log == log
