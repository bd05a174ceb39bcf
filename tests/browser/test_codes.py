"""Codes from the phone's page to the laptop's reader, through a made-up camera: blur, noise, tilt,
and lost pictures."""

import io
import random

import pytest

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed: no browser tests"
)
zxingcpp = pytest.importorskip(
    "zxingcpp", reason="zxing-cpp is not installed: codes are not read back"
)

from pitcrew.base.errors import BadInput  # noqa: E402
from pitcrew.exchange.bundle import read_bundle, receipt_of  # noqa: E402
from pitcrew.exchange.frames import Receiver  # noqa: E402
from tests.browser.chromium import FLAGS, windowless_path  # noqa: E402
from tests.browser.phone import SIZE, Phone, note  # noqa: E402

pytestmark = pytest.mark.browser
LOSS = 0.3
SEED = 8_2026
NEXT = "() => { window.setInterval = (next) => { window.nextCode = next; return 0; }; }"
"""The page then shows its next code only when asked, so the same codes are lost in every run."""
BYTES = 10_000
BLOCK = 503
"""A code of version 15-L holds 520 bytes, of which 17 are the frame's head and check."""
SPARE = 6
"""Frames beyond k that may be needed: a random row over GF(2) is dependent with a chance of
2^-(spare)."""


@pytest.fixture
def phone(own_laptop):
    laptop = own_laptop
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(
            executable_path=windowless_path(), headless=True, args=FLAGS
        )
        joined = Phone(
            browser.new_context(
                viewport=SIZE, device_scale_factor=2, has_touch=True, is_mobile=True
            ),
            laptop,
        ).join()
        laptop.kill()
        yield joined
        browser.close()


def camera(picture, chance, noise):
    """What a webcam of 1280 × 720 sees of the code: tilted, blurred, noisy, grey."""
    import numpy
    from PIL import Image, ImageFilter

    seen = Image.new("L", (1280, 720), 90)
    side = 480
    code = (
        picture.convert("L")
        .resize((side, side), Image.Resampling.BILINEAR)
        .rotate(chance.uniform(-4, 4), Image.Resampling.BILINEAR, expand=True, fillcolor=255)
    )
    seen.paste(code, (chance.randrange(300, 460), chance.randrange(60, 150)))
    seen = seen.filter(ImageFilter.GaussianBlur(0.8)).point(lambda grey: 30 + grey * 0.75)
    grain = numpy.clip(noise.normal(128, 60, (seen.height, seen.width)), 0, 255).astype("uint8")
    return Image.blend(seen, Image.fromarray(grain), 0.12)


def test_ten_kilobytes_come_through_a_poor_camera_with_a_third_of_the_pictures_lost(phone):
    """10 KB, packed, in at most k + 6 different readable frames of the series."""
    import numpy
    from PIL import Image

    chance, noise = random.Random(SEED), numpy.random.default_rng(SEED)
    entries = [
        note("".join(chance.choices("abcdefghijklmnopqrstuvwxyz0123456789", k=150)))
        for _ in range(84)
    ]
    phone.go("/handing-over")
    phone.keep(*entries)
    phone.tab.evaluate(NEXT)
    phone.tab.click("text=As codes")
    phone.tab.wait_for_selector("canvas.codes")
    receiver, taken, pictures = Receiver(), set(), 0
    while receiver.payload is None and pictures < 200:
        shot = Image.open(io.BytesIO(phone.tab.locator("canvas.codes").screenshot()))
        phone.tab.evaluate("window.nextCode()")
        pictures += 1
        if chance.random() < LOSS:
            continue
        for code in zxingcpp.read_barcodes(camera(shot, chance, noise)):
            try:
                receiver.add(code.bytes)
                taken.add(code.bytes)
            except BadInput:
                continue  # read wrong, which its check shows
    print(
        f"{receiver.k} blocks of {BLOCK} bytes: {pictures} codes shown, {len(taken)} read at a loss"
        f" of {LOSS:.0%}"
    )
    assert receiver.payload is not None, (
        f"{receiver.known} of {receiver.k} after {pictures} pictures"
    )
    assert receiver.k * BLOCK >= BYTES and len(taken) <= receiver.k + SPARE, (
        f"{len(taken)} frames for {receiver.k} blocks"
    )
    bundle = read_bundle(receiver.payload)
    assert {entry["id"] for entry in bundle.entries} == {entry["id"] for entry in entries}
    phone.tab.click("text=Stop")
    phone.tab.fill("#receipt", "AAA-AAA")
    phone.tab.click("text=Check it")
    phone.tab.wait_for_selector("text=This is not the receipt")
    phone.tab.fill("#receipt", receipt_of(bundle.sha256).lower())
    phone.tab.click("text=Check it")
    phone.tab.wait_for_selector("text=Everything made on this phone is handed over.")
    assert phone.unsent() == []


def test_the_file_proves_itself_and_is_taken_twice_without_harm(phone):
    """Downloaded where the browser cannot share files; a changed letter shows."""
    phone.go("/handing-over")
    phone.keep(note("by file"))
    phone.tab.evaluate("() => { navigator.canShare = () => false; }")
    with phone.tab.expect_download() as download:
        phone.tab.click("text=As a file")
    with open(download.value.path(), "rb") as file:
        raw = file.read()
    assert download.value.suggested_filename.startswith("pitcrew-ivo-")
    bundle = read_bundle(raw)
    assert [entry["body"]["text"] for entry in bundle.entries] == ["by file"]
    with pytest.raises(BadInput, match="changed or cut"):
        read_bundle(raw.replace(b"by file", b"by fire"))
    phone.context.route(
        "**/api/entries", lambda route: route.abort()
    )  # what the phone would send by itself stays with it
    phone.laptop.start()
    for known in (False, True):
        answer = phone.tab.evaluate(
            """async (text) => {
          const headers = { Authorization: `Bearer ${localStorage.getItem("pitcrew.token")}` };
          return (await fetch("/api/hand-in", { method: "POST", headers, body: text })).json();
        }""",
            raw.decode(),
        )
        assert (answer["new"], answer["known"]) == ((0, 1) if known else (1, 0)), answer
    phone.tab.fill("#receipt", answer["receipt"])
    phone.tab.click("text=Check it")
    phone.tab.wait_for_selector("text=The laptop has it: handed over.")
