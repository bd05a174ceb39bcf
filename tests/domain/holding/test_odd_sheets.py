"""Odd sheets that load: none shows a factor above the one of plain statics. Where a number cannot
be told, it is not computed, and says why by name."""

import pytest

from pitcrew.domain.holding.links import HoldPath
from tests.domain.holding.sheets import (
    QUIET,
    STILL,
    G,
    beside,
    computed,
    link,
    part,
    row,
    step,
    table,
)

WIRE = {"construction": "7x19", "material": "carbon", "termination": "sleeve"}
ROPE = {"diameter": "3.175 mm", "sheave": "80 mm", **WIRE}
PARTS = (
    part("o.hook", "hook", opening="50 mm", strength="9 kN"),
    part("o.rope", "wire-rope", **ROPE),
    part("o.drum", "drum", diameter="80 mm", torque_strength="300 N*m"),
    part("o.wheel", "ratchet", teeth=24, tooth_strength="9 kN", pawl_radius="42 mm", width="30 mm"),
)
HANG, ROPED = step("o.hook"), step("o.rope")
WOUND = step("o.drum", hands_on="drum", layers=1)
HELD = step("o.wheel", holds="ratchet")
WEIGHT = 50 * G
TORQUE = WEIGHT * (0.040 + 0.003175 / 2)
"""On a drum of 80 mm with one layer of rope of 3.175 mm: weight times the lever to the middle of
the rope."""


def path_of(*texts: str, **path: object) -> HoldPath:
    """Of a robot of 50 kg with these parts and steps besides the usual ones."""
    return computed(*PARTS, table("", **{**QUIET, "deflection": "6 mm", **path}), STILL, *texts)


PIN = {"diameter": "8 mm", "planes": 2, "plate": "5 mm", "yield_strength": "400 MPa"}
SHAFT = {"shape": "round", "size": "12 mm", "yield_strength": "400 MPa"}
BOLTS = {"thread": "M6", "grade": "8.8", "plate": "nut", "condition": "dry", "locking": "none"}


@pytest.mark.parametrize(
    "made, said, load, last",
    [
        (part("o.end", "pin", radius="10 mm", **PIN), "strength", TORQUE / 0.010, "pin"),
        (part("o.end", "brake", style="closed", rated_torque="9 N*m"), "torque", TORQUE, "brake"),
        (part("o.end", "shaft", **SHAFT), "torque", TORQUE, ""),
        (part("o.end", "one-way", rated_torque="90 N*m", hardened_shaft=True), "torque", TORQUE,
         "one-way"),
    ],
)  # fmt: skip
def test_a_stated_strength_counts_beside_what_is_computed(
    made: str, said: str, load: float, last: str
) -> None:
    """A pull test that broke it below its computed strength was left out without a word."""
    key, tested, breaks = {
        "strength": ("strength", "500 N", 500.0),
        "torque": ("torque_strength", "2 N*m", 2.0),
    }[said]
    end = step("o.end", holds=last or None, **{key: tested})
    steps = (HANG, ROPED, WOUND, end) if last else (HANG, ROPED, WOUND, end, HELD)
    found = link(path_of(made, *steps), f"o.end, stated {said}")
    assert found.factor == pytest.approx(breaks / load) and not found.holds
    assert found.required == 4  # metal against breaking, common practice


def test_a_strength_of_bolts_and_of_a_wheel_counts_as_well() -> None:
    bolts = part("o.bolts", "bolted-joint", count=6, **BOLTS)
    held = step("o.wheel", holds="ratchet", strength="900 N", torque_strength="3 N*m")
    path = path_of(bolts, HANG, ROPED, WOUND, held, beside("o.bolts", "o.rope", "shear",
                                                           strength="800 N"))  # fmt: skip
    assert link(path, "o.bolts, stated strength").factor == pytest.approx(800 / WEIGHT)
    assert link(path, "o.wheel, stated strength").factor == pytest.approx(900 / (TORQUE / 0.042))
    assert link(path, "o.wheel, stated torque").factor == pytest.approx(3 / TORQUE)


def test_a_rope_is_not_measured_against_a_torque() -> None:
    """N against N*m gave the factor 381."""
    path = path_of(part("o.more", "wire-rope", **ROPE), HANG, ROPED, WOUND, step("o.more"), HELD)
    found = link(path, "o.more")
    assert found.factor is None and found.needs and path.not_stated


@pytest.mark.parametrize("word", [{"hands_on": "falls", "falls": 10}, {"hands_on": "lines",
                                  "lines": 10, "equaliser": True}])  # fmt: skip
def test_falls_and_lines_do_not_share_a_torque(word: dict[str, object]) -> None:
    """Parts of a line share a pull. What comes after such a step is not known."""
    path = path_of(HANG, ROPED, WOUND, step("block", torque_strength="90 N*m", **word), HELD)
    assert link(path, "block").load == pytest.approx(TORQUE)
    assert link(path, "o.wheel, tooth").factor is None and path.not_stated


def test_a_block_carries_all_of_its_falls() -> None:
    """Statics: four falls carry a quarter each, and the block that they go around carries all."""
    reeved = {"hands_on": "falls", "falls": 4}
    path = path_of(step("o.hook", **reeved), ROPED, WOUND, HELD)
    assert link(path, "o.hook").load == pytest.approx(WEIGHT)
    assert link(path, "o.rope").load == pytest.approx(WEIGHT / 4)
    own = path_of(HANG, step("line", strength="9 kN", material="textile", **reeved), WOUND, HELD)
    assert link(own, "line").load == pytest.approx(WEIGHT / 4)


@pytest.mark.parametrize("word", ["pulley", "sprocket", "arm"])
def test_a_part_that_turns_by_a_word_of_another_kind_is_not_computed(word: str) -> None:
    """A drum called a pulley lost its layers; an arm called one lost its length."""
    short = {"hands_on": word, "radius": "5 mm"}
    drum = path_of(HANG, ROPED, step("o.drum", **short), HELD)
    assert link(drum, "o.wheel, tooth").factor is None and drum.not_stated
    if word != "arm":
        arm = part("o.arm", "arm", length="500 mm")
        turned = path_of(arm, step("o.arm", **short), HELD)
        assert link(turned, "o.wheel, tooth").factor is None and turned.not_stated


@pytest.mark.parametrize("size, bend", [("20 mm", 0.020), ("200 mm", 0.080)])
@pytest.mark.parametrize("first", [True, False])
def test_a_rope_bends_over_the_smallest_pulley_of_its_path(
    size: str, bend: float, first: bool
) -> None:
    """Its own field says 80 mm; a smaller pulley beside it on the path counts."""
    pulley = part("o.pulley", "pulley", diameter=size, strength="9 kN")
    steps = (step("o.pulley"), ROPED) if first else (ROPED, step("o.pulley"))
    path = path_of(pulley, HANG, *steps, WOUND, HELD)
    assert link(path, "o.rope, bend").strength == pytest.approx(bend)


@pytest.mark.parametrize(
    "specs, holds",
    [
        ({"style": "closed", "rated_torque": "3000 N*m"}, "brake"),
        ({"rated_torque": "3000 N*m", "hardened_shaft": True, "lost_motion": "2 deg"}, "one-way"),
    ],
)
def test_a_torque_does_not_hold_a_pull(specs: dict[str, object], holds: str) -> None:
    """3000 N*m against 490 N gave the factor 6: without a lever no one knows."""
    path = path_of(part("o.end", holds, **specs), HANG, ROPED, step("o.end", holds=holds))
    assert link(path, "o.end").factor is None and path.not_stated


def test_gears_and_the_shaft_with_them_carry_the_larger_torque() -> None:
    """Virtual work: half of the turns is twice the torque, before or after."""
    shaft = part("o.shaft", "shaft", **SHAFT)
    for ratio, most in ((4, TORQUE), (0.5, 2 * TORQUE)):
        made = {"hands_on": "gear", "ratio": ratio, "torque_strength": "90 N*m"}
        assert link(
            path_of(HANG, ROPED, WOUND, step("gears", **made), HELD), "gears"
        ).load == pytest.approx(most)
        turned = step("o.shaft", hands_on="gear", ratio=ratio)
        path = path_of(shaft, HANG, ROPED, WOUND, turned, HELD,
                       beside("circle", "o.shaft", "torque", strength="9 kN", radius="20 mm"))  # fmt: skip
        assert link(path, "o.shaft, twist").load == pytest.approx(most)
        assert link(path, "circle").load == pytest.approx(most / 0.020)


def test_two_sides_stretch_half_as_much_as_one() -> None:
    """Hooke: each of two cords has half of the pull, so the hook sinks half as far, which is the
    worse for the catch."""
    cord = {"diameter": "4 mm", "fiber": "polyester", "strength": "9 kN", "knot": "none"}
    made = part("o.cord", "cord", sheave="80 mm", termination="1", **cord)

    def gives(sides: int) -> float:
        pulled = step("o.cord", hands_on="ratio", ratio=2, sides=sides)
        path = path_of(made, HANG, pulled, WOUND, HELD, deflection=None, free_length="500 mm")
        assert path.loads is not None and path.loads.deflection is not None
        return path.loads.deflection

    assert gives(2) == pytest.approx(gives(1) / 2)


def test_a_motor_pulls_the_most_at_the_shorter_of_two_levers() -> None:
    """Statics: 2 N*m times 20 over 25 mm is 1600 N, where the part's own 50 mm would say 800 N."""
    pulley = part("o.pulley", "pulley", diameter="100 mm")
    motor = table("motor", stall_torque="2 N*m", count=1, ratio=20) + table("second", count=1)
    turned = step("o.pulley", hands_on="pulley", radius="25 mm")
    path = computed(*PARTS, pulley, table("", **QUIET, deflection="6 mm"), motor,
                    HANG, ROPED, turned, HELD)  # fmt: skip
    assert row(path, "stall").load == pytest.approx(1600)


@pytest.mark.parametrize("twice", [{"radius": "800 mm"}, {"radius": "100 mm"}])
def test_what_makes_a_pull_larger_does_not_make_the_give_larger(twice: dict[str, object]) -> None:
    """Hooke: a chain with more pull gives more, which softens the catch of the hook above it. Where
    an arm states two lengths, the pull of the longer counts, and the give of the shorter."""
    arm = part("o.arm", "arm", length="400 mm", strength="9 kN")
    wheel = part("o.sprocket", "sprocket", size="35", teeth=20)
    run = {"span": "300 mm", "teeth": 20, "duty": "shock", "link": "none"}
    chain = part("o.chain", "roller-chain", size="35", stiffness="300 kN", **run)
    turned = step("o.sprocket", hands_on="sprocket")

    def caught(**said: object) -> HoldPath:
        steps = (HANG, step("o.arm", hands_on="arm", **said), turned, step("o.chain"), turned)
        return path_of(arm, wheel, chain, *steps, HELD, deflection=None, free_length="300 mm")

    once, both = caught(), caught(**twice)
    assert row(once, "catch").computed and row(both, "catch").computed
    assert both.loads.deflection <= once.loads.deflection
    assert both.loads.impact >= once.loads.impact * (1 - 1e-9)


def test_a_weaker_strength_stated_on_a_step_does_not_make_a_cord_give_more() -> None:
    """Makers state a cord's stretch as a share of its breaking force, so a weaker one seems to give
    more, and a softer path catches more gently."""
    cord = {"diameter": "4 mm", "fiber": "polyester", "strength": "9 kN", "knot": "none"}
    made = part("o.cord", "cord", sheave="80 mm", termination="1", **cord)

    def caught(**said: object) -> HoldPath:
        steps = (HANG, step("o.cord", **said), WOUND, HELD)
        return path_of(made, *steps, deflection=None, free_length="500 mm")

    once, both = caught(), caught(strength="2 kN")
    assert both.loads.deflection == pytest.approx(once.loads.deflection)
    assert link(both, "o.cord").strength < link(once, "o.cord").strength


def test_the_rated_torque_of_open_pads_counts_where_it_is_less() -> None:
    """Half of what the maker rates (a closed unit's rule), beside friction times force times the
    mean radius."""
    pads = {"style": "pads", "friction": 0.6, "force": "5 kN", "outer": "80 mm", "inner": "40 mm"}
    made = part("o.end", "brake", faces=2, rated_torque="20 N*m", **pads)
    found = link(path_of(made, HANG, ROPED, WOUND, step("o.end", holds="brake")), "o.end")
    assert found.factor == pytest.approx(10 / TORQUE)


def test_a_wheel_does_not_hold_a_pull_without_a_lever() -> None:
    """The force on a tooth is the torque over the pawl's radius (statics); a pull alone says
    neither."""
    path = path_of(HANG, ROPED, HELD)
    assert link(path, "o.wheel, tooth").factor is None and path.not_stated


def test_a_chain_on_a_sprocket_of_another_size_is_told_by_name() -> None:
    run = {"span": "300 mm", "teeth": 16, "duty": "shock", "link": "none"}
    chain = part("o.chain", "roller-chain", size="25", **run)
    for size, told in (("35", True), ("25", False), ("ANSI 25", False)):
        wheel = part("o.sprocket", "sprocket", size=size, teeth=16)
        turned = step("o.sprocket", hands_on="sprocket")
        path = path_of(chain, wheel, HANG, step("o.chain"), turned, HELD)
        assert any("one chain size" in need for need in path.not_stated) == told
