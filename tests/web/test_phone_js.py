"""What the phone works out by itself without the laptop: readiness that only gets worse, times in
the event's zone, where to ask."""

from dataclasses import asdict

import pytest

from pitcrew.domain.event.debriefs import CLIMB_ROW, QUESTIONS
from pitcrew.domain.logbook.climbs import HITS, was_hit
from pitcrew.domain.now.worsening import FACTS
from pitcrew.web.filters import clock_error
from pitcrew.web.shell import TABLE
from tests.web.node import needs_node, run
from tests.web.worsened import worsened

SNAPSHOT = {
    "log": "a",
    "head": 9,
    "now": "2026-03-07T09:02:00Z",
    "event": {"name": "fjord", "label": "Fjord", "zone": "Europe/Oslo"},
    "next": {
        "run": "fjord/14/1",
        "label": "Match 14",
        "planned": "2026-03-07T10:00:00Z",
        "expected": "2026-03-07T10:04:00Z",
    },
    "readiness": {"word": "ready", "reasons": []},
    "robot": {"zones": [{"id": "mast", "label": "Mast"}, {"id": "base", "label": "Base"}]},
    "parts": [
        {"id": "lift.chain.left", "label": "Lift chain, left", "climb_critical": False},
        {"id": "climb.rope", "label": "Climb rope", "climb_critical": True},
    ],
    "checks": [
        {
            "key": "chain-slack@lift.chain.left",
            "label": "Chain slack",
            "zone": "mast",
            "due": True,
            "must": True,
            "minutes": 1.5,
        },
        {
            "key": "rope-wires@climb.rope",
            "label": "Rope wires",
            "zone": "base",
            "due": True,
            "must": True,
            "minutes": 2,
        },
    ],
    "climb": {
        "planned": True,
        "state": "cleared",
        "why": "",
        "person": "Bo",
        "at": "2026-03-07T08:50:00Z",
        "missing": [],
    },
    "batteries": [
        {"name": "3", "label": "Battery 3", "offered": True},
        {"name": "7", "label": "Battery 7", "offered": False},
    ],
    "faults": [],
    "debrief": {
        "questions": [],
        "climb": [],
        "hits": [
            {"name": name, "given": given, "says": says} for name, (given, says) in HITS.items()
        ],
    },
}
BEFORE, AFTER = "2026-03-07T10:03:00Z", "2026-03-07T10:05:00Z"
WORSE = (
    'const { worsened } = await js("pages/offline/worse.js"); return worsened(given.table,'
    " given.snapshot, given.entries, Date.parse(given.now));"
)


def entry(number, kind, **body):
    return {"id": f"0{number}", "kind": kind, "body": body}


def reading(number, verdict, check="chain-slack", part="lift.chain.left"):
    return entry(number, "reading", check=check, part=part, verdict=verdict)


CASES = {
    "a debrief of a good climb": (
        [entry(1, "debrief", answers={"climbed": True, "held": True, "down": "by the card"})],
        BEFORE,
        "ready",
        "",
    ),
    "a debrief of a bad climb": (
        [entry(1, "debrief", answers={"climbed": True, "held": False})],
        BEFORE,
        "hold",
        "the climb did not hold. The checks after a hard hit are due.",
    ),
    "nothing of its own": ([], BEFORE, "ready", ""),
    "the match has begun": ([], AFTER, "hold", "worked out for Match 14, which has begun"),
    "a good reading": ([reading(1, "ok")], BEFORE, "ready", ""),
    "a stop": ([reading(1, "stop")], BEFORE, "hold", "Lift chain, left, Chain slack: stop."),
    "a must-check unjudged": ([reading(1, "unjudged")], BEFORE, "hold", "unjudged"),
    "a stop that a later reading clears": (
        [reading(1, "stop"), reading(2, "ok")],
        BEFORE,
        "ready",
        "",
    ),
    "a stop fault": (
        [entry(1, "fault", part="lift.chain.left", symptom="snapped", grade="stop")],
        BEFORE,
        "hold",
        "snapped (stop, open)",
    ),
    "a stop that was logged as a fault": (
        [
            reading(1, "stop"),
            entry(2, "fault", part="lift.chain.left", reading="01", grade="watch"),
        ],
        BEFORE,
        "ready",
        "",
    ),
    "a part that was changed": (
        [entry(1, "part_change", part="lift.chain.left", what="new chain")],
        BEFORE,
        "hold",
        "Lift chain, left: changed, and not checked since. From this phone.",
    ),
    "a fault to watch": (
        [entry(1, "fault", part="lift.chain.left", symptom="stiff", grade="watch")],
        BEFORE,
        "ready",
        "",
    ),
    "a fault opened again": (
        [entry(1, "fault_move", fault="f", to="open")],
        BEFORE,
        "hold",
        "opened again",
    ),
    "a blocking temporary state": (
        [entry(1, "temporary", part="lift.chain.left", what="tied", blocks=True)],
        BEFORE,
        "hold",
        "tied, not undone",
    ),
    "the offered battery goes away": (
        [entry(1, "battery_move", battery="3", to="bench")],
        BEFORE,
        "hold",
        "went elsewhere",
    ),
    "the offered battery goes in": (
        [entry(1, "battery_move", battery="3", to="robot")],
        BEFORE,
        "ready",
        "",
    ),
    "a good reading on the climb": (
        [reading(1, "ok", "rope-wires", "climb.rope")],
        BEFORE,
        "ready",
        "",
    ),
    "a watch on the climb": (
        [reading(1, "watch", "rope-wires", "climb.rope")],
        BEFORE,
        "hold",
        "clearance is void: Climb rope",
    ),
}


@needs_node
@pytest.mark.parametrize("name", CASES)
def test_readiness_offline_only_gets_worse(name) -> None:
    entries, now, word, said = CASES[name]
    given = {"table": TABLE, "snapshot": SNAPSHOT, "entries": entries, "now": now}
    found = run(WORSE, given)
    assert found == worsened(**given), "the table read in Python"
    assert found["word"] == word
    assert said in " ".join(reason["text"] for reason in found["reasons"])


def test_every_row_of_the_table_is_tried() -> None:
    """Without one of its rows, the table says less of some case above."""
    for left_out in TABLE["rows"]:
        rest = TABLE | {"rows": [row for row in TABLE["rows"] if row is not left_out]}
        assert any(
            worsened(rest, SNAPSHOT, entries, now) != worsened(TABLE, SNAPSHOT, entries, now)
            for entries, now, _, _ in CASES.values()
        ), left_out["says"]
    asked = {name for row in TABLE["rows"] for name in (*row["facts"], *row["unless"])}
    assert asked == set(FACTS)


@needs_node
def test_a_fact_that_this_phone_does_not_know_counts_against_it() -> None:
    """A newer table beside an older script."""
    row = TABLE["rows"][1]
    unknown = {"rows": [row | {"facts": ["new"], "unless": ["newer"]}], "own": ""}
    given = {"table": unknown, "snapshot": SNAPSHOT, "entries": [reading(1, "stop")], "now": BEFORE}
    assert run(WORSE, given)["word"] == "hold"


@needs_node
@pytest.mark.parametrize("word", ["ready with deferrals", "hold"])
def test_nothing_a_phone_does_makes_it_better(word) -> None:
    """Whatever is measured or repaired here: the laptop's hold stays until the laptop says
    otherwise."""
    snapshot = SNAPSHOT | {
        "readiness": {"word": word, "reasons": [{"text": "as before", "href": "/now"}]}
    }
    good = [
        reading(1, "ok"),
        entry(2, "fault_move", fault="f", to="repaired"),
        entry(3, "battery_move", battery="3", to="robot"),
    ]
    found = run(WORSE, {"table": TABLE, "snapshot": snapshot, "entries": good, "now": BEFORE})
    assert found["word"] == word and found["reasons"][0]["text"] == "as before"


@needs_node
def test_what_is_due_loses_what_this_phone_has_answered() -> None:
    due = run(
        'const { dueByZone } = await js("pages/offline/worse.js"); return dueByZone(given.snapshot,'
        " given.entries);",
        {"snapshot": SNAPSHOT, "entries": [reading(1, "watch")]},
    )
    assert [(zone["zone"]["id"], zone["minutes"]) for zone in due] == [("base", 2)]


@needs_node
def test_times_are_the_events_own() -> None:
    """12:30 in UTC is 13:30 in Oslo in March (CET, one hour ahead); a day's name where it is not
    today there."""
    asked = 'given.map(([at, now]) => clockTime(at, "Europe/Oslo", Date.parse(now)))'
    found = run(
        f'const {{ clockTime }} = await js("lib/times.js"); return {asked};',
        [
            ["2026-03-07T12:30:00Z", "2026-03-07T08:00:00Z"],
            ["2026-03-07T23:30:00Z", "2026-03-07T22:00:00Z"],
            ["", "2026-03-07T22:00:00Z"],
            ["no time", "2026-03-07T22:00:00Z"],
        ],
    )
    assert found == ["13:30", "Sun 00:30", "", ""]


REACH = """
  globalThis.location = new URL(given.page);
  globalThis.localStorage = { getItem: (key) => (key === "pitcrew.typed" ? given.typed : null), setItem() {} };
  const asked = [];
  globalThis.fetch = async (address) => {
    asked.push(address);
    const answer = given.answers[new URL(address).origin];
    if (!answer) throw new TypeError("Load failed");
    return { status: 200, headers: new Headers({ "Content-Type": answer }), json: async () => ({ ok: true }) };
  };
  const { reach } = await js("sync/reach.js");
  const found = await reach("/api/entries", { method: "POST" });
  return { asked, base: found?.base ?? null };
"""


@needs_node
def test_each_known_address_is_asked_until_one_answers_as_pitcrew() -> None:
    """The app's own address first, then the typed one; a portal's page is not the laptop, and a page on
    https asks no plain http."""
    own, typed = "https://pit-3f9a.local:8443", "https://192.168.7.20:8443"
    json, html = "application/json", "text/html; charset=utf-8"
    given = {"page": f"{own}/now", "typed": typed, "answers": {own: html, typed: json}}
    assert run(REACH, given) == {
        "asked": [f"{own}/api/entries", f"{typed}/api/entries"],
        "base": typed,
    }
    assert run(REACH, given | {"answers": {}})["base"] is None
    assert run(REACH, given | {"typed": "http://192.168.7.20:8765", "answers": {}})["asked"] == [
        f"{own}/api/entries"
    ]


@needs_node
def test_a_page_on_plain_http_asks_its_own_address_alone() -> None:
    """The laptop lets the app's https origin alone ask across addresses: any other try only fills
    the console."""
    own = "http://192.168.7.20:8765"
    given = {"page": f"{own}/now", "typed": "https://192.168.7.21:8443", "answers": {}}
    assert run(REACH, given)["asked"] == [f"{own}/api/entries"]


@needs_node
def test_the_receipt_is_the_laptops() -> None:
    from pitcrew.exchange.bundle import receipt_of

    digests = [f"{number:064x}" for number in (0, 1, 2**255 + 12345)]
    found = run(
        'const { receiptOf } = await js("lib/receipt.js"); return given.map(receiptOf);', digests
    )
    assert found == [receipt_of(digest).replace("-", "") for digest in digests]
    (plain,) = run(
        'const { plainReceipt } = await js("lib/receipt.js"); return given.map(plainReceipt);',
        [" cnu-jg9 "],
    )
    assert plain == "CNUJG9"


ERRORS = {
    0: "",
    60: "",
    -60: "",
    61: "1 min behind",
    -185: "3 min ahead",
    3600: "60 min behind",
    2 * 3600: "2 h behind",
    -47 * 3600: "47 h ahead",
    48 * 3600: "2 days behind",
    -400 * 86_400: "400 days ahead",
    25 * 365.25 * 86_400: "25 years behind",
}


@needs_node
def test_the_error_of_a_clock_is_said_in_the_same_words_on_both_sides():
    found = run(
        'const { clockError } = await js("lib/times.js"); return given.map((seconds) =>'
        " clockError(seconds * 1000));",
        list(ERRORS),
    )
    assert found == [clock_error(seconds) for seconds in ERRORS] == list(ERRORS.values())


@needs_node
@pytest.mark.parametrize("typed, answers", [
    ({"climbed": "yes", "held": "yes", "down": "by the card", "hard_hit": "on"}, {"climbed": True, "held": True, "down": "by the card"}),
    ({"climbed": "yes"}, {"climbed": True}), ({"climbed": "no", "held": "yes", "down": "by the card"}, {"climbed": False}), ({}, {}),
])  # fmt: skip
def test_a_debrief_without_the_laptop_says_what_was_answered_and_no_more(typed, answers) -> None:
    """The same as the laptop's form: tests/web/test_now.py."""
    asked = {
        name: [asdict(question) for question in questions]
        for name, questions in (("questions", QUESTIONS), ("climb", CLIMB_ROW))
    }
    code = """const { answersOf } = await js("pages/offline/debrief.js"); const form = new FormData();
    for (const [name, value] of Object.entries(given.typed)) form.append(name, value); return answersOf(form, given.asked);"""
    found = run(code, {"asked": asked, "typed": typed})
    ticks = {question.name for question in QUESTIONS if question.kind == "tick"}
    assert {name: value for name, value in found.items() if name not in ticks} == answers
    assert {name for name in ticks if found[name]} == {"hard_hit"} & set(typed) and ticks <= set(
        found
    )


@needs_node
def test_a_phone_reads_a_hit_out_of_a_debrief_as_the_laptop_does():
    """Over every answer that a debrief may have, one at a time and with a climb that held."""
    words = (True, False, "yes", "no", "", "by the card", "another way", "it slid or fell", 1, None)
    names = [question.name for question in (*QUESTIONS, *CLIMB_ROW)]
    debriefs = [
        more | {name: word} for name in names for word in words for more in ({}, {"held": True})
    ]
    found = run(
        'const { hitIn, worsened } = await js("pages/offline/worse.js");'
        "return given.debriefs.map((answers) => [Boolean(hitIn(given.snapshot, answers)), worsened(given.table, given.snapshot,"
        ' [{ id: "1", kind: "debrief", body: { answers } }], 0).reasons.some(({ href }) => href === "/climb")]);',
        {"table": TABLE, "snapshot": SNAPSHOT, "debriefs": debriefs},
    )
    assert found == [[was_hit(answers)] * 2 for answers in debriefs]
    assert [True, True] in found and [False, False] in found
