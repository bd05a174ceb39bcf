"""The hold chain against examples worked by hand from published tables, each named; pounds in, so that the tables can be read along."""

import math
import tomllib

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.climb.holdchain import HoldChain, Link, hold_chain
from pitcrew.domain.robot.buildsheet import parse_build_sheet

POUND, INCH, G = 0.45359237, 0.0254, 9.80665
LBF = POUND * G
SHEET = """
[robot]
label = "Hanger"
length = "800 mm"
width = "700 mm"
[robot.mass]
chassis = "{mass} lb"
bumpers = "0 lb"
battery = "0 lb"
[[zone]]
id = "winch"
label = "Winch"
box = [0, 0, 100, 100]
[[part]]
id = "climb.rope"
label = "Rope"
zone = "winch"
climb_critical = true
{rope}
[[part]]
id = "climb.ratchet"
label = "Ratchet"
zone = "winch"
kind = "ratchet"
climb_critical = true
drum = "{drum} in"
rope = "0.125 in"
lines = {lines}
parts = {parts}
ratio = 1
teeth = {teeth}
pawl_radius = "{pawl} in"
tooth_strength = "900 lbf"
stretch = "{stretch} in"
hold_time = "10 s"
[[part]]
id = "climb.bolts"
label = "Bolts"
zone = "winch"
kind = "bolted-joint"
climb_critical = true
{bolts}
condition = "zinc"
locking = "none"
count = 4
[climb]
rope = "climb.rope"
ratchet = "climb.ratchet"
{climb}
"""
CABLE = 'kind = "wire-rope"\ndiameter = "0.125 in"\nconstruction = "7x19"\nload = "700 N"\n'
CARBON = CABLE + 'material = "carbon"\ntermination = "sleeve"\nsheave = "2.5 in"\n'
STAINLESS = CABLE + 'material = "stainless"\ntermination = "clips"\nsheave = "9 in"\n'
M6 = 'thread = "M6"\ngrade = "8.8"\nplate = "nut"'
QUARTER = 'thread = "1/4-20"\ngrade = "5"\nplate = "nut"'


USUAL = {
    "mass": 150, "rope": CARBON, "drum": 2.5, "lines": 1, "parts": 1, "teeth": 12, "pawl": 1.3125, "stretch": 0.25, "bolts": M6,
    "climb": "",
}


def chain(settings: dict | None = None, wrong: str = "", **changed: object) -> HoldChain:
    """The chain of the usual robot with some lines changed; `wrong` names the one mistake that this makes."""
    robot, mistakes = parse_build_sheet(tomllib.loads(SHEET.format(**USUAL | changed)), "robots/hanger.toml")
    assert [item.place for item in mistakes if not item.notice] == [wrong] * bool(wrong)
    return hold_chain(robot, read_settings(settings or {})[0])


def link(found: HoldChain, name: str) -> Link:
    return next(item for item in found.links if item.name == name)


def test_carbon_cable_with_sleeves_over_twenty_diameters():
    """AC 43.13-1B table 7-3: 2000 lb; TM 5-3810-305-10 table 4: sleeve 95 %; D/d table: 91 % at 20. 2000·0.95·0.91 = 1729 lb on 150 lb."""
    rope = link(chain(), "rope")
    assert rope.strength == pytest.approx(1729 * LBF) and rope.load == pytest.approx(150 * LBF)
    assert rope.factor == pytest.approx(11.527, abs=5e-4) and rope.required == 5


def test_stainless_cable_with_clips_over_a_small_drum():
    """AC 43.13-1B: 1760 lb; clips 80 %; the drum of 10 diameters, not the larger sheave: 86 %. 1760·0.80·0.86 = 1210.9 lb."""
    rope = link(chain(rope=STAINLESS, drum=1.25), "rope")
    assert rope.strength == pytest.approx(1210.88 * LBF) and rope.factor == pytest.approx(8.0725, abs=5e-4)


def test_cord_with_a_bowline():
    """Cordage Institute, lower value: a bowline keeps 67 %; over 20 diameters 91 %. A cord of 1000 lbf keeps 609.7 lbf."""
    cord = 'kind = "cord"\ndiameter = "0.125 in"\nknot = "bowline"\nstrength = "1000 lbf"\ntermination = "none"\nsheave = "2.5 in"\n'
    rope = link(chain(rope=cord), "rope")
    assert rope.strength == pytest.approx(609.7 * LBF) and rope.factor == pytest.approx(4.0647, abs=5e-4) and not rope.holds


def test_drum_torque_and_tooth_force():
    """150 lb on a drum of 2.5 in with a rope of 1/8 in: 150·2.625/2 = 196.9 in·lbf; at a pawl of 1.3125 in that is 150 lbf on a tooth."""
    found = chain()
    assert found.loads.drum_torque == pytest.approx(196.875 * LBF * INCH)
    tooth = link(found, "ratchet tooth")
    assert tooth.load == pytest.approx(150 * LBF) and tooth.factor == pytest.approx(6)


def test_drop_per_tooth_and_impact():
    """π·1 in/12 teeth = 0.2618 in; falling by one stretch, n = 1 + √3 = 2.732 (identities). The least factor, 6, is left with 2.196."""
    per_tooth = math.pi / 12
    found = chain(drum=0.875, pawl=0.5, stretch=per_tooth)
    assert found.loads.drop_per_tooth == pytest.approx(0.2618 * INCH, rel=1e-4)
    caught = link(found, "catch at the worst drop")
    assert found.loads.impact == pytest.approx(1 + math.sqrt(3)) and caught.factor == pytest.approx(6 / (1 + math.sqrt(3)))
    assert caught.required == 2 and found.weakest is caught


def test_the_servo_adds_to_the_drop():
    """0.1 s at 10 in/s is 1 in more of fall."""
    assert chain(climb='latency = "0.1 s"\nspeed = "10 in/s"').loads.worst_drop == pytest.approx((math.pi * 2.625 / 12 + 1) * INCH)


@pytest.mark.parametrize("lines, parts, climb, pull", [
    (1, 1, "", 150), (2, 1, "", 150), (2, 1, "equaliser = true", 75), (1, 2, "", 75), (3, 1, "equaliser = false", 150),
])
def test_separate_lines_share_only_through_an_equaliser(lines, parts, climb, pull):
    assert link(chain(lines=lines, parts=parts, climb=climb), "rope").load == pytest.approx(pull * LBF)


@pytest.mark.parametrize("bolts, each, tolerance, source", [
    (M6, 11600, 0.006, "ISO 898-1: proof load of M6 8.8, 11600 N (three digits)"),
    (QUARTER, 0.0318 * 85_000 * LBF, 0.002, "SAE J429 grade 5, 85 ksi, on 0.0318 in² (Shigley table 8-2)"),
])
def test_bolts_in_pull_and_across(bolts, each, tolerance, source):
    """Four bolts share; across them 0.577 of the proof load (distortion energy)."""
    along = link(chain(bolts=bolts, climb='[[climb.bolts]]\npart = "climb.bolts"\ncarries = "pull"'), "Bolts")
    across = link(chain(bolts=bolts, climb='[[climb.bolts]]\npart = "climb.bolts"\ncarries = "shear"'), "Bolts")
    assert along.strength == pytest.approx(4 * each, rel=tolerance), source
    assert across.strength == pytest.approx(4 * 0.577 * each, rel=tolerance), source
    assert along.load == across.load == pytest.approx(150 * LBF)


def test_bolts_in_a_plate_may_strip_first():
    """M6 8.8 with 3 mm of thread in 6061-T6 (205 MPa in shear): half of 73.145 mm² over 6 mm strips at 7497 N, before 11600 N."""
    bolts = M6.replace('"nut"', '"6061-T6"') + '\nengagement = "3 mm"'
    joint = link(chain(bolts=bolts, climb='[[climb.bolts]]\npart = "climb.bolts"\ncarries = "pull"'), "Bolts")
    assert joint.strength == pytest.approx(4 * 73.145 / 2 * 205, rel=1e-3) and "plate thread" in joint.because


def test_bolts_on_a_circle_carry_the_torque():
    """196.9 in·lbf on a circle of 1 in radius is 196.9 lbf."""
    joint = link(chain(climb='[[climb.bolts]]\npart = "climb.bolts"\ncarries = "torque"\nradius = "1 in"'), "Bolts")
    assert joint.load == pytest.approx(196.875 * LBF)


def test_what_has_no_numbers_is_inspected_and_what_gets_them_is_computed():
    found = chain()
    plain = [item.name for item in found.links if not item.computed]
    assert plain == ["shaft", "key", "gearbox", "chain stage", "pawl", "hook", "structure", "Bolts"]
    assert all(item.because == "not computed: inspect" for item in found.links if not item.computed)
    tested = chain(climb='[[climb.other]]\nname = "hook"\nstrength = "600 lbf"\n'
                         '[[climb.other]]\nname = "shaft"\ntorque_strength = "600 in*lbf"\n'
                         '[[climb.other]]\nname = "chain stage"\nstrength = "900 lbf"\nradius = "0.5 in"')
    assert link(tested, "hook").factor == pytest.approx(4) and link(tested, "shaft").factor == pytest.approx(600 / 196.875)
    assert link(tested, "chain stage").load == pytest.approx(393.75 * LBF)
    assert [item.name for item in tested.too_weak] == ["hook", "shaft", "chain stage", "catch at the worst drop"]


def test_a_rope_outside_the_table_is_not_guessed():
    odd = CARBON.replace('"0.125 in"', '"0.11 in"')
    rope = link(chain(wrong="part climb.rope, diameter", rope=odd), "rope")
    assert not rope.computed and rope.because.startswith("not computed: inspect. rope-strength")
    assert "maker's breaking force" in rope.because
    assert link(chain(rope=odd + 'strength = "1500 lbf"'), "rope").computed


def test_without_a_table_everything_is_inspected():
    text = SHEET.split("[climb]")[0].format(**USUAL)
    robot, _ = parse_build_sheet(tomllib.loads(text), "robots/hanger.toml")
    found = hold_chain(robot, read_settings({})[0])
    assert found.weakest is None and "no [climb] table" in found.why and not any(item.computed for item in found.links)
    assert hold_chain(None, read_settings({})[0]).links == ()


RIGHT = '[climb]\nrope = "climb.rope"\nratchet = "climb.ratchet"\n'


@pytest.mark.parametrize("climb, place", [
    (RIGHT.replace("climb.rope", "climb.rop"), "climb, rope"), ('[climb]\nratchet = "climb.ratchet"', "climb, rope"),
    (RIGHT.replace("climb.ratchet", "climb.rope"), "climb, ratchet"), (RIGHT + "ropes = 2", "climb, ropes"),
    (RIGHT + '[[climb.bolts]]\npart = "climb.bolts"\ncarries = "torque"', "climb.bolts 1, radius"),
])
def test_a_wrong_table_is_a_mistake_that_blocks_the_climb(climb, place):
    text = SHEET.split("[climb]")[0].format(**USUAL)
    _, mistakes = parse_build_sheet(tomllib.loads(text + climb), "robots/hanger.toml")
    assert [(item.place, item.climb) for item in mistakes if not item.notice] == [(place, True)]


def test_the_factor_is_the_teams():
    assert chain({"climb_factor": 12}).too_weak[0].name == "rope"
    assert link(chain({"catch_factor": 1.5}), "catch at the worst drop").required == 1.5
