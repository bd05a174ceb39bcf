"""The app keeps its one address, https at the pit's lasting name; the laptop is found at any other
that its certificate names.
Chromium has the pit's root in its store, and every way to the laptop can be pulled out."""

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)

from pitcrew.pit.tls import CertificateFiles  # noqa: E402
from tests.browser.cable import Cable  # noqa: E402
from tests.browser.chromium import browser_that_trusts  # noqa: E402
from tests.browser.many_ways import SHOP, TETHER, UNTOLD, ManyWays  # noqa: E402
from tests.browser.phone import SIZE, TRYING, Phone, note  # noqa: E402

pytestmark = pytest.mark.browser
CODE = """(text) => {
  window.BarcodeDetector = class {
    static getSupportedFormats = async () => ["qr_code"];
    detect = async () => (window.shown ? [{ rawValue: window.shown }] : []);
  };
}"""
"""A browser that reads codes: whatever the test holds before the camera."""


@pytest.fixture(scope="module")
def laptop(tmp_path_factory):
    made = ManyWays(tmp_path_factory.mktemp("pit") / "pit").make().start()
    yield made
    made.kill()


@pytest.fixture(scope="module")
def ways(laptop):
    """A cable for each address."""
    return {host: Cable(laptop.secure_port) for host in (laptop.host, SHOP, TETHER, UNTOLD)}


@pytest.fixture(scope="module")
def browser(laptop, ways, tmp_path_factory):
    names = ",".join(
        f"MAP {host}:{laptop.secure_port} 127.0.0.1:{cable.port}" for host, cable in ways.items()
    )
    flags = ("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream")
    with browser_that_trusts(
        CertificateFiles(laptop.folder), tmp_path_factory.mktemp("home"), names, *flags
    ) as started:
        yield started


@pytest.fixture
def phone(browser, laptop, ways):
    """A phone that has kept the app from its lasting address; then every way is pulled out."""
    for cable in ways.values():
        cable.plug()
    context = browser.new_context(viewport=SIZE, has_touch=True, is_mobile=True)
    joined = Phone(context, laptop).join()
    joined.asked = []
    joined.tab.on(
        "request", lambda request: joined.asked.append(request) if "/api/" in request.url else None
    )
    for cable in ways.values():
        cable.unplug()
    yield joined
    context.close()
    assert joined.complaints == []


def hosts(phone):
    """Where the phone turned to, in order, without repeats in a row."""
    found = [
        request.url.split("/")[2].partition(":")[0]
        for request in phone.asked
        if request.method == "POST"
    ]
    return [host for place, host in enumerate(found) if found[place - 1 : place] != [host]]


def test_the_phone_says_when_it_can_work_alone(phone):
    phone.go("/now")
    phone.tab.wait_for_selector("main >> text=Hold")
    assert phone.tab.evaluate("isSecureContext")


@pytest.mark.parametrize("gone", ["unplug", "block"])
def test_the_next_address_works_when_the_last_good_one_is_gone(phone, laptop, ways, gone):
    """Refused at once, or hanging: the phone goes on to what the laptop told it, and remembers what
    worked."""
    phone.rest()
    phone.asked.clear()
    getattr(ways[laptop.host], gone)()
    ways[SHOP].plug()
    first = note("over the shop's network")
    phone.keep(first)
    phone.hand_over()
    assert (
        laptop.times([first]) == [1]
        and {laptop.host, SHOP} <= set(hosts(phone))
        and hosts(phone)[-1] == SHOP
    )
    across = [
        request for request in phone.asked if SHOP in request.url and request.method == "POST"
    ][-1]
    assert (
        across.headers["authorization"].startswith("Bearer ")
        and "cookie" not in across.all_headers()
    )
    assert across.all_headers()["origin"] == laptop.url, (
        "across addresses with a key: the browser asked the laptop first whether it may"
    )
    assert phone.tab.url.startswith(laptop.url), "the app stays at its own address"

    phone.rest()
    phone.asked.clear()
    getattr(ways[SHOP], gone)()
    ways[TETHER].plug()
    second = note("over the tether")
    phone.keep(second)
    phone.hand_over()
    assert laptop.times([second]) == [1] and SHOP in hosts(phone) and hosts(phone)[-1] == TETHER

    third = note("over the tether again")
    phone.asked.clear()
    phone.keep(third)
    phone.hand_over()
    assert laptop.times([third]) == [1] and hosts(phone) == [TETHER], (
        "the last good one is asked first"
    )


def test_photos_go_to_the_address_that_works(phone, laptop, ways):
    ways[SHOP].plug()
    phone.log_fault_for_photo()
    phone.photograph(1600, 1200)
    phone.tab.wait_for_selector("text=1 photo kept")
    phone.hand_over()
    assert len(phone.photos_that_came()) == 1
    assert {request.url.split("/")[2] for request in phone.asked if request.method == "PUT"} == {
        f"{SHOP}:{laptop.secure_port}"
    }


def test_with_no_way_at_all_it_says_so_and_shows_how_far_it_is_once_there_is_one(phone, ways):
    phone.keep(*(note(str(number)) for number in range(450)))
    phone.go("/handing-over")
    phone.tab.click("text=Try now")
    phone.tab.wait_for_selector(
        "main >> text=The laptop does not answer. What is kept here goes over when it does."
    )
    ways[SHOP].plug()
    said = phone.tab.evaluate("""async () => {
      const seen = [];
      const line = document.querySelector("section [role=status]");
      new MutationObserver(() => seen.push(line.textContent)).observe(line, { childList: true });
      [...document.querySelectorAll("button")].find((button) => button.textContent === "Try now").click();
      while (seen.at(-1) !== "Handed over.") await new Promise((resolve) => setTimeout(resolve, 20));
      return seen;
    }""")
    assert said[0] == "Trying …"
    left = [int(line.split()[2]) for line in said if line.startswith("Handing over, ")]
    assert len(left) >= 2 and left == sorted(left, reverse=True) and left[0] < 450
    phone.tab.wait_for_selector("text=Everything made on this phone is handed over.")


def test_who_asks_while_a_try_hangs_is_told_what_comes_of_the_next(phone, laptop, ways):
    """The try that hangs may have begun before the cable went in."""
    ways[laptop.host].block()
    phone.go("/handing-over")
    entry = note("asked for")
    phone.keep(entry)
    phone.until(TRYING)
    phone.tab.click("text=Try now")
    assert phone.says("section [role=status]") == "Trying …"
    ways[SHOP].plug()
    phone.tab.wait_for_selector("main >> text=Handed over.")
    assert phone.unsent() == [] and laptop.times([entry]) == [1]


@pytest.mark.parametrize(
    "typed",
    [UNTOLD, f"https://{UNTOLD}/", f"http://{UNTOLD}:8765/join#AB12-CD34", f"  {UNTOLD}:9999 "],
)
def test_an_address_is_typed_as_the_laptop_shows_it_anywhere(phone, laptop, ways, typed):
    """The port is always that of the app's own address: the laptop serves https at no other."""
    ways[UNTOLD].plug()
    entry = note("typed")
    phone.keep(entry)
    phone.go("/handing-over")
    phone.tab.click("text=It does not find the laptop")
    phone.tab.fill("#address", typed)
    phone.tab.click("text=Try now")
    phone.tab.wait_for_selector("main >> text=Handed over.")
    assert laptop.times([entry]) == [1]


def test_what_is_no_address_is_said(phone):
    phone.go("/handing-over")
    phone.tab.click("text=It does not find the laptop")
    phone.tab.fill("#address", "the laptop")
    phone.tab.click("text=Try now")
    phone.tab.wait_for_selector("main >> text=This is no address.")


def test_an_address_is_scanned_where_the_browser_reads_codes(phone, laptop, ways):
    """A code that is no address of ours is passed over, the camera is let go, and the address is
    kept as if typed."""
    ways[UNTOLD].plug()
    phone.context.add_init_script(f"({CODE})()")
    entry = note("scanned")
    phone.keep(entry)
    phone.go("/handing-over")
    phone.tab.click("text=It does not find the laptop")
    phone.tab.click("text=Scan the laptop's code")
    phone.tab.wait_for_selector("video.camera")
    phone.tab.evaluate("() => { window.shown = 'WIFI:S:venue;;'; }")
    phone.tab.wait_for_selector("text=That code is no address of the laptop.")
    phone.tab.evaluate(f"() => {{ window.shown = 'http://{UNTOLD}:8765/join#AB12-CD34'; }}")
    phone.tab.wait_for_selector("main >> text=Handed over.")
    assert laptop.times([entry]) == [1]
    assert phone.tab.locator("video").count() == 0
    assert phone.tab.input_value("#address") == f"https://{UNTOLD}:{laptop.secure_port}"
    phone.tab.click("text=Scan the laptop's code")
    phone.tab.evaluate("() => { window.shown = null; }")


def test_scanning_is_not_offered_where_the_browser_reads_no_codes(phone):
    phone.go("/handing-over")
    phone.tab.click("text=It does not find the laptop")
    phone.tab.wait_for_selector("#address")
    assert not phone.tab.is_visible("text=Scan the laptop's code")
