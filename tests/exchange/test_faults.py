"""What can go wrong between a phone and the laptop, one after the other; each time: what was lost?
nothing. Doubled? nothing.

Faults within the phone alone (its storage is full or lost while the app is open, an old worker
while a page uploads) are tried in a real browser, in tests/browser.
"""

import copy as copying
import json
import shutil
import threading
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from pitcrew.base.errors import BadInput
from pitcrew.exchange.bundle import hand_in, make_bundle, read_bundle
from pitcrew.exchange.sync import MOST_ENTRIES
from pitcrew.pit.tls import CertificateFiles, ensure_leaf, fingerprint, names_in_leaf
from tests.exchange.conftest import CHAIN, Laptop, Phone

PICTURE = (Path(__file__).parents[2] / "static" / "icons" / "icon-192.png").read_bytes()
Answer = tuple[int, dict[str, Any]]


class Lost(Exception):
    """An answer that never arrived."""


def lose(status: int, answer: dict[str, Any]) -> Answer:
    raise Lost


def nothing_lost_nothing_doubled(laptop: Laptop, made: list[str], *phones: Phone) -> None:
    """Every entry is in the log once, and phones that exchange hold the same log."""
    times = Counter(laptop.ids())
    assert [name for name in made if times[name] == 0] == [], "lost"
    assert [name for name, count in times.items() if count > 1] == [], "doubled"
    for phone in phones:
        assert phone.exchange() == 200 and not phone.unsent
    for phone in phones:
        phone.exchange()
        assert phone.replica == laptop.records()


@pytest.fixture
def ivo(laptop: Laptop) -> Phone:
    return laptop.join("Ivo", seed=1)


@pytest.fixture
def mira(laptop: Laptop) -> Phone:
    return laptop.join("Mira", seed=2)


def test_1_the_answer_is_lost_after_the_commit(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note(str(number)) for number in range(5)]
    for _ in range(3):
        with pytest.raises(Lost):
            ivo.exchange(lose)
    assert len(ivo.unsent) == 5, "the phone keeps what was not answered"
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_2_the_request_is_cut_in_the_middle(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note(str(number)) for number in range(5)]
    whole = json.dumps(ivo.request()).encode()
    for cut in (0, 1, len(whole) // 2, len(whole) - 1):
        answer = laptop.client().post(
            "/api/entries", data=whole[:cut], headers={"Authorization": f"Bearer {ivo.token}"}
        )
        assert answer.status_code == 400 and not set(made) & set(laptop.ids())
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_3_the_same_is_pushed_at_once_from_two_tabs(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note(str(number)) for number in range(40)]
    body, answers = ivo.request(), []
    threads = [threading.Thread(target=lambda: answers.append(ivo.post(body))) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({json.dumps(answer["accepted"]) for _, answer in answers}) == 1, (
        "each is told the same numbers"
    )
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_4_and_5_a_part_is_taken_around_poison_in_the_middle(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note("before")]
    poison = [
        ivo.make("note", text="x" * 5000),
        ivo.make("reading", check="no-such-check", part=CHAIN),
        ivo.make("clearance", decision="cleared", seen_seq=1),
        ivo.make("no_such_kind", a=1),
        ivo.make("fault", part=CHAIN),
    ]
    made += [ivo.note("after")]
    assert ivo.exchange() == 200
    assert set(ivo.refused) == set(poison) and all(ivo.refused.values()), (
        "kept apart, each with its reason"
    )
    assert {item.id: item.error for item in laptop.pit.quarantine.held()} == ivo.refused, (
        "on the laptop as on the phone"
    )
    nothing_lost_nothing_doubled(laptop, made, ivo)


@pytest.mark.parametrize("status", [500, 502, 503, 426, 401, 404])
def test_6_something_in_between_answers_instead(laptop: Laptop, ivo: Phone, status: int) -> None:
    """Proxies, portals, a server of tomorrow: no status but 200 lets anything go."""
    made = [ivo.note()]
    assert ivo.exchange(lambda *_: (status, {})) == status and list(ivo.unsent) == made
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_6_too_much_at_once_is_halved(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note(str(number)) for number in range(MOST_ENTRIES + 50)]
    everything = list(ivo.unsent.values())
    assert ivo.post(ivo.request(entries=everything))[0] == 413 and not set(made) & set(laptop.ids())
    assert (
        ivo.post(
            ivo.request(
                entries=[{**entry, "body": {"text": "x" * 3000}} for entry in everything[:150]]
            )
        )[0]
        == 413
    )
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_6_errors_are_json_and_never_lead_elsewhere(laptop: Laptop) -> None:
    """A login page with 200 looks like success to a script; the exchange answers 401 in its own
    form."""
    answer = laptop.client().post(
        "/api/entries", json={}, headers={"Authorization": "Bearer nobody"}
    )
    assert (answer.status_code, answer.mimetype) == (
        401,
        "application/json",
    ) and "safe" not in answer.headers.get("Location", "")


def test_7_the_server_dies_between_storing_and_answering(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note(str(number)) for number in range(5)]

    def die(*_: Any) -> Answer:
        laptop.restart()
        raise Lost

    with pytest.raises(Lost):
        ivo.exchange(die)
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_8_the_log_is_restored_from_an_older_copy(laptop: Laptop, ivo: Phone, mira: Phone) -> None:
    made = [ivo.note("early"), mira.note("early")]
    ivo.exchange()
    backup = laptop.copy()
    made += [ivo.note("late"), mira.note("late")]
    mira.exchange()
    ivo.exchange()
    laptop.restore(backup)
    mira.exchange()
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo, mira)


def test_9_the_log_is_replaced_by_an_empty_one(laptop: Laptop, ivo: Phone, mira: Phone) -> None:
    made = [phone.note(str(number)) for number in range(4) for phone in (ivo, mira)]
    ivo.exchange()
    mira.exchange()
    laptop.stop()
    (laptop.folder / "logbook.jsonl").unlink()
    laptop.start()
    mira.exchange()
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo, mira)


def test_10_a_phone_is_cloned(laptop: Laptop, ivo: Phone) -> None:
    """A backup of the phone is put onto another one: same token, two streams of entries."""
    made = [ivo.note("before")]
    clone = copying.copy(ivo)
    clone.unsent, clone.accepted, clone.random = (
        dict(ivo.unsent),
        dict(ivo.accepted),
        type(ivo.random)(99),
    )
    made += [ivo.note("here"), clone.note("there")]
    ivo.exchange()
    clone.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo, clone)


def test_11_a_phone_has_lost_its_storage(laptop: Laptop, ivo: Phone) -> None:
    """What it had handed over is on the laptop; it joins again as another device and reads all of
    it."""
    made = [ivo.note(str(number)) for number in range(3)]
    ivo.exchange()
    again = laptop.join("Ivo", seed=7)
    made.append(again.note("with a new device"))
    again.exchange()
    nothing_lost_nothing_doubled(laptop, made, again)


@pytest.mark.parametrize(
    "fast",
    [5 * 365 * 86400.0, -86400.0, 3600.0, -9 * 365 * 86400.0],
    ids=["5 years", "-1 day", "1 hour", "-9 years"],
)
def test_12_a_phone_clock_is_wrong(laptop: Laptop, ivo: Phone, mira: Phone, fast: float) -> None:
    """Nothing is refused; the readings are in the order in which they were taken, whatever the
    clock said."""
    made, numbers = [], []
    for number, phone in enumerate([ivo, mira, ivo, mira]):
        ivo.fast = fast
        value = {"travel": {"typed": str(10 + number), "value": 10 + number, "unit": "mm"}}
        numbers.append(phone.make("reading", check="chain-slack", part=CHAIN, inputs=value))
        laptop.clock.later(60)
    made += numbers
    for phone in (mira, ivo):
        phone.exchange()
    with laptop.pit.reading() as state:
        assert [fact.id for fact in state.readings[f"chain-slack@{CHAIN}"]] == numbers
        assert (
            abs(
                (
                    state.readings[f"chain-slack@{CHAIN}"][0].at
                    - (laptop.clock() - timedelta(seconds=240))
                ).total_seconds()
            )
            < 0.01
        )
    raw = next(record for record in laptop.records() if record["id"] == numbers[0])
    assert raw["offset"] == -fast, "the raw time is kept beside the measured error"
    nothing_lost_nothing_doubled(laptop, made, ivo, mira)


def test_12_a_clock_that_jumps_backwards_between_two_entries(laptop: Laptop, ivo: Phone) -> None:
    ivo.fast = 7200
    made = [ivo.note("first")]
    ivo.fast = -7200
    made.append(ivo.note("second"))
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_13_the_app_is_killed_while_it_uploads(laptop: Laptop, ivo: Phone) -> None:
    """It starts again with what its database held before the answer."""
    made = [ivo.note(str(number)) for number in range(3)]
    before = dict(ivo.unsent)
    ivo.exchange()
    ivo.unsent, ivo.accepted, ivo.log, ivo.replica = before, {}, None, []
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


@pytest.mark.parametrize(
    "change",
    [
        lambda body: {name: body[name] for name in ("log", "after", "entries")},
        lambda body: (
            body
            | {
                "entries": [
                    {k: v for k, v in entry.items() if k != "shape"} for entry in body["entries"]
                ]
            }
        ),
        lambda body: body | {"build": "f00ba4", "schema": 9, "later": {"a": [1]}},
    ],
    ids=["the first version", "entries without a shape", "fields of tomorrow"],
)
def test_17_an_old_or_new_app_meets_this_server(
    laptop: Laptop, ivo: Phone, change: Callable[[Any], Any]
) -> None:
    made = [ivo.note()]
    status, answer = ivo.post(change(ivo.request()))
    assert status == 200 and [item["id"] for item in answer["accepted"]] == made
    ivo.take(answer)
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_18_the_address_changes_and_the_certificate_is_issued_anew(
    laptop: Laptop, ivo: Phone
) -> None:
    files, host = CertificateFiles(laptop.folder), "pit-1.local"
    ensure_leaf(files, host, ["192.168.7.2"], laptop.clock())
    root = fingerprint(files)
    assert ensure_leaf(files, host, ["172.20.10.3"], laptop.clock())
    laptop.clock.now += timedelta(days=400)
    assert ensure_leaf(files, host, ["172.20.10.3"], laptop.clock()), "the old one has run out"
    assert fingerprint(files) == root and {"172.20.10.3", host} <= names_in_leaf(files)
    made = [ivo.note()]
    headers = {"Authorization": f"Bearer {ivo.token}"}
    answer = laptop.client().post(
        "/api/entries", json=ivo.request(), headers=headers, base_url="https://172.20.10.3:8443"
    )
    ivo.take(answer.get_json())
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_19_a_cursor_beyond_the_head(laptop: Laptop, ivo: Phone) -> None:
    made = [ivo.note()]
    ivo.exchange()
    made.append(ivo.note("unsent"))
    status, answer = ivo.post(ivo.request(after=10**12))
    assert (status, answer["field"]) == (409, "after") and "safe on this phone" in answer["error"]
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_20_the_same_bundle_twice_out_of_order_and_cut(laptop: Laptop, ivo: Phone) -> None:
    device = laptop.pit.roster.device_of_token(ivo.token).id
    made, bundles = [], []
    for number in range(3):
        made.append(ivo.note(str(number)))
        bundles.append(
            make_bundle(device, "Ivo", "", "2026-03-07T10:00:00Z", list(ivo.unsent.values()))
        )
    with pytest.raises(BadInput):
        read_bundle(bundles[2][:-9])
    for raw in (bundles[1], bundles[2], bundles[0], bundles[2]):
        assert hand_in(laptop.pit, read_bundle(raw), "lead").refused == []
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_21_a_slow_link_breaks_in_the_middle_of_a_photo(laptop: Laptop, ivo: Phone) -> None:
    """The entry is there at once; the photo goes on from where it was, also after a restart of the
    laptop."""
    photo = "0195d1a2-0000-7000-8000-000000000001"
    made = [ivo.make("fault", part=CHAIN, symptom="bent", grade="watch", photos=[photo])]
    ivo.exchange()
    headers = {"Authorization": f"Bearer {ivo.token}"}
    sent = 0
    while sent < len(PICTURE):
        part = PICTURE[sent : sent + 1000]
        place = f"bytes {sent}-{sent + len(part) - 1}/{len(PICTURE)}"
        laptop.client().put(
            f"/api/photos/{photo}", data=part, headers=headers | {"Content-Range": place}
        )
        laptop.restart()
        sent = int(laptop.client().head(f"/api/photos/{photo}", headers=headers).headers["X-Held"])
    assert (
        laptop.client()
        .put(f"/api/photos/{photo}", data=PICTURE, headers=headers)
        .get_json()["complete"]
    )
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_22_a_phone_is_withdrawn_with_a_full_outbox(laptop: Laptop, ivo: Phone) -> None:
    """It is told that what it holds is kept; joined again, it hands over everything."""
    made = [ivo.note(str(number)) for number in range(3)]
    laptop.pit.roster.withdraw(laptop.pit.roster.device_of_token(ivo.token).id)
    status, answer = ivo.post(ivo.request())
    assert status == 401 and "kept" in answer["error"] and len(ivo.unsent) == 3
    ivo.token = laptop.join("Ivo").token
    ivo.exchange()
    nothing_lost_nothing_doubled(laptop, made, ivo)


def test_23_two_laptops_both_believe_that_they_are_the_pits(
    laptop: Laptop, ivo: Phone, mira: Phone
) -> None:
    """A copy of the folder was served on another laptop: the same log went two ways. The seals show
    it, and phones bring both together."""
    made = [ivo.note("both have it")]
    ivo.exchange()
    mira.exchange()
    second = Laptop(
        Path(shutil.copytree(laptop.folder, laptop.folder.with_name("second"))), laptop.clock
    )
    mira.laptop = second
    made += [ivo.note(f"here {number}") for number in range(3)] + [
        mira.note(f"there {number}") for number in range(5)
    ]
    ivo.exchange()
    mira.exchange()
    second.stop()
    mira.laptop = laptop
    for phone in (mira, ivo, mira):
        assert phone.exchange() == 200
    nothing_lost_nothing_doubled(laptop, made, ivo, mira)
