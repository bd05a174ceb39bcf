"""What a phone keeps, in a real browser over a real server: its storage full, lost or cleared, its
clock wrong, answers lost or strange, the laptop's log gone. Each case says what was lost and what
was doubled: nothing."""

import shutil
from collections import Counter
from datetime import timedelta

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from pitcrew.base.clock import system_clock
from tests.browser.kept import READ
from tests.browser.phone import SIZE, Phone, note

pytestmark = pytest.mark.browser
FULL = """() => {
  window.realPut = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) {
    const request = window.realPut.apply(this, given);
    Object.defineProperty(this.transaction, "error", { get: () => new DOMException("no room", "QuotaExceededError") });
    this.transaction.abort();
    return request;
  };
}"""
"""How a browser's storage that is full answers: the transaction is cut off, with this as its error.
(The developer tools' own quota for an origin no longer reaches the database in Chromium 156,
measured.)"""


def test_a_full_phone_says_so_and_loses_nothing(phone):
    phone.context.set_offline(True)
    phone.go("/now")
    phone.tab.evaluate(FULL)
    first, second = note("no room for this"), note("room again")
    phone.keep(first)
    phone.tab.wait_for_selector("text=In this page only, not safe yet: 1.")
    assert "storage is full" in phone.says("[data-unsent]") and phone.unsent() == []
    phone.tab.evaluate("() => { IDBObjectStore.prototype.put = window.realPut; }")
    phone.keep(second)
    by_id = sorted(
        [first, second], key=lambda entry: entry["id"]
    )  # made in one millisecond, they have no order of their own
    assert phone.unsent() == by_id, "what was in the page only is written with the next"
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times([first, second]) == [1, 1]


def test_a_lost_connection_to_the_database_is_opened_again(phone):
    """As iOS loses it on resume: every transaction on the old handle fails."""
    phone.context.set_offline(True)
    phone.go("/now")
    phone.keep(note("before"))
    phone.tab.evaluate("""() => {
      const real = IDBDatabase.prototype.transaction;
      let lost = 2;
      IDBDatabase.prototype.transaction = function (...wanted) {
        if (lost-- > 0) throw new DOMException("Connection to Indexed Database server lost. Refresh the page to try again", "UnknownError");
        return real.apply(this, wanted);
      };
    }""")
    phone.keep(note("after"))
    assert [entry["body"]["text"] for entry in phone.unsent()] == ["before", "after"]
    assert phone.tab.locator("text=not safe yet").count() == 0
    entries = phone.unsent()
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times(entries) == [1, 1]


def test_cleared_site_data_under_an_open_page_loses_nothing_that_the_page_holds(phone):
    phone.context.set_offline(True)
    phone.go("/now")
    session = phone.context.new_cdp_session(phone.tab)
    session.send(
        "Storage.clearDataForOrigin", {"origin": phone.laptop.url, "storageTypes": "indexeddb"}
    )
    phone.keep(note("kept after the clearing"))
    entries = phone.unsent()
    assert len(entries) == 1
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times(entries) == [1]


@pytest.mark.parametrize("year", [2001, 2031])
def test_a_wrong_clock_is_kept_raw_and_measured(browser, laptop, year):
    context = browser.new_context(viewport=SIZE)
    phone = Phone(context, laptop)
    phone.join()
    context.clock.install(time=f"{year}-03-07T10:00:00Z")
    phone.measure("9.7")
    (item,) = [item for item in phone.kept() if item["entry"]["kind"] == "reading"]
    phone.hand_over()
    (record,) = [record for record in laptop.records() if record["id"] == item["id"]]
    assert record["at"].startswith(f"{year}-03-07") and abs(record["offset"]) > 365 * 86_400
    assert (record["offset"] > 0) == (year < 2026)
    off = "years " + ("behind" if record["offset"] > 0 else "ahead")
    phone.go(f"/readings/{record['id']}")
    assert off in phone.says() and f"it showed {year}-03-07" in phone.says()
    phone.go("/people")
    assert off in phone.says()
    context.set_offline(True)
    phone.go("/handing-over")
    phone.tab.wait_for_selector(f"main >> text={off} the laptop's")
    context.close()


def test_a_clock_that_was_set_back_is_said_and_loses_nothing(browser, laptop):
    """Between what the laptop said and now: the countdown cannot be known, the readings keep their
    order by the correction."""
    context = browser.new_context(viewport=SIZE)
    phone = Phone(context, laptop).join()
    phone.measure("9.7")
    phone.hand_over()
    phone.rest()  # the snapshot is read by the right clock
    context.set_offline(True)
    context.clock.install(time=system_clock() - timedelta(days=1, hours=2))
    phone.go("/now")
    phone.tab.wait_for_selector("text=This phone's clock was set back since")
    later = note("after the clock was set back")
    phone.keep(later)
    context.set_offline(False)
    phone.hand_over()
    assert laptop.times([later]) == [1]
    (record,) = [record for record in laptop.records() if record["id"] == later["id"]]
    assert 24 * 3600 < record["offset"] < 27 * 3600
    context.close()


def test_two_tabs_are_one_phone(phone):
    phone.context.set_offline(True)
    other = phone.open_tab()
    phone.measure("9.7")
    phone.measure("9.9", other)
    entries = phone.unsent()
    assert len(entries) == 2
    phone.context.set_offline(False)
    for tab in (phone.tab, other):
        tab.evaluate("dispatchEvent(new Event('online'))")
    phone.hand_over()
    assert phone.laptop.times(entries) == [1, 1]
    for tab in (phone.tab, other):
        tab.wait_for_selector("[data-unsent]", state="hidden")


def test_a_refused_entry_is_shown_with_its_reason_and_blocks_nothing(phone):
    wrong = note("no such part") | {
        "kind": "reading",
        "body": {"check": "chain-slack", "part": "lift.rope", "inputs": {}},
    }
    right = note("this one is fine")
    phone.go("/now")
    phone.keep(wrong, right)
    phone.hand_over()
    assert phone.laptop.times([wrong, right]) == [0, 1]
    states = {item["id"]: item for item in phone.kept()}
    assert states[wrong["id"]]["state"] == "refused" and "lift.rope" in states[wrong["id"]]["error"]
    phone.tab.wait_for_selector("text=Refused by the laptop, still kept here (reading)")
    phone.go("/people")
    assert "lift.rope" in phone.says("#refused"), "on the laptop too"


@pytest.mark.parametrize(
    "answer",
    [
        {"status": 200, "content_type": "text/html", "body": "<h1>Welcome to the venue</h1>"},
        {"status": 502, "content_type": "application/json", "body": '{"error": "bad gateway"}'},
        {
            "status": 200,
            "content_type": "application/json",
            "body": '{"log": "x", "head": 0, "accepted": [], "refused": [], "entries": []}',
        },
    ],
    ids=["a portal's page", "a gateway's error", "an answer that takes nothing"],
)
def test_a_strange_answer_lets_go_of_nothing(phone, answer):
    phone.context.route("**/api/entries", lambda route: route.fulfill(**answer))
    phone.measure("9.7")
    entries = phone.unsent()
    phone.tab.wait_for_selector("[data-unsent]:not([hidden])")
    assert len(entries) == 1 and len(phone.unsent()) == 1
    phone.context.unroute("**/api/entries")
    phone.hand_over()
    assert phone.laptop.times(entries) == [1]


def test_an_answer_that_is_lost_after_the_laptop_stored_doubles_nothing(phone):
    def lost(route):
        route.fetch()
        route.abort()

    phone.context.route("**/api/entries", lost)
    phone.measure("9.7")
    entries = phone.unsent()
    phone.tab.wait_for_timeout(500)
    assert len(phone.unsent()) == 1
    phone.context.unroute("**/api/entries")
    phone.hand_over()
    assert phone.laptop.times(entries) == [1]


def test_entries_of_the_first_version_move_over(phone):
    old = note("kept by an older version")
    phone.context.set_offline(True)
    phone.go("/now")
    phone.tab.evaluate(
        "(entry) => localStorage.setItem('pitcrew.unsent', JSON.stringify([{ entry }]))", old
    )
    phone.tab.reload()
    phone.until("localStorage.getItem('pitcrew.unsent') === null")
    assert [entry["id"] for entry in phone.unsent()] == [old["id"]]
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times([old]) == [1]


def test_what_was_accepted_beyond_the_logs_end_is_offered_again(phone):
    """The phone was cut off before it read what it had just handed over, and the log was put back:
    its place in the log shows nothing."""
    first, second = note("accepted and lost"), note("new")
    phone.context.set_offline(True)
    phone.go("/now")
    phone.keep(first)
    phone.settle(phone.laptop.health()["log"], 10**6, first)
    phone.keep(second)
    phone.context.set_offline(False)
    phone.hand_over()
    phone.until(f"({READ})('outbox').then((items) => items.every((item) => item.seq < 10 ** 6))")
    assert phone.laptop.times([first, second]) == [1, 1]


def test_a_laptop_with_an_empty_logbook_gets_everything_back(browser, own_laptop):
    """Its database was replaced: what was acknowledged is offered again, by those who made it and
    by those who read it."""
    laptop = own_laptop
    phones = [
        Phone(browser.new_context(viewport=SIZE), laptop).join(name) for name in ("Ivo", "Ada")
    ]
    for phone in phones:
        phone.measure("9.7")
        phone.hand_over()
    everything = {record["id"] for record in laptop.records() if record["kind"] == "reading"}
    phones[1].go("/now")
    while not everything <= {item["id"] for item in phones[1].kept("replica")}:
        phones[1].tab.wait_for_timeout(50)
    assert len(everything) == 2
    laptop.kill()
    (laptop.folder / "logbook.jsonl").unlink()
    laptop.start()
    phones[1].go("/now")
    for _ in range(150):
        found = Counter(record["id"] for record in laptop.records() if record["kind"] == "reading")
        if set(found) == everything:
            break
        phones[1].tab.wait_for_timeout(100)
    assert found == dict.fromkeys(everything, 1), "one phone alone brings back what both made"
    for phone in phones:
        phone.context.close()


def test_a_laptop_restored_from_an_older_copy_gets_what_came_after(browser, own_laptop, tmp_path):
    laptop = own_laptop
    phone = Phone(browser.new_context(viewport=SIZE), laptop).join()
    shutil.copy(laptop.folder / "logbook.jsonl", tmp_path / "older.jsonl")
    before = laptop.health()["log"]
    phone.measure("9.7")
    phone.hand_over()
    everything = {record["id"] for record in laptop.records()}
    laptop.kill()
    shutil.copy(tmp_path / "older.jsonl", laptop.folder / "logbook.jsonl")
    laptop.start()
    phone.go("/now")
    for _ in range(150):
        if everything <= {record["id"] for record in laptop.records()}:
            break
        phone.tab.wait_for_timeout(100)
    found = Counter(record["id"] for record in laptop.records())
    assert everything <= set(found) and max(found.values()) == 1
    assert laptop.health()["log"] != before
    phone.context.close()
