"""The phone alone, in a real browser over a real server: with the network off, with the laptop dead
or hanging. What was kept is there after it, once."""

from threading import Timer
from urllib.parse import parse_qs, urlsplit

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from pitcrew.web.pages import SCREENS  # noqa: E402
from pitcrew.web.screen import works_alone  # noqa: E402
from tests.browser.accessible import breaches_in_every_theme  # noqa: E402
from tests.browser.chromium import FLAGS, windowless_path  # noqa: E402
from tests.browser.laptop import SLACK  # noqa: E402
from tests.browser.phone import ALONE, SIZE, Phone, note  # noqa: E402
from tests.world import let_it_climb  # noqa: E402

pytestmark = pytest.mark.browser
CHAIN = SLACK.partition("@")[2]
PART = 64 * 1024
SHOWN = (
    "[...document.querySelectorAll('.photos img')].filter((image) => image.naturalWidth > 0).length"
)
PAGES = {
    "/now": "Hold",
    f"/walk?check={SLACK}": "Before hands go in",
    "/faults": "Repaired, proof wanted",
    "/faults/new": "Which part",
    "/batteries": "Batteries",
    "/climb": "Signing needs the laptop",
    "/climb/lowering": "Nobody under it",
    "/schedule": "Match 12",
    "/handing-over": "The laptop's receipt",
    "/people": "Now, Walk, Faults, Climb, Batteries and Schedule work without it",
}
AS_OF = "when the laptop last answered"
"""What every screen says that a phone draws alone."""
TOLD = {path.partition("?")[0] for path in PAGES}
PAGES |= {screen.path: AS_OF for screen in works_alone(SCREENS) if screen.path not in TOLD}


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
    assert phone.laptop.times([entry]) == [1]
    phone.tab.wait_for_selector("[data-unsent]", state="hidden")
    assert [item["state"] for item in phone.kept()] == ["accepted"]


@BOTH
def test_a_stop_holds_offline_and_its_photo_follows(phone, how, tmp_path):
    off(phone, how)
    phone.log_fault_for_photo()
    assert [entry["kind"] for entry in phone.unsent()] == [
        "reading",
        "fault",
    ], "the fault is safe before the camera opens"
    for number in (1, 2):
        phone.photograph(3000, 2000)
        phone.tab.wait_for_selector(f"text={number} photo{'s' * (number > 1)} kept. Another one?")
    phone.tab.click("text=Go on")
    phone.tab.wait_for_selector("text=Walk done")
    photos = phone.kept("photos")
    _, fault, more = phone.unsent()
    assert {*fault["body"]["photos"], *more["body"]["photos"]} == {
        photo["id"] for photo in photos
    } and len(photos) == 2
    assert more["body"]["fault"] == fault["id"] and all(
        0 < photo["bytes"] < 400_000 for photo in photos
    )
    phone.go("/now")
    phone.tab.wait_for_selector(".verdict-stop >> text=14 mm (stop, open). From this phone.")
    phone.go("/faults")
    phone.tab.click("text=Chain slack: 14 mm")
    phone.tab.fill("#why", "took up the tensioner")
    phone.tab.click("text=Record the repair")
    phone.tab.wait_for_url("**/faults")
    entries = phone.unsent()
    assert [entry["kind"] for entry in entries] == ["reading", "fault", "note", "fault_move"]
    phone.go(f"/faults/{fault['id']}")
    phone.until(f"{SHOWN} === 2")
    phone.tab.wait_for_selector("text=not handed over yet: 4, and photos: 2.")
    back(phone, how)
    phone.hand_over()
    assert phone.laptop.times(entries) == [1, 1, 1, 1]
    assert [size_of(path) for path in phone.photos_that_came()] == [(1600, 1067), (1600, 1067)]
    phone.go(f"/faults/{fault['id']}")
    phone.until(f"{SHOWN} === 2")
    phone.tab.wait_for_timeout(500)
    assert phone.tab.evaluate(SHOWN) == 2, (
        "each once: those that came over are not shown again as this phone's own"
    )


def test_a_photo_is_added_on_the_laptops_page_of_a_fault(phone):
    """The fault was logged with the ordinary form; it is safe before the camera opens."""
    phone.go("/faults/new")
    phone.tab.select_option("#part", CHAIN)
    phone.tab.fill("#symptom", "a link is stiff")
    phone.tab.click("label:has(input[value=watch])")
    phone.tab.click("button.button-main")
    phone.tab.wait_for_selector("h1 >> text=a link is stiff")
    phone.photograph(800, 600)
    phone.tab.wait_for_selector("text=1 photo kept. Another one?")
    phone.hand_over()
    assert len(phone.photos_that_came()) == 1
    phone.tab.reload()
    phone.until("document.querySelector('.photos a img')?.naturalWidth === 800")


def test_a_link_that_breaks_in_a_photo_costs_one_part_and_holds_no_entry_up(phone):
    """The second part is cut off; what is kept while the fourth is on its way goes over before the
    fifth."""
    phone.log_fault_for_photo()
    phone.hand_over()
    asked, meanwhile = [], note("meanwhile")

    def passes(route):
        parts = [item for item in asked if item != "entries"]
        if "/api/entries" in route.request.url:
            asked.append("entries")
        elif route.request.method == "PUT":
            asked.append(int(parse_qs(urlsplit(route.request.url).query)["offset"][0]))
            if len(parts) == 1:
                return route.abort()
            if len(parts) == 3:
                phone.keep(meanwhile)
        return route.continue_()

    phone.context.route("**/api/**", passes)
    phone.photograph(3000, 2000)
    phone.tab.wait_for_selector("text=Photos kept on this phone, not handed over yet: 1.")
    phone.hand_over()
    (photo,) = phone.kept("photos")
    phone.photos_that_came()
    offsets = [item for item in asked if item != "entries"]
    assert offsets == [0, PART, PART, *range(2 * PART, photo["bytes"], PART)]
    assert "entries" in asked[4:], "between two parts"
    assert phone.laptop.times([meanwhile]) == [1]


def test_a_photo_taken_at_the_very_end_of_a_try_goes_over_right_after_it(phone):
    """The try has looked for photos already; what is kept until it lets go of its lock must not
    wait for the next minute."""
    phone.context.add_init_script("""
      const ask = navigator.locks.request.bind(navigator.locks);
      navigator.locks.request = async (name, work) => {
        const done = await ask(name, work);
        window.holding = true;
        while (window.hold) await new Promise((go) => setTimeout(go, 20));
        return done;
      };
    """)
    phone.go("/now")
    phone.log_fault_for_photo()
    phone.tab.evaluate(
        "window.hold = true; window.holding = false; dispatchEvent(new Event('online'))"
    )
    phone.until("window.holding")
    phone.photograph(800, 600)
    phone.tab.wait_for_selector("text=1 photo kept")
    phone.tab.evaluate("window.hold = false")
    phone.photos_that_came()


def size_of(path):
    from PIL import Image

    with Image.open(path) as picture:
        return picture.size


def test_cold_start_from_what_the_phone_kept(started, laptop, tmp_path):
    """Switched off and on again in flight mode, and again: what was measured is there, and goes
    over once the laptop answers."""

    def launched(work):
        context = started.chromium.launch_persistent_context(
            tmp_path / "profile",
            executable_path=windowless_path(),
            headless=True,
            args=FLAGS,
            viewport=SIZE,
        )
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
    assert laptop.times(entries) == [1]


def test_a_laptop_that_hangs_stops_nobody(phone):
    """What the phone can draw, it draws; what it cannot, it waits for."""
    phone.laptop.freeze()
    phone.go("/now")
    phone.tab.wait_for_selector("[data-as-of]")
    phone.measure("9.7")
    entries = phone.unsent()
    phone.tab.evaluate("location.assign('/people')")
    phone.tab.wait_for_timeout(3_000)
    phone.laptop.thaw()
    phone.tab.wait_for_selector("h1:text-is('People')")
    phone.hand_over()
    assert phone.laptop.times(entries) == [1]


def test_after_a_form_the_laptops_page_is_waited_for(phone):
    """The phone's own drawing would not have what was just sent, as if it were lost."""
    phone.go("/faults/new")
    phone.tab.locator("select#part").select_option(index=1)
    phone.tab.fill("#symptom", "Grinds at full height")
    phone.tab.get_by_text("Degraded").click()
    thaw = Timer(4, phone.laptop.thaw)
    phone.tab.once("response", lambda response: (phone.laptop.freeze(), thaw.start()))
    phone.tab.get_by_role("button", name="Log the fault").click(no_wait_after=True)
    phone.tab.wait_for_selector("main >> text=Grinds at full height")
    assert not phone.tab.is_visible("[data-as-of]")


def test_a_joined_phone_says_what_it_waits_for_and_goes_on_by_itself(browser, laptop):
    """The laptop grew slow right after the phone joined: the app is here, the pit's checks are not
    yet."""
    phone = Phone(browser.new_context(viewport=SIZE), laptop)
    phone.context.route("**/api/snapshot", lambda route: route.abort())
    phone.join(whole=False)
    assert not phone.tab.is_visible("[data-install]"), (
        "the laptop itself is not carried to the robot"
    )
    laptop.freeze()
    phone.go("/now")
    phone.tab.wait_for_selector("h1:text-is('Waiting for the laptop')")
    assert "checks, limits and faults" in phone.says()
    phone.context.unroute("**/api/snapshot")
    laptop.thaw()
    phone.tab.wait_for_selector("h1:text-is('Waiting for the laptop')", state="detached")
    phone.tab.wait_for_selector("main >> text=Hold")
    phone.context.close()


def test_an_iphone_tab_is_warned(browser, laptop):
    agent = (
        "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 Version/18.5"
        " Mobile/15E148 Safari/604.1"
    )
    for standalone, warned in (("false", True), ("true", False)):
        context = browser.new_context(viewport=SIZE, user_agent=agent)
        context.add_init_script(
            "Object.defineProperty(Navigator.prototype, 'standalone', { get: () =>"
            f" {standalone} }})"
        )
        tab = context.new_page()
        tab.goto(f"{laptop.url}/join")
        tab.wait_for_timeout(300)
        assert ("Add to Home Screen" in tab.inner_text("[data-install]")) == warned
        context.close()


def test_climb_alone_is_the_laptops_with_this_phones_own_reading(browser, own_laptop):
    """The laptop's drawing says what was known; a check that was done here since says so, and leads
    to the walk, which works alone."""
    let_it_climb(own_laptop.folder)
    phone = Phone(browser.new_context(viewport=SIZE), own_laptop).join()
    phone.context.set_offline(True)
    row = "[data-check='hold-test@climb.lock']"
    phone.go("/climb")
    phone.tab.wait_for_selector("h2 >> text=Missing before it can be signed")
    assert "Never done" in phone.tab.text_content(row)
    body = {"check": "hold-test", "part": "climb.lock", "inputs": {}, "verdict": "stop"}
    phone.keep(note("") | {"kind": "reading", "body": body})
    phone.go("/climb")
    phone.tab.wait_for_selector("text=1 of this phone's own entry since")
    said = phone.tab.text_content(row)
    assert "Stop" in said and "Measured on this phone, not handed over yet." in said
    assert "Never done" not in said
    assert phone.tab.get_attribute(f"{row} a", "href") == "/walk?check=hold-test%40climb.lock"
    assert phone.complaints == []
    phone.context.close()


def test_axe_finds_nothing_on_what_the_phone_draws_alone(phone):
    phone.context.set_offline(True)
    for path, wanted in PAGES.items():
        phone.go(path)
        phone.tab.wait_for_selector(f"main >> text={wanted}")
        assert breaches_in_every_theme(phone.tab) == [], path
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


def test_a_page_that_opened_beside_the_worker_is_taken_by_it(phone):
    """A page that was on its way while the worker started, or was loaded past it by force, would
    not work on its own."""
    phone.context.new_cdp_session(phone.tab).send("Page.reload", {"ignoreCache": True})
    phone.tab.wait_for_event("load")
    phone.until(ALONE)
