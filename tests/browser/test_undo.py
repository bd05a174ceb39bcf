"""What was kept by mistake is taken back by whoever kept it, on the phone, at once: undone in place
for ten seconds, corrected or taken back later. The entry itself is never lost."""

import pytest

pytest.importorskip("playwright.sync_api", reason="playwright is not installed: no browser tests")

from tests.browser.kept import kept, unsent
from tests.browser.test_walk_page import (
    address,  # noqa: F401
    handed_over,
    heading,
    keep,
    laptop,  # noqa: F401
    open_walk,
    phone,  # noqa: F401
    until,
)
from tests.web.node import needs_node, run

pytestmark = pytest.mark.browser
UNDO = ".actions .undo"


def entries(tab):
    return [item["entry"] for item in kept(tab)]


@pytest.mark.parametrize("online", [True, False])
def test_one_tap_takes_back_the_reading_that_was_just_kept(phone, laptop, online):  # noqa: F811
    laptop.taking = online
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "14,6")
    keep(phone)
    assert heading(phone) == "Kept. Log it as a fault?"
    box = phone.locator(UNDO).bounding_box()
    assert box["height"] >= 56 and box["width"] >= 56 and phone.inner_text(UNDO) == "Undo"
    phone.click(UNDO)
    until(phone, "document.querySelector('#input-travel') !== null")
    assert phone.input_value("#input-travel") == "14,6", "nothing typed is lost"
    reading, correction = handed_over(phone, laptop, 2) if online else unsent(phone)
    assert reading["kind"] == "reading" and reading["body"]["verdict"] == "stop"
    assert correction["kind"] == "correction" and correction["match"] == reading["match"]
    assert correction["body"] == {
        "of": reading["id"],
        "body": None,
        "why": "Undone right after it was kept",
        "said": {"key": "undone", "words": {}, "text": "Undone right after it was kept"},
    }


def test_after_ten_seconds_the_same_place_leads_back_to_the_check_before(phone, laptop):  # noqa: F811
    phone.clock.install()
    open_walk(phone)
    assert phone.locator(UNDO).count() == 0, "there is nothing before the first check"
    phone.click("label:has-text('Yes')")
    keep(phone)
    assert phone.inner_text(UNDO) == "Undo"
    place = phone.locator(UNDO).bounding_box()
    phone.clock.run_for(10_500)
    assert phone.inner_text(UNDO) == "Back" and phone.locator(UNDO).bounding_box() == place
    phone.click(UNDO)
    assert heading(phone) == "Are all teeth whole?" and "Kept: yes" in phone.inner_text(".kept")
    phone.click("label:has-text('No')")
    phone.click("text=Correct it")
    until(phone, "document.querySelector('#fault-symptom') !== null")
    reading, correction = handed_over(phone, laptop, 2)
    assert correction["body"]["of"] == reading["id"] and correction["body"]["why"] == "Typed wrong"
    assert correction["body"]["body"]["verdict"] == "stop" != reading["body"]["verdict"]


def test_taken_by_mistake_asks_about_its_fault_and_then_asks_the_check_again(phone, laptop):  # noqa: F811
    open_walk(phone)
    phone.click("label:has-text('No')")
    keep(phone)
    phone.click("text=Log the fault")
    until(phone, "document.querySelector('#input-travel') !== null")
    phone.click(".steps .step-stop a")
    phone.click("text=Taken by mistake")
    phone.wait_for_selector("text=Take its fault back, too?")
    phone.click("text=Take it back")
    phone.wait_for_selector("#take")
    assert heading(phone) == "Are all teeth whole?" and not phone.locator(".kept").count()
    reading, fault, first, second = handed_over(phone, laptop, 4)
    assert [first["body"]["of"], second["body"]["of"]] == [reading["id"], fault["id"]]
    assert first["body"]["body"] is second["body"]["body"] is None


def test_a_step_is_a_link_to_its_check_and_large_enough_for_a_thumb(phone, laptop):  # noqa: F811
    open_walk(phone)
    steps = phone.locator(".steps a")
    assert steps.count() == 4
    assert steps.nth(1).get_attribute("href") == "/walk?check=chain-slack%40lift.chain.left"
    box = phone.locator(".steps li").nth(1).bounding_box()
    steps.nth(1).click(position={"x": box["width"] / 2, "y": -8})
    assert phone.locator("#input-travel").count() == 1


def test_a_reload_loses_no_step_and_nothing_typed(phone, laptop):  # noqa: F811
    laptop.taking = False
    open_walk(phone)
    phone.click("label:has-text('Yes')")
    keep(phone)
    phone.fill("#input-travel", "9.")
    phone.reload()
    phone.click("text=Off and at rest")
    assert "2 of 4" in phone.inner_text(".progress")
    assert phone.input_value("#input-travel") == "9."


def test_what_is_undone_on_the_phone_is_out_of_its_own_list_of_faults(phone, laptop):  # noqa: F811
    open_walk(phone, "chain-slack@lift.chain.left")
    phone.fill("#input-travel", "14,6")
    keep(phone)
    phone.click("text=Log the fault")
    until(phone, "document.querySelector('#walk h1').textContent === 'Walk done'")
    phone.click(UNDO)
    until(phone, "document.querySelector('#fault-symptom') !== null")
    phone.click("text=No fault, go on")
    until(phone, "document.querySelector('#walk h1').textContent === 'Walk done'")
    assert "fault logged" not in phone.inner_text("#walk")
    assert [entry["kind"] for entry in entries(phone)] == ["reading", "fault", "correction"]


OWN = """
  const { ownAnswers } = await js("pages/walk/plan.js");
  const { snapshot, checks, fresh, since } = given;
  return [...ownAnswers(snapshot, checks, { fresh, since }).keys()];
"""


@needs_node
def test_what_the_laptop_has_counts_as_done_only_where_it_is_not_due_again() -> None:
    def entry(check, verdict, match="m", **more):
        body = {"check": check, "part": "p", "verdict": verdict}
        return {"id": check, "kind": "reading", "match": match, "body": body, **more}

    keys = ("due-ok", "due-unjudged", "due-unjudged-for-another-match", "done", "not-sent")
    given = {
        "snapshot": {"next": {"run": "m"}},
        "checks": [{"key": f"{key}@p", "due": key != "done"} for key in keys],
        "fresh": [entry("not-sent", "ok")],
        "since": [
            entry("due-ok", "ok"),
            entry("due-unjudged", "unjudged"),
            entry("due-unjudged-for-another-match", "unjudged", match="before"),
            entry("done", "ok"),
        ],
    }
    assert set(run(OWN, given)) == {"due-unjudged@p", "done@p", "not-sent@p"}


def test_the_screen_stays_on_until_the_walk_ends(phone, laptop):  # noqa: F811
    phone.add_init_script("""
      window.asked = [];
      const lock = { released: false, release: async () => { lock.released = true; asked.push("off"); } };
      Object.defineProperty(navigator, "wakeLock", { value: { request: async (kind) => { asked.push(kind); return lock; } } });
    """)
    open_walk(phone, "chain-slack@lift.chain.left")
    assert phone.evaluate("asked") == ["screen"]
    phone.fill("#input-travel", "9.7")
    keep(phone)
    assert phone.evaluate("asked") == ["screen", "off"]
