"""Parts, readings and temporary states."""

from pitcrew.pit.pit import Pit
from tests.web.conftest import CHAIN, LEAD, SLACK, Client, Hands, count, last, slack, words


def test_a_part_shows_its_specification_limits_and_trend(
    pit: Pit, crew: Client, clock: Hands
) -> None:
    for number in (9, 10, 11):
        pit.record("reading", slack(pit, number), LEAD)
        clock.later(5)
    page = crew.get(f"/parts/{CHAIN}")
    seen = words(page)
    part, item = pit.definitions.robot.parts[CHAIN], pit.definitions.part_checks[SLACK]
    assert part.label in seen and part.typed["span"] in seen and item.limit.because in seen
    assert "11 mm" in seen and 'class="trend"' in page and 'class="gauge"' in page
    assert page.index("9 mm") < page.index("11 mm</td>")


def test_a_change_is_recorded_and_makes_checks_due(pit: Pit, crew: Client, clock: Hands) -> None:
    due = next(
        item
        for item in pit.definitions.part_checks.values()
        if any(rule.word == "after part change" for rule in item.check.due)
    )
    clock.later(1)
    seen = crew.post(
        f"/parts/{due.part.id}", {"identical": "yes", "old": "link 3", "new": "link 5"}
    )
    assert "The change is recorded." in seen and "link 3 → link 5" in words(seen).replace(" ", " ")
    assert last(pit, "part_change").body == {
        "part": due.part.id,
        "identical": True,
        "old": "link 3",
        "new": "link 5",
    }
    assert last(pit, "part_change").match == "fjord/14/1"


def test_a_change_says_whether_it_is_the_same(pit: Pit, crew: Client) -> None:
    before = count(pit)
    assert "Say whether the new part is the same kind." in words(
        crew.post(f"/parts/{CHAIN}", {"old": "3"}, status=400)
    )
    assert count(pit) == before


def test_a_reading_shows_the_limit_that_judged_it(pit: Pit, crew: Client) -> None:
    measured = pit.record("reading", slack(pit, 30), LEAD, match="fjord/11/1")
    page = crew.get(f"/readings/{measured.id}")
    seen = words(page)
    assert (
        "Stop" in seen
        and "30 mm is above" in seen
        and "Match 11" in seen
        and "Judged by" in seen
        and 'class="gauge"' in page
    )


def test_a_reading_keeps_its_limit(pit: Pit, crew: Client) -> None:
    """The build sheet changes afterwards; the reading is still shown with the limit that judged it,
    and the page says so."""
    measured = pit.record("reading", slack(pit, 10), LEAD)
    sheet = pit.folder / "robots" / "tern.toml"
    before = pit.definitions.part_checks[SLACK].limit.stop_high
    span = pit.definitions.robot.parts[CHAIN].typed["span"]
    sheet.write_text(
        sheet.read_text(encoding="utf-8").replace(f'"{span}"', '"212 mm"'), encoding="utf-8"
    )
    assert pit.reload().part_checks[SLACK].limit.stop_high < before
    assert "This reading keeps the limit that it was judged by." in crew.get(
        f"/readings/{measured.id}"
    )


def test_a_corrected_and_a_removed_reading(pit: Pit, crew: Client) -> None:
    measured = pit.record("reading", slack(pit, 30), LEAD)
    pit.record(
        "correction",
        {"of": measured.id, "body": slack(pit, 10), "why": "read in the wrong line"},
        LEAD,
    )
    seen = words(crew.get(f"/readings/{measured.id}"))
    assert "OK" in seen and "read in the wrong line" in seen
    pit.record("correction", {"of": measured.id, "body": None, "why": "another robot"}, LEAD)
    crew.get(f"/readings/{measured.id}", 302)
    seen = words(crew.get(f"/corrections/{measured.id}"))
    assert "counts no more" in seen and "another robot" in seen


def test_a_temporary_state_in_two_taps_and_undone_in_one(pit: Pit, crew: Client) -> None:
    assert f'selected value="{CHAIN}"' in crew.get(f"/temporary?part={CHAIN}")
    seen = words(
        crew.post("/temporary", {"part": CHAIN, "done": "Taken off", "what": "", "blocks": "y"})
    )
    assert "holds the robot" in seen
    entry = last(pit, "temporary")
    assert entry.body == {"part": CHAIN, "what": "Taken off", "blocks": True}
    assert "Taken off, not undone" in crew.get("/now")
    assert "Recorded as undone: Taken off." in words(crew.post(f"/temporary/{entry.id}/undone"))
    assert last(pit, "temporary_undone").body["temporary"] == entry.id
    assert "has undone it already" in words(crew.post(f"/temporary/{entry.id}/undone", status=409))
    assert "no such temporary state" in words(crew.post("/temporary/none/undone", status=404))


def test_a_temporary_state_says_what_exactly(pit: Pit, crew: Client) -> None:
    crew.post(
        "/temporary", {"part": CHAIN, "done": "Bridged", "what": "fuse 8 for the shooter test"}
    )
    assert last(pit, "temporary").body == {
        "part": CHAIN,
        "what": "Bridged: fuse 8 for the shooter test",
        "blocks": False,
    }
    seen = words(crew.post("/temporary", {"part": "lift.nothing", "done": "Bent"}, status=400))
    assert seen.count("not on the list") == 2
