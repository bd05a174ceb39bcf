"""The plan's page: who does what, for other people and minutes, and what is typed wrong."""

import pytest

from tests.web.conftest import Client, words


def test_the_plan_names_people_times_and_what_is_left_out(onlooker: Client) -> None:
    page = words(onlooker.get("/plan?people=Ada, Bo&minutes=20"))
    assert "due checks fit into 20 min" in page and "of 100 cases" in page
    assert "Ada" in page and "Bo" in page and "Left out" in page and "no time: " in page
    alone = words(onlooker.get("/plan?people=Ada&minutes=20"))
    assert "needs 2 people, 1 is present" in alone


def test_without_names_the_crew_of_the_settings_is_planned(onlooker: Client) -> None:
    page = words(onlooker.get("/plan"))
    assert "Person 1" in page and "Person 3" in page and "Person 4" not in page


@pytest.mark.parametrize("query, said", [
    ("minutes=soon", "'soon' is no time"), ("minutes=-3", "'-3' is no time"), ("people=Ada,Ada", "named once"),
])  # fmt: skip
def test_what_is_typed_wrong_stays_and_is_asked_again(
    onlooker: Client, query: str, said: str
) -> None:
    page = onlooker.get(f"/plan?{query}", 400)
    assert said in words(page) and query.split("=")[1].replace("%20", " ") in page


def test_nobody_else_sees_it(onlooker: Client) -> None:
    stranger = onlooker.flask.application.test_client()
    assert stranger.get("/plan").status_code in (302, 401, 403)
