"""The hold path in words: what each row says of its link, what is said once, and what the lowering
card says."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from pitcrew.domain.climb.hold import Inspection
from pitcrew.domain.climb.lifting import BEYOND, together
from pitcrew.domain.climb.lowering import RELEASES, lowering_card
from pitcrew.domain.climb.picture import Pen, picture_of
from pitcrew.domain.holding.links import ASSUMED, MEASURED, NOT_STATED, HoldPath, Link, PathInput
from pitcrew.domain.robot.hold_path import DEVICES

AT = datetime(2026, 3, 7, 9, 31, tzinfo=UTC)
MASS = PathInput("mass", "robot as it climbs", 85.0, "kg", MEASURED, AT, "Ada", 67.3)
ROPE = PathInput("diameter", "diameter", 0.003, "m", MEASURED, AT, "Ivo", 0.0032)
ENDS = PathInput("ends", "ends", "sleeve")
LINKS = (
    Link(
        "rope", "It breaks.", "climb.rope", 800.0, 4000.0, required=5.0, inputs=(MASS, ROPE, ENDS)
    ),
    Link(
        "drum",
        "not computed: inspect",
        "climb.drum",
        inputs=(MASS,),
        inspection_key="path-look@climb.drum",
    ),
    Link("gearbox", "not computed: inspect", inspection_key="path-look@hold-path.gearbox"),
    Link(
        "pin",
        "It shears.",
        "climb.pin",
        800.0,
        3120.0,
        required=3.5,
        rule=4.0,
        inputs=(MASS, PathInput("grade", "grade", None, "", ASSUMED)),
    ),
    Link(
        "catch",
        "",
        "climb.rope",
        None,
        4000.0,
        required=2.0,
        kind="catch",
        needs=("Ratchet: fall speed", "Ratchet: give"),
        inputs=(MASS, ROPE, ENDS, PathInput("fall_speed", "fall speed", None, "m/s", NOT_STATED)),
    ),
)
SEEN = {"path-look@climb.drum": Inspection("path-look@climb.drum", "ok", AT, "Ada")}


PEN = Pen(None, lambda link: SEEN.get(link.inspection_key), lambda at: f"{at:%H:%M}", "metric")


@pytest.fixture
def picture():
    return picture_of(HoldPath(LINKS, device="ratchet"), PEN)


def test_a_link_has_its_factor_and_what_is_measured(picture):
    rope = picture.rows[0]
    assert (rope.factor, rope.needs, rope.share, rope.weakest) == ("5.0", "5", 1.0, True)
    assert (
        rope.measured == ("diameter",)
        and rope.stated == ("ends",)
        and rope.carries == "800 N of 4000 N"
    )
    assert rope.facts == (
        "robot as it climbs 85 kg: measured by Ada 09:31; the build sheet says 67.3 kg",
        "diameter 3 mm: measured by Ivo 09:31; the build sheet says 3.2 mm",
        "ends sleeve: only stated",
    )
    assert (
        picture.robot == "The robot, 85 kg, hangs here" and "measured by Ada" in picture.robot_said
    )


def test_what_counts_is_never_said_to_be_read_by_somebody_who_read_another_number(picture):
    """The build sheet says the worse: its number is named as its own, the reading beside it."""
    light = replace(MASS, value=67.3, read=66.8, marks=("corrected by Bo",))
    found = picture_of(HoldPath((replace(LINKS[0], inputs=(light,)),)), PEN)
    said = "from the build sheet, which is worse; 66.8 kg measured by Ada 09:31, corrected by Bo"
    assert found.rows[0].facts == (f"robot as it climbs 67.3 kg: {said}",)
    assert found.robot_said == f"Weight {said}."


def test_a_rule_of_size_is_called_one_and_what_fails_is_named_before_the_weakest():
    size = Link("bend", "", "climb.rope", 0.0571, 0.06, "m", 1.0, kind="size")
    found = picture_of(HoldPath((LINKS[0], size)), PEN)
    assert (found.rows[1].factor, found.rows[1].size) == ("1.05", True) and found.failing == ()
    found = picture_of(HoldPath((LINKS[0], replace(size, strength=0.03), LINKS[4])), PEN)
    assert [row.name for row in found.failing] == ["Bend"]
    assert [row.name for row in found.unknown] == ["Catch"]


def test_a_link_without_a_number_has_its_inspection(picture):
    _, drum, gearbox, *_ = picture.rows
    assert (drum.looked.verdict, drum.looked.words, drum.looked.by, drum.looked.when) == (
        "ok",
        "whole",
        "Ada",
        "09:31",
    )
    assert gearbox.looked is None and gearbox.href == "/walk?check=path-look@hold-path.gearbox"


def test_a_lower_factor_shows_the_rule_and_an_assumed_input_its_name(picture):
    pin = picture.rows[3]
    assert (pin.factor, pin.needs, pin.rule, pin.holds) == ("3.9", "3.5", "4", True)
    assert pin.assumed == ("grade",) and picture.only_stated == ("Rope: ends", "Pin: grade")


def test_what_is_not_at_rest_stands_below_and_names_what_nobody_stated(picture):
    (catch,) = picture.more
    assert catch.instead == "can't be computed" and not catch.factor
    assert catch.not_stated == ("Ratchet: fall speed, give",)
    assert not catch.measured and not catch.stated, (
        "what the rope's row says already is not said again"
    )


def test_the_lowering_card_counts_at_most_three_and_never_forces():
    """Two thirds of the sum for two, half for three (rail and safety authorities, after HSE L23);
    25 kg alone (HSE INDG143)."""
    assert together(2) == pytest.approx(33.33, abs=0.01) and together(3) == pytest.approx(37.5)
    heavy, light = (
        lowering_card(None, 67.3, "ratchet", "metric"),
        lowering_card(None, 37.5, "ratchet", "metric"),
    )
    assert heavy.beyond == BEYOND and not light.beyond
    assert "two lift 33.3 kg and three 37.5 kg" in heavy.weight and heavy.rule.startswith(
        "Nobody under it."
    )
    assert (
        heavy.steps[0].startswith("Support first") and "Never force a loaded pawl" in heavy.steps[1]
    )
    assert lowering_card(None, None, "", "metric").beyond == BEYOND, (
        "an unknown weight is not a light one"
    )
    assert set(RELEASES) == set(DEVICES)


@pytest.mark.parametrize("units, told", [("metric", "400 MPa"), ("inch", "58 ksi")])
def test_the_stress_at_which_metal_yields_is_told_as_a_stress(units, told):
    """400 MPa are 4000 bar, which no one says of steel; 400 / 6.894757 = 58.0 ksi."""
    stress = PathInput("yield_strength", "yield stress", 4e8, "Pa")
    shaft = Link("shaft", "It yields.", load=1.0, strength=9.0, required=2.0, inputs=(stress,))
    shown = picture_of(HoldPath((shaft,), device="ratchet"), replace(PEN, units=units))
    assert told in repr(shown)
