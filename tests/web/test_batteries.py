"""Batteries: the fleet as it is, and moving one."""

import re

from pitcrew.pit import Pit
from tests.web.conftest import Client, Hands, count, last, words


def a_battery(pit: Pit) -> str:
    return next(part.id.removeprefix("battery.") for part in pit.definitions.robot.parts.values() if part.kind == "battery")


def test_every_battery_is_there_and_says_why_it_is_not_offered(pit: Pit, crew: Client) -> None:
    seen = words(crew.get("/batteries"))
    labels = [part.label for part in pit.definitions.robot.parts.values() if part.kind == "battery"]
    assert len(labels) >= 3 and all(label in seen for label in labels)
    assert "No load test is on record" in seen and "nobody logged it" in seen


def test_on_a_channel(pit: Pit, crew: Client) -> None:
    name = a_battery(pit)
    assert "on channel 2" in words(crew.post(f"/batteries/{name}/move", {"to": "channel", "where": "2"}))
    assert last(pit, "battery_move").body == {"battery": name, "to": "channel", "where": "2"}


def test_enter_in_the_channel_field_means_the_charger(pit: Pit, crew: Client) -> None:
    """Browsers press a form's first button for Enter (HTML standard, implicit submission)."""
    page = crew.get("/batteries")
    for form in re.findall(r'<form[^>]*action="/batteries/.*?</form>', page, re.DOTALL):
        assert re.findall(r'<button[^>]*value="([a-z]+)"', form)[0] == "channel"


def test_a_channel_is_named(pit: Pit, crew: Client) -> None:
    before = count(pit)
    assert "Type the channel of the charger." in words(crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "channel"}, status=400))
    assert count(pit) == before


def test_in_the_robot_and_out(pit: Pit, crew: Client, clock: Hands) -> None:
    name = a_battery(pit)
    crew.post(f"/batteries/{name}/move", {"to": "robot", "where": "ignored"})
    assert last(pit, "battery_move").body == {"battery": name, "to": "robot", "where": pit.robot_name()}
    assert last(pit, "battery_move").match == "fjord/14/1"
    clock.later(1)
    assert "at rest, since" in words(crew.post(f"/batteries/{name}/move", {"to": "rest"}))


def test_retired(pit: Pit, crew: Client) -> None:
    assert "It is retired." in words(crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "retired"}))


def test_wrong_names_and_places_are_said(pit: Pit, crew: Client) -> None:
    assert "is not known" in words(crew.post("/batteries/none/move", {"to": "rest"}, status=400))
    assert "not on the list" in words(crew.post(f"/batteries/{a_battery(pit)}/move", {"to": "sea"}, status=400))
