"""Batteries: the fleet as it is, and moving one."""

import re

from pitcrew.pit.pit import Pit
from tests.web.conftest import LEAD, Client, Hands, count, last, words


def a_battery(pit: Pit) -> str:
    return next(
        part.id.removeprefix("battery.")
        for part in pit.definitions.robot.parts.values()
        if part.kind == "battery"
    )


def test_every_battery_is_there_and_says_why_it_is_not_offered(pit: Pit, crew: Client) -> None:
    seen = words(crew.get("/batteries"))
    labels = [part.label for part in pit.definitions.robot.parts.values() if part.kind == "battery"]
    assert len(labels) >= 3 and all(label in seen for label in labels)
    assert "No load test is on record" in seen and "nobody logged it" in seen


def test_on_a_channel(pit: Pit, crew: Client) -> None:
    name = a_battery(pit)
    assert "on channel 2" in words(
        crew.post(f"/batteries/{name}/move", {"to": "channel", "where": "2"})
    )
    assert last(pit, "battery_move").body == {"battery": name, "to": "channel", "where": "2"}


def test_enter_in_the_channel_field_means_the_charger(pit: Pit, crew: Client) -> None:
    """Browsers press a form's first button for Enter (HTML standard, implicit submission)."""
    page = crew.get("/batteries")
    forms = [
        form
        for form in re.findall(r'<form[^>]*action="/batteries/.*?</form>', page, re.DOTALL)
        if 'id="where-' in form
    ]
    assert len(forms) >= 3
    for form in forms:
        assert re.findall(r'<button[^>]*value="([a-z]+)"', form)[0] == "channel"


def test_a_channel_is_named(pit: Pit, crew: Client) -> None:
    before = count(pit)
    assert "Type the channel of the charger." in words(
        crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "channel"}, status=400)
    )
    assert count(pit) == before


def test_in_the_robot_and_out(pit: Pit, crew: Client, clock: Hands) -> None:
    name = a_battery(pit)
    crew.post(f"/batteries/{name}/move", {"to": "robot", "where": "ignored"})
    assert last(pit, "battery_move").body == {
        "battery": name,
        "to": "robot",
        "where": pit.robot_name(),
    }
    assert last(pit, "battery_move").match == "fjord/14/1"
    clock.later(1)
    assert "at rest, since" in words(crew.post(f"/batteries/{name}/move", {"to": "rest"}))


def test_a_team_with_two_robots_says_into_which(pit: Pit, crew: Client, clock: Hands) -> None:
    name = a_battery(pit)
    (sheet,) = (pit.folder / "robots").glob("*.toml")
    label = pit.definitions.robot.label
    (pit.folder / "robots" / "zz-second.toml").write_text(
        sheet.read_text().replace(f'"{label}"', '"Second"')
    )
    pit.reload()
    seen = words(crew.get("/batteries"))
    assert seen.index(f"Put in {label}") < seen.index("Put in Second")
    assert "in the robot Second" in words(
        crew.post(f"/batteries/{name}/move", {"to": "robot", "where": "zz-second"})
    )
    clock.later(1)
    pit.record("battery_move", {"battery": name, "to": "robot", "where": pit.robot_name()}, LEAD)
    assert "It was logged in two robots" in words(crew.get("/batteries"))


def test_retired(pit: Pit, crew: Client) -> None:
    assert "It is retired." in words(
        crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "retired"})
    )


def test_wrong_names_and_places_are_said(pit: Pit, crew: Client) -> None:
    assert "is not known" in words(crew.post("/batteries/none/move", {"to": "rest"}, status=400))
    assert "not on the list" in words(
        crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "sea"}, status=400)
    )


def test_names_that_look_alike_are_settled_as_two_or_as_one(pit: Pit, lead: Client) -> None:
    name = a_battery(pit)
    pit.record("battery_move", {"battery": f"0{name}", "to": "rest"}, LEAD)
    assert "are they the same battery?" in words(lead.get("/batteries"))
    lead.post(f"/batteries/{name}/settle", {"other": f"0{name}", "are": "two"})
    assert "are they the same battery?" not in words(lead.get("/batteries"))


def test_what_was_logged_under_a_wrong_name_is_moved_to_the_right_one(
    pit: Pit, lead: Client
) -> None:
    name = a_battery(pit)
    pit.record("battery_move", {"battery": f"0{name}", "to": "channel", "where": "7"}, LEAD)
    seen = words(lead.post(f"/batteries/{name}/settle", {"other": f"0{name}", "are": "one"}))
    assert "on channel 7" in seen and "are they the same battery?" not in seen
    with pit.reading() as state:
        assert not state.battery_moves[f"0{name}"] and [
            fact.body.where for fact in state.battery_moves[name]
        ] == ["7"]
    assert "settled already" in words(
        lead.post(f"/batteries/{name}/settle", {"other": f"0{name}", "are": "one"}, status=400)
    )
