"""Joining by page: a code and a name, and where one goes from there."""

import json
import re
from datetime import timedelta

import pytest
from flask import Flask

from pitcrew.base.errors import Refused
from pitcrew.pit.pit import Pit
from tests.web.conftest import Hands, form_token, words


def post(app: Flask, code: str, name: str, **more: str):
    flask = app.test_client()
    return flask.post(
        "/join", data={"code": code, "name": name, "csrf_token": form_token(flask), **more}
    )


def test_a_code_and_a_name_let_one_in(app: Flask, pit: Pit) -> None:
    answer = post(
        app,
        pit.roster.make_code("crew", timedelta(minutes=5)).lower().replace("-", " "),
        "Ivo",
        next="/walk?zone=mast",
    )
    block = re.search(r'<script type="application/json" id="joined">(.*?)</script>', answer.text)
    assert block
    told = json.loads(block[1])
    assert (told["person"], told["role"], told["next"]) == ("Ivo", "crew", "/walk?zone=mast")
    assert pit.roster.device_of_token(told["token"]).person == "Ivo"


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "//elsewhere.example",
        "/\\elsewhere.example",
        "javascript:alert(1)",
        "/join",
        "/\t/elsewhere.example/",
        "/\n/elsewhere.example/",
        "/\r//elsewhere.example",
        "/\x00/elsewhere.example",
        "/ /elsewhere.example",
        "/\x85/x",
        "/\t\\elsewhere.example",
        "\t//elsewhere.example",
    ],
)
def test_nobody_is_led_off_the_site(app: Flask, pit: Pit, elsewhere: str) -> None:
    answer = post(app, pit.roster.make_code("crew", timedelta(minutes=5)), "Ivo", next=elsewhere)
    assert '"next": "/now"' in answer.text


@pytest.mark.parametrize(
    ("code", "name", "said"),
    [
        ("AAAA-AAAA", "Ivo", "not known, used up or too old"),
        ("", "Ivo", "Type the code that the pit lead shows."),
        ("AAAA-AAAA", "", "Type your name"),
        ("AAAA-AAAA", "x" * 41, "cannot be longer"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field(
    app: Flask, pit: Pit, code: str, name: str, said: str
) -> None:
    answer = post(app, code, name)
    assert said in words(answer.text)
    assert pit.roster.devices() == []


def test_wrong_codes_cost_time(app: Flask, pit: Pit) -> None:
    for _ in range(6):
        answer = post(app, "AAAA-AAAA", "Ivo")
    assert "Too many wrong codes from here" in words(answer.text)


def test_a_browser_that_guesses_holds_up_no_other_behind_its_address(app: Flask, pit: Pit) -> None:
    """One address is a whole crew's, behind a tether or the shop's network."""
    guesser = app.test_client()
    token = form_token(guesser)
    for number in range(8):
        answer = guesser.post(
            "/join", data={"code": f"AAAA-AAA{number}", "name": "Eve", "csrf_token": token}
        )
    assert "Too many wrong codes from here" in words(answer.text)
    assert post(app, pit.roster.make_code("crew", timedelta(minutes=5)), "Ivo").status_code == 200


def test_a_guesser_that_forgets_its_cookies_waits_with_its_address(
    app: Flask, pit: Pit, clock: Hands
) -> None:
    found = [words(post(app, f"AAAA-A{number:03}", "Eve").text) for number in range(44)]
    assert "Too many wrong codes from here" in found[-1] and "Too many" not in found[30]
    clock.later(15)
    assert post(app, pit.roster.make_code("crew", timedelta(minutes=5)), "Ivo").status_code == 200


def test_one_code_is_tried_a_few_times_wherever_the_tries_come_from(pit: Pit) -> None:
    """A captain's code is that of one person: names are not tried with it one after the other."""
    code = pit.roster.make_code("captain", timedelta(minutes=5))
    pit.roster.join(code, "Mira", "phone", "a", "first")
    for number in range(5):
        with pytest.raises(Refused, match="somebody else"):
            pit.roster.join(
                code, f"Name {'abcde'[number]}", "phone", f"address {number}", f"browser {number}"
            )
    with pytest.raises(Refused, match="Too many wrong codes"):
        pit.roster.join(code, "Mira", "phone", "b", "second")


def test_the_first_page_leads_on(app: Flask) -> None:
    assert app.test_client().get("/").location == "/join"


def test_answers_that_arrive_late_do_not_undo_a_newer_session(app: Flask, pit: Pit) -> None:
    """Two requests leave a browser with the same cookie; whichever answer comes last, the form of
    the other can still be sent."""
    flask = app.test_client()
    flask.post(
        "/join",
        data={
            "code": pit.roster.make_code("crew", timedelta(minutes=5)),
            "name": "Ivo",
            "csrf_token": form_token(flask),
        },
    )
    assert "csrf_token" in flask.get("/faults/new").text
    late = [flask.get(path) for path in ("/now", "/healthz", "/temporary", "/walk")]
    assert all("Set-Cookie" not in answer.headers for answer in late)


def test_the_form_token_is_new_after_joining(app: Flask, pit: Pit) -> None:
    """A token from before joining, which someone else at this phone may know, is worth nothing
    after it."""
    flask = app.test_client()
    before = form_token(flask)
    code = pit.roster.make_code("crew", timedelta(minutes=5))
    flask.post("/join", data={"code": code, "name": "Ivo", "csrf_token": before})
    answer = flask.post("/faults/new", data={"csrf_token": before})
    assert answer.status_code == 400 and "opened too long ago" in words(answer.text)
