"""The phone alone, in a real browser over a real server: with the network off, with the laptop dead, and everything that can go
wrong on a phone. Each case says what was lost and what was doubled: nothing."""

import shutil
from collections import Counter

import pytest

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from axe_playwright_python.sync_playwright import Axe  # noqa: E402

from tests.browser.chromium import FLAGS, chromium_path  # noqa: E402
from tests.browser.laptop import SLACK, Laptop  # noqa: E402
from tests.browser.phone import SIZE, Phone  # noqa: E402

pytestmark = pytest.mark.browser
WCAG = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
PAGES = {
    "/now": "Hold", f"/walk?check={SLACK}": "Before hands go in", "/faults": "Repaired, proof wanted", "/faults/new": "Which part",
    "/batteries": "Batteries", "/climb": "Signing needs the laptop",
    "/climb/lowering": "Nobody under the robot", "/schedule": "Match 12", "/handing-over": "The laptop's receipt",
    "/people": "needs the laptop",
}


@pytest.fixture(scope="module")
def started():
    with playwright.sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def browser(started):
    chromium = started.chromium.launch(executable_path=chromium_path(), headless=True, args=FLAGS)
    yield chromium
    chromium.close()


@pytest.fixture(scope="module")
def shared(tmp_path_factory):
    """One laptop for all tests that leave it alive or bring it back."""
    laptop = Laptop(tmp_path_factory.mktemp("pit") / "pit").make()
    yield laptop
    laptop.kill()


@pytest.fixture
def laptop(shared):
    if shared.process is None:
        shared.start()
    return shared


@pytest.fixture
def phone(browser, laptop):
    """A joined phone that can work alone; an error of its pages fails the test."""
    context = browser.new_context(viewport=SIZE, has_touch=True, is_mobile=True)
    joined = Phone(context, laptop).join()
    yield joined
    context.close()
    assert joined.complaints == []


def off(phone, how):
    """Take the network away, or the laptop."""
    if how == "network off":
        phone.context.set_offline(True)
    else:
        phone.laptop.kill()


def back(phone, how):
    if how == "network off":
        phone.context.set_offline(False)
    else:
        phone.laptop.start()


BOTH = pytest.mark.parametrize("how", ["network off", "laptop dead"])


def in_log(laptop, entries):
    """How often each of these entries stands in the logbook."""
    count = Counter(record["id"] for record in laptop.records())
    return [count[entry["id"]] for entry in entries]


@BOTH
def test_every_page_opens_and_nothing_kept_is_lost_or_doubled(phone, how):
    off(phone, how)
    for path, wanted in PAGES.items():
        phone.go(path)
        phone.tab.wait_for_selector(f"main >> text={wanted}")
    phone.measure("9.7")
    (entry,) = phone.unsent()
    phone.tab.reload()
    phone.tab.wait_for_selector("[data-unsent]:not([hidden])")
    assert "Kept on this phone, not handed over yet: 1." in phone.says("[data-unsent]")
    other = phone.open_tab()
    phone.go("/now", other)
    other.wait_for_selector("text=1 of this phone's own entry since")
    back(phone, how)
    phone.hand_over()
    assert in_log(phone.laptop, [entry]) == [1]
    phone.tab.wait_for_selector("[data-unsent]", state="hidden")
    assert [item["state"] for item in phone.kept()] == ["accepted"]


@BOTH
def test_a_stop_holds_offline_and_its_photo_follows(phone, how, tmp_path):
    off(phone, how)
    phone.measure("14")
    phone.tab.check("#fault-photo")
    phone.tab.click("text=Log the fault")
    phone.tab.wait_for_selector("#photo")
    assert [entry["kind"] for entry in phone.unsent()] == ["reading", "fault"], "the fault is safe before the camera opens"
    phone.tab.set_input_files("#photo", {"name": "chain.jpg", "mimeType": "image/jpeg", "buffer": jpeg(3000, 2000)})
    phone.tab.wait_for_selector("text=Walk done")
    (photo,) = phone.kept("photos")
    fault = phone.unsent()[1]
    assert fault["body"]["photos"] == [photo["id"]] and 0 < photo["bytes"] < 400_000
    phone.go("/now")
    phone.tab.wait_for_selector(".verdict-stop >> text=14 mm (stop, open). From this phone.")
    phone.go("/faults")
    phone.tab.click("text=Chain slack: 14 mm")
    phone.tab.fill("#why", "took up the tensioner")
    phone.tab.click("text=Record the repair")
    phone.tab.wait_for_url("**/faults")
    entries = phone.unsent()
    assert [entry["kind"] for entry in entries] == ["reading", "fault", "fault_move"]
    back(phone, how)
    phone.hand_over()
    assert in_log(phone.laptop, entries) == [1, 1, 1]
    stored = phone.laptop.folder / "photos" / f"{photo['id']}.jpg"
    for _ in range(100):
        if stored.exists():
            break
        phone.tab.wait_for_timeout(100)
    assert size_of(stored) == (1600, 1067)


def jpeg(width, height):
    from io import BytesIO

    from PIL import Image

    out = BytesIO()
    Image.effect_noise((width // 8, height // 8), 60).resize((width, height)).convert("RGB").save(out, "JPEG", quality=85)
    return out.getvalue()


def size_of(path):
    from PIL import Image

    with Image.open(path) as picture:
        return picture.size


def test_cold_start_from_what_the_phone_kept(started, laptop, tmp_path):
    """Switched off and on again in flight mode, and again: what was measured is there, and goes over once the laptop answers."""
    def launched(work):
        context = started.chromium.launch_persistent_context(
            tmp_path / "profile", executable_path=chromium_path(), headless=True, args=FLAGS, viewport=SIZE)
        found = work(Phone(context, laptop))
        context.close()
        return found

    launched(lambda phone: phone.join())
    laptop.kill()

    def measured(phone):
        phone.measure("9.7")
        return phone.unsent()

    entries = launched(measured)
    laptop.start()

    def handed_over(phone):
        phone.go("/now")
        phone.hand_over()
        return phone.kept()

    assert [item["state"] for item in launched(handed_over)] == ["accepted"]
    assert in_log(laptop, entries) == [1]


FULL = """() => {
  window.realPut = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) {
    const request = window.realPut.apply(this, given);
    Object.defineProperty(this.transaction, "error", { get: () => new DOMException("no room", "QuotaExceededError") });
    this.transaction.abort();
    return request;
  };
}"""
"""How a browser's storage that is full answers: the transaction is cut off, with this as its error. (The developer tools' own
quota for an origin no longer reaches the database in Chromium 156, measured.)"""


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
    by_id = sorted([first, second], key=lambda entry: entry["id"])  # made in one millisecond, they have no order of their own
    assert phone.unsent() == by_id, "what was in the page only is written with the next"
    phone.context.set_offline(False)
    phone.hand_over()
    assert in_log(phone.laptop, [first, second]) == [1, 1]


def note(text):
    from pitcrew.clock import format_instant, system_clock
    from pitcrew.entries import new_id

    now = system_clock()
    body = {"text": text}
    return {"id": new_id(now), "kind": "note", "at": format_instant(now), "robot": None, "match": None, "body": body, "shape": 1}


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
    assert in_log(phone.laptop, entries) == [1, 1]


def test_cleared_site_data_under_an_open_page_loses_nothing_that_the_page_holds(phone):
    phone.context.set_offline(True)
    phone.go("/now")
    session = phone.context.new_cdp_session(phone.tab)
    session.send("Storage.clearDataForOrigin", {"origin": phone.laptop.url, "storageTypes": "indexeddb"})
    phone.keep(note("kept after the clearing"))
    entries = phone.unsent()
    assert len(entries) == 1
    phone.context.set_offline(False)
    phone.hand_over()
    assert in_log(phone.laptop, entries) == [1]


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
    assert in_log(phone.laptop, entries) == [1, 1]
    for tab in (phone.tab, other):
        tab.wait_for_selector("[data-unsent]", state="hidden")


def test_a_refused_entry_is_shown_with_its_reason_and_blocks_nothing(phone):
    wrong = note("no such part") | {"kind": "reading", "body": {"check": "chain-slack", "part": "lift.rope", "inputs": {}}}
    right = note("this one is fine")
    phone.go("/now")
    phone.keep(wrong, right)
    phone.hand_over()
    assert in_log(phone.laptop, [wrong, right]) == [0, 1]
    states = {item["id"]: item for item in phone.kept()}
    assert states[wrong["id"]]["state"] == "refused" and "lift.rope" in states[wrong["id"]]["error"]
    phone.tab.wait_for_selector("text=Refused by the laptop, still kept here (reading)")


@pytest.mark.parametrize("answer", [
    {"status": 200, "content_type": "text/html", "body": "<h1>Welcome to the venue</h1>"},
    {"status": 502, "content_type": "application/json", "body": '{"error": "bad gateway"}'},
    {"status": 200, "content_type": "application/json", "body": '{"log": "x", "head": 0, "accepted": [], "refused": [], "entries": []}'},
], ids=["a portal's page", "a gateway's error", "an answer that takes nothing"])
def test_a_strange_answer_lets_go_of_nothing(phone, answer):
    phone.context.route("**/api/entries", lambda route: route.fulfill(**answer))
    phone.measure("9.7")
    entries = phone.unsent()
    phone.tab.wait_for_selector("[data-unsent]:not([hidden])")
    assert len(entries) == 1 and len(phone.unsent()) == 1
    phone.context.unroute("**/api/entries")
    phone.hand_over()
    assert in_log(phone.laptop, entries) == [1]


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
    assert in_log(phone.laptop, entries) == [1]


def test_entries_of_the_first_version_move_over(phone):
    old = note("kept by an older version")
    phone.context.set_offline(True)
    phone.go("/now")
    phone.tab.evaluate("(entry) => localStorage.setItem('pitcrew.unsent', JSON.stringify([{ entry }]))", old)
    phone.tab.reload()
    phone.until("localStorage.getItem('pitcrew.unsent') === null")
    assert [entry["id"] for entry in phone.unsent()] == [old["id"]]
    phone.context.set_offline(False)
    phone.hand_over()
    assert in_log(phone.laptop, [old]) == [1]


def test_a_laptop_with_an_empty_logbook_gets_everything_back(browser, tmp_path):
    """Its database was replaced: what was acknowledged is offered again, by those who made it and by those who read it."""
    laptop = Laptop(tmp_path / "pit").make().start()
    phones = [Phone(browser.new_context(viewport=SIZE), laptop).join(name) for name in ("Ivo", "Ada")]
    for phone in phones:
        phone.measure("9.7")
        phone.hand_over()
    phones[1].go("/now")
    phones[1].until("document.body.dataset.page === 'now'")
    everything = {record["id"] for record in laptop.records() if record["kind"] == "reading"}
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
    laptop.kill()
    for phone in phones:
        phone.context.close()


def test_a_laptop_restored_from_an_older_copy_gets_what_came_after(browser, tmp_path):
    laptop = Laptop(tmp_path / "pit").make().start()
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
    laptop.kill()
    phone.context.close()


def test_an_iphone_tab_is_warned(browser, laptop):
    agent = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 Version/18.5 Mobile/15E148 Safari/604.1"
    for standalone, warned in (("false", True), ("true", False)):
        context = browser.new_context(viewport=SIZE, user_agent=agent)
        context.add_init_script(f"Object.defineProperty(Navigator.prototype, 'standalone', {{ get: () => {standalone} }})")
        tab = context.new_page()
        tab.goto(f"{laptop.url}/join")
        tab.wait_for_timeout(300)
        assert ("Add to Home Screen" in tab.inner_text("[data-install]")) == warned
        context.close()


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
def test_axe_finds_nothing_on_what_the_phone_draws_alone(phone, theme):
    phone.context.add_init_script(f"localStorage.setItem('pitcrew.theme', '{theme}')")
    phone.context.set_offline(True)
    for path, wanted in PAGES.items():
        phone.go(path)
        phone.tab.wait_for_selector(f"main >> text={wanted}")
        found = Axe().run(phone.tab, options=WCAG).response["violations"]
        assert [(path, rule["id"], [node["target"] for node in rule["nodes"]][:4]) for rule in found] == []
        assert phone.tab.evaluate("document.documentElement.scrollWidth") <= SIZE["width"], path


def test_the_walk_is_judged_within_one_frame(phone):
    """From the last digit's event to the verdict in the page, without waiting for anything."""
    phone.go(f"/walk?check={SLACK}")
    phone.tab.click("text=Off and at rest")
    shown = phone.tab.evaluate("""() => {
      const box = document.querySelector("#input-travel");
      box.value = "9.7";
      box.dispatchEvent(new Event("input", { bubbles: true }));
      return document.querySelectorAll(".verdict-ok").length;
    }""")
    assert shown == 1
