"""Now: what it shows of the moment, and its three buttons."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pitcrew.domain.now.view import view_of
from pitcrew.pit.folder import make_folder
from pitcrew.pit.pit import Pit, open_pit
from pitcrew.web.app import create_app
from tests.web.conftest import LEAD, SETTINGS, Client, Hands, join, last, reading, slack, words


def due(pit: Pit) -> set[str]:
    """The keys of the checks that are due now."""
    with pit.reading() as state:
        return {item.key for item in view_of(pit.definitions, state, pit.clock()).due}


def test_it_shows_the_match_the_reasons_and_the_work(crew: Client) -> None:
    page = crew.get("/now")
    seen = words(page)
    assert "Match 14" in seen and "Hold" in seen and "Due for Match 14" in seen
    assert 'href="/climb"' in page and 'href="/walk?zone=mast"' in page
    assert "Start my walk" in seen


def test_a_done_check_counts(pit: Pit, crew: Client) -> None:
    before = words(crew.get("/now"))
    assert " 0 done" in before
    pit.record("reading", slack(pit, 10), LEAD)
    assert " 1 done" in words(crew.get("/now"))


def test_the_robot_is_back(pit: Pit, crew: Client) -> None:
    """Match 11 of 09:20 is over by 10:02; its robot is back, and the drive team is asked about
    it."""
    page = crew.get("/now")
    assert "Robot is back from Match 11" in page
    seen = crew.post("/now/returned", {"run": "fjord/11/1"})
    assert "Ask the drive team" in words(seen) and 'selected value="fjord/11/1"' in seen
    assert (last(pit, "returned").match, last(pit, "returned").person) == ("fjord/11/1", "Ivo")
    assert "Robot is back" not in crew.get("/now")


def test_the_next_match_can_be_the_one_it_is_back_from(crew: Client, clock: Hands) -> None:
    """From 21 minutes before the printed time on, a match may have been played (counted starts)."""
    crew.post("/now/returned", {"run": "fjord/11/1"})
    clock.later(38)
    assert "Robot is back from Match 14" in crew.get("/now")


def test_pressing_twice_records_once(pit: Pit, crew: Client) -> None:
    crew.post("/now/returned", {"run": "fjord/11/1"})
    crew.post("/now/returned", {"run": "fjord/11/1"})
    with pit.reading() as state:
        assert len(state.returned) == 1


def test_an_unknown_match_is_said(crew: Client) -> None:
    assert "not in the schedule" in words(
        crew.post("/now/returned", {"run": "fjord/99/1"}, status=400)
    )


def test_no_climb_this_match_and_after_all(pit: Pit, crew: Client, clock: Hands) -> None:
    assert "A climb is planned" in crew.get("/now")
    seen = words(crew.post("/now/climb", {"climb": "no"}))
    assert "Recorded: no climb this match." in seen and "A climb is planned" not in seen
    plan = last(pit, "climb_plan")
    assert plan.match == "fjord/14/1" and plan.body == {"climbs": False}
    assert "Climb after all" in seen
    clock.later(1)
    assert "A climb is planned" in crew.post("/now/climb", {"climb": "yes"})


def test_a_hard_hit_makes_checks_due(pit: Pit, crew: Client, clock: Hands) -> None:
    """Of a part that is on the robot; a battery on the shelf takes no hit."""
    hit = next(
        item
        for item in pit.definitions.part_checks.values()
        if not item.part.id.startswith("battery.")
        and any(rule.word == "after a hard hit" for rule in item.check.due)
        and all(field.kind in ("choice", "yes_no") for field in item.check.inputs)
    )
    pit.record("reading", reading(hit, 0), LEAD)
    assert hit.key not in due(pit)
    clock.later(1)
    seen = words(
        crew.post(
            "/now/debrief",
            {"match": "fjord/11/1", "hard_hit": "y", "more": "left rear corner", "battery": "3"},
        )
    )
    assert "The debrief is recorded. It makes" in seen
    assert hit.key in due(pit)
    entry = last(pit, "debrief")
    assert entry.match == "fjord/11/1"
    assert (
        entry.body["answers"]
        | {
            "hard_hit": True,
            "tipped": False,
            "more": "left rear corner",
            "battery": "3",
        }
        == entry.body["answers"]
    )


@pytest.mark.parametrize("typed, answers", [
    ({"climbed": "yes", "held": "yes", "slipped": "no", "one_hook": "no", "down": "by the card"},
     {"climbed": True, "held": True, "slipped": False, "one_hook": False, "down": "by the card"}),
    ({"climbed": "yes"}, {"climbed": True}), ({"climbed": "no", "held": "yes", "down": "by the card"}, {"climbed": False}), ({}, {}),
])  # fmt: skip
def test_the_debrief_asks_about_the_climb(
    pit: Pit, crew: Client, typed: dict, answers: dict
) -> None:
    """What no one answered is not in the entry: it counts against the climb. Without a climb the
    rest of the row says nothing."""
    assert "Did it hold, power off, until it was taken down?" in words(crew.get("/now/debrief"))
    crew.post("/now/debrief", {"match": "fjord/11/1"} | typed)
    found = last(pit, "debrief").body["answers"]
    assert {
        name: found[name]
        for name in ("climbed", "held", "slipped", "one_hook", "down")
        if name in found
    } == answers


def test_a_debrief_wants_its_match(crew: Client) -> None:
    assert "Pick the match." in words(crew.post("/now/debrief", {"hard_hit": "y"}, status=400))


def test_walk_carries_the_snapshot(crew: Client) -> None:
    page = crew.get("/walk?zone=mast")
    assert (
        '<script type="application/json" id="snapshot">' in page
        and '"check":"chain-slack"' in page
        and '"part":"lift.chain.left"' in page
    )


def test_a_phone_names_the_battery_that_the_laptop_names(pit: Pit, crew: Client) -> None:
    """Not the first of the list: the one in the robot goes before it, offered or not yet."""
    names = [
        part.id.removeprefix("battery.")
        for part in pit.definitions.robot.parts.values()
        if part.kind == "battery"
    ]
    crew.post(f"/batteries/{names[-1]}/move", {"to": "robot"})
    told = crew.flask.get("/api/snapshot", headers=crew.bearer).get_json()["battery"]
    assert told["name"] == names[-1] != names[0]
    seen = words(crew.get("/now"))
    assert (
        f"{'Take' if told['offered'] else 'Not yet:'} {told['label']}" in seen
        and told["says"] in seen
    )


@pytest.fixture
def newcomer(tmp_path: Path, clock: Hands) -> Iterator[Client]:
    """A lead in a pit folder that holds its settings and nothing else."""
    folder = tmp_path / "new"
    make_folder(folder, SETTINGS, [], [])
    opened = open_pit(folder, clock, fsync=False)
    yield join(create_app(opened), opened, "lead")
    opened.close()


def test_an_empty_pit_folder_says_what_to_do_first(newcomer: Client) -> None:
    page = newcomer.get("/now")
    seen = words(page)
    assert (
        "No match list is in yet" in seen
        and "No build sheet is loaded" in seen
        and "No check is known" in seen
    )
    assert 'href="/schedule"' in page and 'href="/mistakes"' in page
    assert "no part can be picked" in words(newcomer.get("/faults/new"))


def test_the_hold_test_says_what_is_ok_before_anything_is_typed(pit: Pit, crew: Client) -> None:
    """The accept window: one tooth is 9.1 mm, and 10 mm of slip less the ruler's guard band of 0.82
    would be 9.2."""
    page = crew.get("/walk?check=hold-test@climb.ratchet")
    assert "Sank by: 9.1 mm or less; Teeth passed: at most 1" in page and '"witness":true' in page
