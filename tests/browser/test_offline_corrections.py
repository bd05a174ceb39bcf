"""On a phone without the laptop: what it logged is corrected and taken back there, temporary states
open and close, and all of it reaches the logbook once, the first words still in it."""

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from tests.browser.accessible import breaches_in_every_theme
from tests.browser.laptop import SLACK

pytestmark = pytest.mark.browser
CHAIN = SLACK.partition("@")[2]


def log_fault(phone) -> str:
    phone.measure("14")
    phone.tab.click("text=Log the fault")
    phone.tab.wait_for_selector("text=Walk done")
    (fault,) = [entry for entry in phone.unsent() if entry["kind"] == "fault"]
    return fault["id"]


def test_a_fault_is_corrected_twice_and_its_first_words_stay_readable(phone):
    phone.context.set_offline(True)
    fault = log_fault(phone)
    for words in ("Chain rubs on the guard", "Chain rubs on the left guard"):
        phone.go(f"/faults/{fault}")
        phone.tab.click("summary:has-text('Correct it')")
        phone.tab.fill("#symptom", words)
        phone.tab.click("button:has-text('Correct it')")
        phone.tab.wait_for_selector(f"h1:has-text('{words}')")
    phone.tab.click("text=What it said before")
    before = phone.tab.locator("details[open] li").all_inner_texts()
    assert [said.partition(" (")[0] for said in before] == [
        "Chain slack: 14 mm",
        "Chain rubs on the guard",
    ]
    entries = phone.unsent()
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times(entries) == [1] * len(entries)
    phone.go(f"/faults/{fault}")
    assert "Chain rubs on the left guard" in phone.says("h1")


def test_a_fault_taken_by_mistake_is_off_the_list_and_the_readiness_at_once(phone):
    phone.context.set_offline(True)
    fault = log_fault(phone)
    phone.go(f"/faults/{fault}")
    assert phone.tab.locator("text=Taken by mistake").bounding_box()["height"] >= 56
    phone.tab.click("text=Taken by mistake")
    phone.tab.wait_for_url("**/faults")
    phone.tab.wait_for_selector("text=Log a fault")
    assert "14 mm" not in phone.says()
    phone.go("/now")
    phone.tab.wait_for_selector(".verdict")
    assert "14 mm (stop, open)" not in phone.says()
    entries = phone.unsent()
    assert [entry["kind"] for entry in entries] == ["reading", "fault", "correction"]
    phone.context.set_offline(False)
    phone.hand_over()
    assert phone.laptop.times(entries) == [1, 1, 1]


def test_a_temporary_state_opens_and_closes_and_its_closing_is_undone(phone):
    phone.context.set_offline(True)
    phone.go(f"/temporary?part={CHAIN}")
    phone.tab.wait_for_selector("text=Something is temporary")
    phone.tab.click("text=Record it")
    assert "Pick what was done" in phone.says(".error")
    phone.tab.locator("#temporary-none, .choice").first.click()
    phone.tab.fill("#what", "chain guard, for the camera")
    phone.tab.click("text=Record it")
    row = phone.tab.locator("li:has-text('chain guard, for the camera')")
    assert row.locator("bdi").bounding_box()["width"] > 200, "no letter a line beside its buttons"
    row.locator("text=Undone").click()
    phone.tab.wait_for_selector("text=It is not undone")
    row.locator("text=It is not undone").click()
    phone.tab.wait_for_selector("text=Taken by mistake")
    assert breaches_in_every_theme(phone.tab) == []
    entries = phone.unsent()
    assert [entry["kind"] for entry in entries] == ["temporary", "temporary_undone", "correction"]
    assert entries[0]["body"]["part"] == CHAIN and entries[0]["body"]["blocks"] is True
    assert entries[2]["body"]["of"] == entries[1]["id"] and entries[2]["body"]["body"] is None
    phone.context.set_offline(False)
    phone.hand_over()
    phone.go("/temporary")
    assert "chain guard, for the camera" in phone.says(".rows")
    phone.tab.locator("li:has-text('chain guard') button").click()
    phone.tab.wait_for_selector("h2:has-text('Undone')")
