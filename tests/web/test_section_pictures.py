"""Each check of depth shows the picture of its own question, and a number that the build sheet does
not have leaves no half sentence in it."""

import re
from types import SimpleNamespace

import pytest
from flask import Flask

from pitcrew.base.drawings import DRAWINGS, macro_of
from pitcrew.domain.checks.limits import Limit
from pitcrew.pit.pit import Pit
from pitcrew.web.drawings import drawn

OWN = {
    "chain-load": "chain-pull",
    "air-switch": "pressure-switch",
    "air-regulator": "pressure-regulator",
    "valve-click": "valve-ways",
    "gear-grease": "tooth-wipe",
    "locknut-finger": "nut-fingers",
    "locknut-torque": "nut-drag",
    "brake-pads": "pad-thickness",
}
ENDS = re.compile(r">[^<]*(?:\bto|:|at|new|least|most)\s*</text>")


def test_each_has_the_picture_of_its_own_question(pit: Pit) -> None:
    lists = pit.definitions.checklists
    found = {check.id: check.drawing for one in lists for check in one.checks}
    assert {name: found[name] for name in OWN} == OWN


@pytest.mark.parametrize("name", [*OWN.values(), "collar-gap", "set-screw", "relief-vent"])
def test_a_number_that_is_not_known_leaves_no_half_sentence(app: Flask, name: str) -> None:
    bare = SimpleNamespace(typed={}, specs={}, label="Part", id="x.part", kind="bearing")
    with app.test_request_context():
        text = drawn(DRAWINGS[name], macro_of(name), bare, Limit())
    assert "<svg" in text and not ENDS.search(text)
