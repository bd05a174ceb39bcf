"""The looks of a zone stand on one card, a tap each; what is measured keeps its own screen."""

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from tests.browser import look_server
from tests.browser.accessible import breaches_in_every_theme
from tests.browser.test_walk_page import (
    address,  # noqa: F401
    handed_over,
    heading,
    laptop,  # noqa: F401
    phone,  # noqa: F401
)
from tests.web.look import snapshot

pytestmark = pytest.mark.browser
TEETH = ("front", "rear", "spare")


def more_teeth():
    """The sample with the ratchet's look for three ratchets."""
    found = snapshot()
    (one,) = [check for check in found["checks"] if check["check"] == "ratchet-tooth"]
    looks = [
        {**one, "part": part, "part_label": f"Ratchet, {name}", "key": f"{one['check']}@{part}"}
        for name in TEETH
        if (part := f"lift.{name}")
    ]
    rest = [check for check in found["checks"] if check["check"] in ("chain-slack", "servo-travel")]
    return {**found, "checks": [*looks, *rest]}


def test_three_looks_are_one_screen_and_a_number_keeps_its_own(phone, laptop, monkeypatch):  # noqa: F811
    monkeypatch.setattr(look_server, "snapshot", more_teeth)
    phone.goto(f"{phone.base}/walk?zone=mast")
    phone.click("text=Off and at rest")
    assert heading(phone) == "Mast and climb hook: look"
    rows = phone.locator(".look-row")
    assert rows.count() == 3 and "Are all teeth whole?" in rows.first.inner_text()
    sizes = phone.evaluate(
        "[...document.querySelectorAll('.look-row .button')].map((e) => e.offsetHeight)"
    )
    assert len(sizes) == 6 and min(sizes) >= 56
    assert breaches_in_every_theme(phone) == []
    phone.get_by_role("button", name="Yes: Ratchet, front").click()
    phone.get_by_role("button", name="Yes: Ratchet, rear").click()
    phone.click(".actions .undo")
    phone.get_by_role("button", name="Yes: Ratchet, rear").wait_for()
    assert phone.locator(".progress-count").inner_text() == "1 of 3", "the last tap is undone"
    phone.get_by_role("button", name="Something: Ratchet, spare").click()
    assert phone.locator(".drawing").count() == 1 and not phone.locator("input:checked").count()
    phone.click("label:has-text('No')")
    phone.click("text=Keep and next")
    phone.click("text=No fault, go on")
    phone.get_by_role("button", name="Yes: Ratchet, rear").click()
    phone.click("text=Go on")
    phone.wait_for_selector("#input-travel")
    entries = handed_over(phone, laptop, 5)
    told = [
        (entry["kind"], entry["body"].get("part"), entry["body"].get("verdict"))
        for entry in entries
    ]
    assert told == [
        ("reading", "lift.front", "ok"),
        ("reading", "lift.rear", "ok"),
        ("correction", None, None),
        ("reading", "lift.spare", "stop"),
        ("reading", "lift.rear", "ok"),
    ]
