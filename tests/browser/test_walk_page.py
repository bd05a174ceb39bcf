"""The Walk in a real browser, on sample data: one check a screen, judged as typed, kept until
handed over."""

import threading

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from tests.browser import look_server
from tests.browser.accessible import breaches_in_every_theme
from tests.browser.kept import kept, unsent

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
SMALL = {"width": 320, "height": 640}


@pytest.fixture(scope="module")
def address():
    with look_server.serve() as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


@pytest.fixture
def laptop():
    """The sample exchange, taking entries; what it took so far is forgotten."""
    look_server.Handler.entries, look_server.Handler.taking = [], True
    return look_server.Handler


@pytest.fixture
def phone(browser, address, laptop):
    """A joined phone; every complaint of its console fails the test."""
    context = browser.new_context(
        viewport=PHONE, has_touch=True, is_mobile=True, service_workers="block"
    )
    context.add_init_script(
        "if (!localStorage.getItem('pitcrew.token')) localStorage.setItem('pitcrew.token',"
        " 'a-token')"
    )
    context.set_default_timeout(30_000)
    tab = context.new_page()
    complaints = []
    tab.on(
        "console",
        lambda message: (
            complaints.append(message.text)
            if message.type == "error" and "503" not in message.text
            else None
        ),
    )
    tab.on("pageerror", lambda error: complaints.append(str(error)))
    tab.base = address
    yield tab
    context.close()
    assert not complaints


def until(tab, expression):
    """Wait for an expression of the page; asked from outside, since the page's own policy forbids
    `eval`."""
    for _ in range(100):
        if tab.evaluate(expression):
            return
        tab.wait_for_timeout(50)
    raise AssertionError(f"{expression} did not come true")


def open_walk(tab, check=None):
    tab.goto(f"{tab.base}/walk?check={check}" if check else f"{tab.base}/walk?zone=mast")
    tab.click("text=Off and at rest")


def keep(tab):
    """Press the button, and wait until the screen says something else: a reading is kept before the
    walk goes on."""
    before = tab.inner_text("#walk")
    tab.click("text=Keep and next")
    for _ in range(100):
        if tab.inner_text("#walk") != before:
            return
        tab.wait_for_timeout(20)
    raise AssertionError("nothing happened")


def heading(tab):
    return tab.inner_text("#walk h1")


def blur(tab):
    tab.evaluate("document.activeElement.blur()")


def bottom(tab, selector):
    return tab.evaluate(
        "(selector) => document.querySelector(selector).getBoundingClientRect().bottom", selector
    )


def handed_over(tab, laptop, count):
    for _ in range(100):
        if len(laptop.entries) >= count and not unsent(tab):
            break
        tab.wait_for_timeout(50)
    assert len(laptop.entries) == count and not unsent(tab)
    return laptop.entries


def test_the_gate_comes_before_hands_go_in(phone):
    phone.goto(f"{phone.base}/walk?zone=mast")
    phone.wait_for_selector(".gate")
    text = phone.inner_text("#walk")
    assert heading(phone) == "Before hands go in"
    for wanted in (
        "Main breaker off.",
        "Battery unplugged",
        "raised lift, ratchet under load, springs",
        "Lower the lift onto its stops.",
        "Eye protection",
    ):
        assert wanted in text
    assert phone.locator("#walk input").count() == 0
    phone.click("text=Off and at rest")
    assert "1 of 4" in phone.inner_text(".progress") and heading(phone) == "Are all teeth whole?"


def test_a_number_is_judged_the_moment_it_is_in_and_everything_fits_above_the_buttons(phone):
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "11,8")
    assert (
        "too close to 12.4 mm" in phone.inner_text(".verdict")
        and phone.locator(".verdict-watch").count() == 1
    )
    assert phone.locator(".gauge .gauge-mark").count() == 1 and "412 mm" in phone.inner_html(
        ".drawing"
    )
    blur(phone)
    until(phone, "scrollY === 0")
    assert bottom(phone, "#walk form") <= phone.locator(".actions").bounding_box()["y"]


def test_with_the_keypad_open_number_gauge_and_verdict_stay_in_sight(phone):
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "14.6")
    phone.tap("#input-travel")
    phone.set_viewport_size({"width": 390, "height": 430})  # what a keypad leaves of it
    until(phone, "document.querySelector('#input-travel').getBoundingClientRect().top < 60")
    assert phone.locator("#input-travel").bounding_box()["y"] >= 0
    assert (
        bottom(phone, ".gauge")
        < bottom(phone, ".verdict")
        <= phone.locator(".actions").bounding_box()["y"]
    )


@pytest.mark.parametrize("ended_by", ["closing the keypad", "a tap beside the field"])
def test_typing_ends_with_the_keypad_and_with_any_other_touch(phone, ended_by):
    """The screen once stayed scrolled with its lower half blank: question and clock were gone."""
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.tap("#input-travel")
    assert phone.get_attribute("body", "data-typing") is None, "no keypad has opened yet"
    phone.set_viewport_size({"width": 390, "height": 430})
    until(phone, "document.body.hasAttribute('data-typing')")
    if ended_by == "closing the keypad":
        phone.set_viewport_size({"width": 390, "height": 844})
        assert phone.evaluate("document.activeElement.id") == "input-travel"
    else:
        phone.tap(".verdict")
    until(phone, "!document.body.hasAttribute('data-typing')")
    phone.set_viewport_size({"width": 390, "height": 844})
    until(phone, "scrollY === 0")


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("62 V", "ends in 'V'; expected a number in mm"),
        ("620", "outside what is possible here (0 to 80 mm)"),
        ("1.234,5", "two ways"),
        ("", "Type travel first"),
    ],
)
def test_what_cannot_be_read_is_asked_again_and_nothing_is_kept(phone, laptop, typed, wanted):
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", typed)
    keep(phone)
    assert wanted in phone.inner_text(".reading .error")
    assert phone.evaluate("document.activeElement.id") == "input-travel"
    assert not kept(phone) and not laptop.entries


def test_a_stop_is_a_fault_in_two_taps_filled_in(phone, laptop):
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "14,6")
    keep(phone)
    assert (
        heading(phone) == "Kept. Log it as a fault?"
        and phone.input_value("#fault-symptom") == "Chain slack: 14,6 mm"
    )
    assert "It goes with Match 24, the match played last." in phone.inner_text("#walk")
    phone.click("text=Log the fault")
    reading, fault = handed_over(phone, laptop, 2)
    assert (
        reading["kind"] == "reading"
        and reading["match"] == "fjord/31/1"
        and reading["robot"] == "tern"
    )
    assert reading["body"]["inputs"] == {"travel": {"typed": "14,6", "value": 14.6, "unit": "mm"}}
    assert (
        reading["body"]["verdict"] == "stop"
        and reading["body"]["result"] == pytest.approx(0.0146)
        and reading["body"]["limit"]["stop_high"] == pytest.approx(0.0124)
    )
    assert fault["kind"] == "fault" and fault["match"] == "fjord/24/1", (
        "a fault belongs to the match that was just played"
    )
    said = fault["body"].pop("said")
    assert said["text"] == fault["body"]["symptom"] and said["words"]["check"] == "Chain slack"
    assert said["numbers"] == {"travel": pytest.approx(0.0146)}
    assert fault["body"] == {
        "part": "lift.chain.left",
        "symptom": "Chain slack: 14,6 mm",
        "grade": "stop",
        "reading": reading["id"],
        "photos": [],
    }


def test_what_is_kept_while_a_try_still_fetches_the_snapshot_is_handed_over_right_after_it(
    phone, laptop
):
    held = []
    phone.route("**/api/snapshot", lambda route: held.append(route))
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "14,6")
    keep(phone)
    for _ in range(100):
        if held and len(laptop.entries) == 1:
            break
        phone.wait_for_timeout(50)
    assert held and len(laptop.entries) == 1
    phone.click("text=Log the fault")
    phone.wait_for_timeout(300)
    for route in held:
        route.continue_()
    phone.unroute("**/api/snapshot")
    assert [entry["kind"] for entry in handed_over(phone, laptop, 2)] == ["reading", "fault"]


def test_cannot_measure_says_why_and_keeps_what_was_typed_when_one_goes_back(phone, laptop):
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "9.7")
    phone.click("text=Can't measure")
    phone.click("text=Go back")
    assert phone.input_value("#input-travel") == "9.7"
    phone.click("text=Can't measure")
    phone.fill("#other-reason", "guard is riveted on")
    phone.click("text=Keep this reason")
    (skipped,) = handed_over(phone, laptop, 1)
    assert skipped["kind"] == "skipped" and skipped["body"] == {
        "check": "chain-slack",
        "part": "lift.chain.left",
        "why": "guard is riveted on",
    }


def test_a_whole_walk_ends_with_what_was_kept_and_what_is_left(phone, laptop):
    open_walk(phone)
    phone.click("label:has-text('Yes')")
    assert phone.locator(".verdict-ok").count() == 1
    keep(phone)
    assert phone.locator(".steps .step-ok").count() == 1
    phone.fill("#input-travel", "9.7")
    phone.press("#input-travel", "Enter")
    phone.click("label:has-text('Cannot see')")
    assert phone.locator(".verdict-unjudged").count() == 1
    keep(phone)
    assert heading(phone) == "Before the robot moves" and "Safe to enable?" in phone.inner_text(
        "#walk"
    )
    phone.click("text=Answered: safe")
    phone.fill("#input-error", "1,5")
    phone.click("button:has-text('±')")
    assert phone.input_value("#input-error") == "-1,5"
    keep(phone)
    text = phone.inner_text("#walk")
    assert (
        heading(phone) == "Walk done"
        and "4 readings kept" in text
        and "Unjudged" in text
        and "Still due elsewhere" in text
    )
    handed_over(phone, laptop, 4)


def test_readings_stay_on_the_phone_until_the_laptop_has_them(phone, laptop):
    laptop.taking = False
    open_walk(phone)
    phone.click("label:has-text('Yes')")
    keep(phone)
    phone.wait_for_selector("[data-unsent]:not([hidden])")
    assert "Kept on this phone, not handed over yet: 1." in phone.inner_text("[data-unsent]")
    phone.goto(f"{phone.base}/walk?zone=mast")
    phone.click("text=Off and at rest")
    assert "2 of 4" in phone.inner_text(".progress")
    laptop.taking = True
    phone.evaluate("dispatchEvent(new Event('online'))")
    handed_over(phone, laptop, 1)
    phone.wait_for_selector("[data-unsent]", state="hidden")


def test_a_phone_that_has_not_joined_keeps_its_readings_and_says_so(phone, laptop):
    phone.goto(f"{phone.base}/walk?check=chain-slack@lift.chain.left")
    phone.evaluate("localStorage.setItem('pitcrew.token', '')")
    phone.click("text=Off and at rest")
    phone.fill("#input-travel", "9.7")
    keep(phone)
    phone.wait_for_selector("[data-unsent] a")
    assert "has not joined" in phone.inner_text("[data-unsent]") and not laptop.entries
    assert len(unsent(phone)) == 1


def test_two_loads_fit_one_screen_without_sideways_scrolling(phone):
    phone.set_viewport_size(SMALL)
    open_walk(phone, "battery-loads@battery.9")
    for name, typed in {
        "light": "12.7",
        "amps1": "5",
        "heavy": "11,2",
        "amps2": "85",
        "case": "24",
    }.items():
        phone.fill(f"#input-{name}", typed)
    assert phone.locator(".verdict-watch").count() == 1 and "18.8" in phone.inner_text(".verdict")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 320
    phone.fill("#input-case", "41")
    assert phone.locator(".verdict-unjudged").count() == 1


def test_targets_are_large_and_inputs_do_not_make_the_phone_zoom(phone):
    open_walk(phone, "witness-mark@lift.carriage.bolts")
    sizes = phone.evaluate(
        "[...document.querySelectorAll('.actions .button, .choice, .menu-open')].map((e) =>"
        " [e.offsetWidth, e.offsetHeight])"
    )
    assert sizes and all(min(size) >= 48 for size in sizes)
    phone.goto(f"{phone.base}/look")
    fonts = phone.evaluate(
        "[...document.querySelectorAll('input:not([type=checkbox]), select')].map((e) =>"
        " parseFloat(getComputedStyle(e).fontSize))"
    )
    assert fonts and min(fonts) >= 16


@pytest.mark.parametrize(
    "path",
    [
        "/walk?check=chain-slack@lift.chain.left",
        "/walk?check=battery-loads@battery.9",
        pytest.param("/look", marks=pytest.mark.soak),
    ],
)
def test_axe_finds_nothing(phone, path):
    phone.goto(phone.base + path)
    if "walk" in path:
        phone.click("text=Off and at rest")
        phone.locator("#walk input").first.fill("12,1")
        blur(phone)
    assert breaches_in_every_theme(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_the_menu_opens_without_script_and_the_theme_is_kept(browser, address, laptop):
    context = browser.new_context(viewport=PHONE, java_script_enabled=False)
    tab = context.new_page()
    tab.goto(f"{address}/look")
    tab.click("text=Menu")
    assert (
        tab.locator("#menu a").first.is_visible()
        and tab.get_attribute("#menu a[aria-current]", "href") == "/now"
    )
    context.close()
    context = browser.new_context(viewport=PHONE)
    tab = context.new_page()
    tab.goto(f"{address}/look")
    tab.click("text=Menu")
    tab.select_option("[data-theme-choice] select", "sun")
    tab.reload()
    assert tab.get_attribute("html", "data-theme") == "sun"
    context.close()


def test_the_rows_of_the_hold_path_take_a_tap_each(phone, laptop):
    phone.goto(f"{phone.base}/walk?card=path-look")
    phone.click("text=Off and at rest")
    for part in ("Guide pulley", "Drum"):
        phone.get_by_role("button", name=f"Whole: {part}").click()
    phone.click("text=Go on")
    assert "Not looked at yet: Gearbox" in phone.inner_text("#walk .error")
    phone.get_by_role("button", name="Something: Gearbox").click()
    assert phone.get_by_label("Something", exact=True).is_checked(), "it was said on the card"
    phone.get_by_text("Cannot see").click()
    phone.click("text=Keep and next")
    phone.click("text=Can't look")
    phone.click("text=Cannot reach it")
    entries = handed_over(phone, laptop, 5)
    assert [(entry["kind"], entry["body"]["part"][-5:]) for entry in entries] == [
        ("reading", "link1"),
        ("reading", "link2"),
        ("reading", "link3"),
        ("skipped", "link4"),
        ("skipped", "link5"),
    ]
    assert [entry["body"].get("verdict") for entry in entries[:3]] == ["ok", "ok", "unjudged"]


@pytest.mark.parametrize("width, height, behind", [(390, 844, False), (360, 640, True)])
def test_a_check_and_its_verdict_fit_one_screen_and_the_picture_is_never_tiny(
    phone, width, height, behind
):
    """Where there is no room for the picture it is a tap away, large, with letters of 14 px."""
    phone.set_viewport_size({"width": width, "height": height})
    open_walk(phone, "chain-slack@lift.chain.left")
    letters = """() => [...document.querySelectorAll("#walk .drawing text")].map((text) =>
        parseFloat(getComputedStyle(text).fontSize) * text.ownerSVGElement.getScreenCTM().a)"""
    button = phone.get_by_role("button", name="Show how")
    assert (
        button.is_visible() is behind and phone.locator("#walk .drawing").is_visible() is not behind
    )
    if behind:
        button.click()
        assert phone.get_by_role("dialog", name="How to do it").is_visible()
    assert min(phone.evaluate(letters)) >= (12 if behind else 14)
    if behind:
        phone.click("text=Back to the check")
        assert phone.locator(".walk-how figcaption").count() == 1, "it is put back"
    phone.fill("#input-travel", "11,8")
    blur(phone)
    until(phone, "scrollY === 0")
    assert bottom(phone, ".verdict") <= phone.locator(".actions").bounding_box()["y"]
