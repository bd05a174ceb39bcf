"""Where a sheet says two things, or leaves one out, the worse counts and is named."""

import math

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.checks.definitions import build_definitions
from pitcrew.domain.holding.asking import BOTH_STATED
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.hold_path import BESIDE_FIELDS, STEP_FIELDS
from pitcrew.engineering.heads import HEADS
from tests.domain.holding.sheets import (
    QUIET,
    STILL,
    beside,
    computed,
    link,
    part,
    robot_of,
    row,
    step,
    table,
)

HOOK = part("a.hook", "hook", opening="40 mm", strength="9 kN")
ROPE = part(
    "a.rope",
    "wire-rope",
    diameter="3.175 mm",
    construction="7x19",
    material="carbon",
    termination="sleeve",
    sheave="64 mm",
)
DRUM = part("a.drum", "drum", diameter="64 mm", torque_strength="300 N*m")
WHEEL = part(
    "a.ratchet",
    "ratchet",
    teeth=24,
    pawl_radius="33 mm",
    tooth_strength="4 kN",
    width="25 mm",
)
TOP = table("", **QUIET, deflection="9 mm")
DOWN = (
    step("a.hook"),
    step("a.rope"),
    step("a.drum", hands_on="drum", layers=1),
    step("a.ratchet", holds="ratchet"),
)
WINCH = (HOOK, ROPE, DRUM, WHEEL, TOP, STILL, *DOWN)


def test_a_catch_factor_under_two_is_raised_and_said() -> None:
    """The factor 2 in a catch is ours; a file of last year with less still loads, and 2 counts."""
    settings, (said,) = read_settings({"catch_factor": 1.0})
    assert settings["catch_factor"] == 2 and said.notice and "2 counts" in said.wanted
    assert row(hold_path(robot_of(*WINCH), settings), "catch").required == 2
    assert row(hold_path(robot_of(*WINCH), settings), "swing").required == 2
    made = build_definitions({"catch_factor": 1.5}, {}, {})
    assert any(item.place == "catch_factor" for item in made.notices)
    assert not any(item.place == "catch_factor" for item in made.mistakes)


@pytest.mark.parametrize("value", [0.5, 21, True, "two"])
def test_what_no_file_could_ever_hold_stays_a_mistake(value: object) -> None:
    settings, (wrong,) = read_settings({"catch_factor": value})
    assert settings["catch_factor"] == 2 and not wrong.notice


@pytest.mark.parametrize(
    "name, specs, kept",
    [
        # chain makers: a half (offset) link bears some 65 % of the chain, the weakest of the table
        ("b.chain", {"kind": "roller-chain", "size": "35", "strength": "9 kN"}, 0.65),
        ("b.cord", {"kind": "cord", "diameter": "4 mm", "knot": "bowline", "fiber": "hmpe"}, None),
        ("b.rope", {"kind": "wire-rope", "diameter": "3.175 mm", "knot": "bowline"}, None),
    ],
)
def test_beside_the_path_a_rope_a_cord_and_a_chain_lose_as_much_as_on_it(
    name: str, specs: dict[str, str], kept: float | None
) -> None:
    """The same part with the same pull has the same strength and factor wherever it stands, and its
    lifting rule's factor by its kind: EN 13414 wire rope 5, EN 1492 textile 7, chain 6."""
    more = (
        {"link": "half link", "span": "300 mm", "teeth": 16, "duty": "shock"}
        if kept
        else {"strength": "9 kN", "sheave": "80 mm"}
    )
    rope = {"construction": "7x19", "material": "carbon", "termination": "sleeve"}
    kind = specs.pop("kind")
    made = part(name, kind, **specs, **more, **(rope if kind == "wire-rope" else {}))
    on = link(computed(HOOK, made, TOP, STILL, step("a.hook"), step(name)), name)
    by = computed(*WINCH, made, beside(name, "a.rope", "pull", material="metal"))
    assert link(by, name).factor == pytest.approx(on.factor)
    assert link(by, name).required == on.required == {"w": 5, "c": 7, "r": 6}[kind[0]]
    assert on.strength is not None and on.strength < 8000
    across = computed(*WINCH, made, beside(name, "a.rope", "shear"))
    assert not link(across, name).computed and link(across, name).needs


def test_a_worm_that_says_two_things_is_taken_by_the_worse() -> None:
    """Shigley, power screws: it locks where friction is above tan(lead angle), here 0.3 against
    0.035. An efficiency of 0.9 is far above the half at which the load turns it back."""
    worm = {"lead_angle": "2 deg", "friction": 0.3, "torque_strength": "100 N*m"}

    def held(**specs: object) -> bool:
        made = part("a.worm", "worm", **specs)
        return link(computed(*WINCH[:3], made, TOP, STILL, *DOWN[:3], holds), "a.worm").holds

    holds = step("a.worm", holds="worm")
    assert held(**worm) and held(**worm, efficiency=0.3)
    assert not held(**worm, efficiency=0.9)
    assert not held(**(worm | {"friction": 0.02}), efficiency=0.3)


def test_leaving_the_head_of_a_bolt_out_never_helps() -> None:
    """ISO 7380-1 and ISO 10642: a button or flat head bears 80 % of what its strength class does.
    Six bolts M6 8.8 in a nut: proof load ISO 898-1 table 5, 11 600 N each."""

    def bears(head: str | None) -> float:
        bolts = part(
            "b.bolts",
            "bolted-joint",
            thread="M6",
            grade="8.8",
            plate="nut",
            condition="dry",
            locking="none",
            count=6,
            head=head,
        )
        path = computed(*WINCH, bolts, beside("b.bolts", "a.rope", "pull"))
        strength = link(path, "b.bolts").strength
        assert strength is not None
        return strength

    by_head = {head: bears(head) for head in HEADS}
    assert by_head["hex"] == pytest.approx(6 * 11600, rel=0.01)
    assert bears(None) == min(by_head.values()) == pytest.approx(0.8 * by_head["hex"])


def test_where_a_part_and_its_step_both_state_a_number_the_worse_counts() -> None:
    """A step that says more than its part does not talk the part's own number away."""
    made = part("b.hook", "hook", opening="50 mm", strength="4 kN")
    for said, counts in (("9 kN", 4000), ("3 kN", 3000)):
        path = computed(made, TOP, STILL, step("b.hook", strength=said))
        found = link(path, "b.hook")
        assert found.strength == counts
        assert any("the worse counts" in str(item.value) for item in found.inputs)
    drum = [item.replace('part = "a.drum"', 'part = "a.drum"\nradius = "5 mm"') for item in WINCH]
    assert drum != list(WINCH)
    assert {item.name: item.load for item in computed(*drum).links} == {
        item.name: item.load for item in computed(*WINCH).links
    }


@pytest.mark.parametrize("names", [("Plate A", "plate-a"), ("Plate A", "plate a")])
def test_links_whose_names_read_alike_are_told_by_name(names: tuple[str, str]) -> None:
    path = computed(TOP, STILL, *(step(name) for name in names))
    assert any("a name of its own for each of Plate A" in need for need in path.not_stated)


def test_links_in_other_letters_are_looked_at_one_by_one() -> None:
    path = computed(TOP, STILL, step("鈎"), step("縄"))
    keys = [item.inspection_key for item in path.links if item.inspection_key]
    assert len(set(keys)) == len(keys) == 2


RADII = [
    # the part says, the step's radius, the torque that the wheel must hold: 1000 N at the larger
    ("arm", {"length": "500 mm"}, 0.5),
    ("sprocket", {"size": "25", "teeth": 16}, 6.35e-3 / (2 * math.sin(math.pi / 16))),
    ("pulley", {"diameter": "80 mm"}, 0.04),
    ("pulley", {"teeth": 20, "pitch": "5 mm"}, 0.1 / (2 * math.pi)),
]
"""Statics, force times lever; pitch radius of a sprocket p / (2 sin(π/N)) (ASME B29.1), of a belt
pulley z·p / (2π)."""


@pytest.mark.parametrize("kind, specs, own", RADII)
@pytest.mark.parametrize("said", [0.002, 0.9])
def test_a_lever_stated_twice_is_the_longer_towards_a_torque(
    kind: str, specs: dict[str, object], own: float, said: float
) -> None:
    made = part("b.lever", kind, **specs)
    turned = step("b.lever", hands_on=kind, radius=f"{said * 1000:g} mm")
    path = computed(HOOK, made, WHEEL, TOP, STILL, step("a.hook"), turned, DOWN[3])
    wheel = link(path, "a.ratchet, tooth")
    assert wheel.load == pytest.approx(path.loads.weight * max(said, own) / 0.033)
    assert any("the worse counts" in str(item.value) for item in wheel.inputs)


@pytest.mark.parametrize("kind, specs, own", RADII)
@pytest.mark.parametrize("said", [0.002, 0.9])
def test_a_lever_stated_twice_is_the_shorter_towards_a_force(
    kind: str, specs: dict[str, object], own: float, said: float
) -> None:
    """A chain behind a 100 mm arm: its pull is the arm's torque over the sprocket's radius."""
    arm = part("b.arm", "arm", length="100 mm")
    made = part("b.lever", kind, **specs)
    run = {"span": "300 mm", "teeth": 16, "duty": "shock"}
    chain = part("b.chain", "roller-chain", size="35", strength="9 kN", **run)
    steps = (
        step("b.arm", hands_on="arm"),
        step("b.lever", hands_on=kind, radius=f"{said * 1000:g} mm"),
        step("b.chain"),
    )
    path = computed(HOOK, arm, made, chain, TOP, STILL, *steps)
    assert link(path, "b.chain").load == pytest.approx(path.loads.weight * 0.1 / min(said, own))


@pytest.mark.parametrize("said, counts", [("40 mm", 0.010), ("5 mm", 0.005)])
def test_a_pins_circle_stated_twice_is_the_smaller(said: str, counts: float) -> None:
    """Statics: the force on a pin is the torque over the radius on which it sits."""
    made = part("b.pin", "pin", diameter="8 mm", planes=2, plate="5 mm", radius="10 mm")
    path = computed(*WINCH, made, beside("b.pin", "a.drum", "torque", radius=said))
    torque = 0.032 + 0.003175 / 2
    assert link(path, "b.pin").load == pytest.approx(path.loads.weight * torque / counts)


def test_every_number_of_a_step_has_a_worse_direction() -> None:
    kinds = ("number", "count", "length", "force", "torque")
    numbers = {field.name for field in (*STEP_FIELDS, *BESIDE_FIELDS) if field.kind in kinds}
    assert numbers == set(BOTH_STATED)


@pytest.mark.parametrize(
    "given, place",
    [
        ({"hands_on": "falls", "falls": 2, "ratio": 2}, "ratio"),
        ({"hands_on": "lines", "falls": 4}, "falls"),
        ({"hands_on": "lines", "lines": 2, "sides": 2}, "sides"),
        ({"hands_on": "drum", "layers": 1, "ratio": 3}, "ratio"),
        ({"hands_on": "gear", "ratio": 3, "falls": 2}, "falls"),
        ({"hands_on": "gear", "ratio": 3, "equaliser": True}, "equaliser"),
        ({"holds": "ratchet", "ratio": 3}, "ratio"),
    ],
)
def test_a_number_that_its_word_does_not_use_is_a_mistake(
    given: dict[str, object], place: str
) -> None:
    """It was left out of the load without a word: ratio 2 beside two falls hid half of the pull."""
    key = "a.ratchet" if "holds" in given else "a.drum" if "layers" in given else "b.block"
    made = part("b.block", "hook", opening="40 mm", strength="9 kN")
    number = 1 if "holds" in given else 2
    steps = [step(key, **given)] if "holds" in given else [DOWN[1], step(key, **given), DOWN[3]]
    lines = (HOOK, ROPE, DRUM, WHEEL, made, TOP, STILL, *steps)
    path = computed(*lines, wrong=(f"hold_path.step {number}, {place}",))
    assert "holds" in given or path.not_stated, "the load below it is not known"


def test_an_equalizer_that_is_not_there_is_no_mistake() -> None:
    lines = (HOOK, ROPE, DRUM, WHEEL, TOP, STILL, DOWN[0])
    robot_of(*lines, step("a.rope", hands_on="falls", falls=2, equaliser=False), *DOWN[2:])


def test_a_stainless_rope_gives_no_more_than_the_stiffest_source_says() -> None:
    """The cable planning table of `rope-stretch` names no metal: 19x7 up to 15e6 psi × 0.60 of the
    circle, 48.7 GPa over d². A maker's factor for stainless has 35.0 GPa, which would catch
    softer."""
    rope = part(
        "b.rope",
        "wire-rope",
        diameter="6 mm",
        construction="19x7",
        material="stainless",
        strength="20 kN",
        termination="sleeve",
        sheave="200 mm",
    )
    top = table("", **{**QUIET, "free_length": "200 mm"})
    steps = [text.replace("a.rope", "b.rope") for text in DOWN]
    path = computed(HOOK, rope, DRUM, WHEEL, top, STILL, *steps)
    stiff = 15e6 * 0.60 * math.pi / 4 * 6894.757
    assert path.loads is not None
    wanted = path.loads.weight * 0.2 / (stiff * 0.006**2)
    assert path.loads.deflection == pytest.approx(wanted, rel=1e-4)


def test_bolts_as_a_step_count_the_weaker_way_since_none_is_stated() -> None:
    """Across, a bolt yields at 0.577 of its tensile yield (distortion energy, Shigley 5-5): six M6
    8.8 with a proof load of 11 600 N (ISO 898-1) bear 40.2 kN across, 69.6 kN along."""
    joint = {"thread": "M6", "grade": "8.8", "plate": "nut", "condition": "dry", "locking": "none"}
    bolts = part("b.bolts", "bolted-joint", **joint, count=6, head="hex")
    found = link(computed(bolts, TOP, STILL, step("b.bolts")), "b.bolts")
    assert found.strength == pytest.approx(0.577 * 6 * 11600, rel=0.01)
    assert "which way it is loaded is not stated" in found.because
