"""What a climb hangs on never looks better when it gets worse: heavier, thinner, more layers, a
longer fall, less friction."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.engineering.brakes import LININGS
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.chainsizes import LINKS, SIZES
from pitcrew.engineering.cords import FIBERS, KNOTS_BY_FIBER
from pitcrew.engineering.holding import HOLD_FACTORS
from pitcrew.engineering.stretch import MAKERS_G

more = st.floats(1.0, 20.0)
length = st.floats(1e-3, 1.0)
layers = st.integers(1, 10)
metals = st.sampled_from(["carbon", "stainless"])
makes = st.sampled_from(sorted(MAKERS_G))
fibers = st.sampled_from(FIBERS)
NEVER = 1 + 1e-12  # rounding


def value(name: str, **arguments: object) -> float:
    return find(name).compute(arguments).value


def extra(name: str, what: str, **arguments: object) -> float:
    return find(name).compute(arguments).extras[what]


@given(st.floats(1, 50), length, st.floats(1e-4, 0.02), layers, more)
def test_a_heavier_robot_or_one_more_layer_never_lowers_the_torque(
    load: float, drum: float, rope: float, count: int, k: float
) -> None:
    at = {"drum": drum, "rope": rope}
    torque = value("drum-torque", load=load, layers=count, **at)
    assert value("drum-torque", load=k * load, layers=count, **at) >= torque
    assert value("drum-torque", load=load, layers=count + 1, **at) > torque
    held = {"mass": load, "lines": 1, "ratio": 1.0, "pawl_radius": 0.02, **at}
    assert value("ratchet-hold", layers=count + 1, **held) > value(
        "ratchet-hold", layers=count, **held
    )
    assert value("ratchet-hold", layers=count, **held | {"mass": k * load}) >= value(
        "ratchet-hold", layers=count, **held
    )
    tooth = {"teeth": 12, "ratio": 1.0, **at}
    assert value("ratchet-drop", layers=count + 1, **tooth) > value(
        "ratchet-drop", layers=count, **tooth
    )
    assert value("hold-slip", slip=0.01, layers=count + 1, **tooth) < value(
        "hold-slip", slip=0.01, layers=count, **tooth
    )


@given(st.floats(0, 1), st.floats(1e-4, 0.1), st.floats(0, 5), st.floats(0, 1), st.floats(0, 2))
def test_a_longer_or_faster_fall_and_a_stiffer_line_never_catch_softer(
    drop: float, stretch: float, speed: float, latency: float, further: float
) -> None:
    fall = {"drop": drop, "stretch": stretch, "speed": speed, "latency": latency}
    factor = value("impact-factor", **fall)
    assert factor >= 2.0 and factor >= value("impact-factor", drop=drop, stretch=stretch)
    worse_falls = [{name: fall[name] + further} for name in ("drop", "speed", "latency")]
    for worse in (*worse_falls, {"stretch": stretch / (1 + further)}):
        assert value("impact-factor", **fall | worse) * NEVER >= factor


@given(st.floats(1e-3, 0.012), makes, metals, length, st.floats(1, 30), more)
def test_a_thicker_or_shorter_rope_is_never_softer(
    d: float, make: str, metal: str, span: float, load: float, k: float
) -> None:
    """Loads below what the softest of these ropes breaks at, also 20 times as heavy."""
    rope = {"construction": make, "material": metal, "load": load}
    stretch = value("rope-stretch", diameter=d, length=span, **rope)
    assert (
        value("rope-stretch", diameter=k * d if k * d < 0.1 else 0.1, length=span, **rope)
        <= stretch * NEVER
    )
    assert value("rope-stretch", diameter=d, length=span / k, **rope) <= stretch * NEVER
    assert (
        value("rope-stretch", diameter=d, length=span, **rope | {"load": k * load}) * NEVER
        >= stretch
    )


@given(makes, st.floats(1e-3, 0.012), length)
def test_carbon_is_never_softer_than_stainless_and_no_source_is_stiffer(
    make: str, d: float, span: float
) -> None:
    rope = {"construction": make, "diameter": d, "length": span, "load": 1.0}
    carbon, stainless = (
        value("rope-stretch", material=metal, **rope) for metal in ("carbon", "stainless")
    )
    assert carbon < stainless
    for metal, found in (("carbon", carbon), ("stainless", stainless)):
        makers = (
            MAKERS_G[make][metal == "stainless"]
            / 100
            * (1 / 4.4482216152605)
            / (d / 0.0254) ** 2
            * span
        )
        assert found <= makers * NEVER


@given(fibers, st.floats(100, 1e5), length, st.floats(0, 1), st.floats(0, 1))
def test_more_load_stretches_a_cord_more_and_a_stronger_one_less(
    fiber: str, strength: float, span: float, share: float, less: float
) -> None:
    cord = {"fiber": fiber, "length": span}
    stretch = value("cord-stretch", strength=strength, load=share * strength, **cord)
    assert (
        value("cord-stretch", strength=strength, load=share * less * strength, **cord)
        <= stretch * NEVER
    )
    assert (
        value("cord-stretch", strength=2 * strength, load=share * strength, **cord)
        <= stretch * NEVER
    )


@given(
    fibers,
    st.sampled_from(sorted(SIZES)),
    st.sampled_from(sorted(LINKS)),
    st.sampled_from(sorted(LINKS)),
)
def test_knots_and_links_never_strengthen(fiber: str, size: str, one: str, other: str) -> None:
    for knot in KNOTS_BY_FIBER[fiber]:
        assert 0 < value("knot-left", fiber=fiber, knot=knot) <= 100
    if SIZES[size].strength is not None:
        both = value("chain-strength", size=size, link=f"{one}; {other}")
        assert both == min(
            value("chain-strength", size=size, link=one),
            value("chain-strength", size=size, link=other),
        )
        assert both <= value("chain-strength", size=size)


@given(
    st.floats(0.01, 0.6), st.floats(0.1, 6 * math.pi), st.floats(1, 1e4), length, st.floats(0.01, 1)
)
def test_less_friction_never_holds_more_and_the_other_way_round_holds_less(
    mu: float, angle: float, pull: float, drum: float, k: float
) -> None:
    band = {"angle": angle, "tension": pull, "drum": drum}
    torque = value("band-brake-hold", friction=mu, **band)
    assert value("band-brake-hold", friction=k * mu, **band) <= torque * NEVER
    assert extra("band-brake-hold", "worse", friction=mu, **band) <= torque * NEVER
    assert (
        extra("band-brake-hold", "worse", friction=k * mu, **band)
        <= extra("band-brake-hold", "worse", friction=mu, **band) * NEVER
    )
    assert (
        extra("band-brake-hold", "worse", friction=mu, **band) <= pull * drum / 2 * NEVER
    )  # never more than the pull itself
    pads = {"force": pull, "outer": drum, "inner": drum * k / 2, "faces": 2}
    assert (
        value("disc-brake-hold", friction=k * mu, **pads)
        <= value("disc-brake-hold", friction=mu, **pads) * NEVER
    )
    assert (
        value("disc-brake-hold", friction=mu, **pads)
        <= extra("disc-brake-hold", "new", friction=mu, **pads) * NEVER
    )


@given(st.floats(math.radians(0.5), math.radians(45)), st.floats(0.01, 0.3), st.floats(0.05, 1))
def test_less_friction_never_lets_a_worm_lock(lead: float, mu: float, k: float) -> None:
    dry, oiled = (
        find("worm-hold").compute({"lead_angle": lead, "friction": friction})
        for friction in (mu, k * mu)
    )
    assert oiled.value >= dry.value - 1e-12
    assert dry.extras["locks"] or not oiled.extras["locks"]


@given(st.sampled_from(["round", "hex"]), length, st.floats(0.1, 1e3), more)
def test_more_torque_and_a_thinner_part_never_lower_a_stress(
    shape: str, size: float, torque: float, k: float
) -> None:
    stress = value("shaft-torsion", shape=shape, size=size, torque=torque)
    assert value("shaft-torsion", shape=shape, size=size, torque=k * torque) * NEVER >= stress
    assert value("shaft-torsion", shape=shape, size=size / k, torque=torque) * NEVER >= stress
    pin = {"load": torque, "planes": 2, "plate": size}
    for name in ("value", "bearing"):
        thick, thin = (find("pin-shear").compute(pin | {"diameter": d}) for d in (size, size / k))
        assert (thin.extras.get(name) or thin.value) * NEVER >= (
            thick.extras.get(name) or thick.value
        )
    assert value("pin-shear", diameter=size, **pin | {"planes": 1}) == pytest.approx(
        2 * value("pin-shear", diameter=size, **pin)
    )


@given(st.floats(0, math.pi / 2), st.floats(0, 1))
def test_a_wider_swing_never_pulls_less(angle: float, k: float) -> None:
    assert (
        1
        <= value("swing-factor", angle=k * angle)
        <= value("swing-factor", angle=angle) * NEVER
        <= 3 * NEVER
    )


@given(st.lists(st.floats(1, 100), min_size=1, max_size=3), more)
def test_a_team_lifts_no_more_than_its_members_one_by_one(each: list[float], k: float) -> None:
    lifted = value("team-lift", each=each)
    assert lifted <= sum(each) * NEVER
    assert lifted == pytest.approx(value("team-lift", each=list(reversed(each))))
    assert value("team-lift", each=[mass / k for mass in each]) <= lifted * NEVER


def test_grease_never_helps_a_brake() -> None:
    for name in LININGS:
        assert value("brake-friction", lining=name, state="greasy") < value(
            "brake-friction", lining=name, state="dry"
        )
        assert value("brake-friction", lining=name) == value(
            "brake-friction", lining=name, state="greasy"
        )


def test_the_factors_are_those_of_the_lifting_rules() -> None:
    """From memory: Machinery Directive 2006/42/EC, annex I, 4.1.2.5; a sixth of the breaking force
    for roller chain."""
    assert {name: factor for name, (factor, *_) in HOLD_FACTORS.items()} == {
        "textile": 7,
        "wire rope": 5,
        "chain": 6,
        "short-link chain": 4,
        "metal": 4,
    }


@given(st.floats(1, 100), length, st.floats(1e-4, 0.02), st.integers(1, 10))
def test_stall_pulls_hardest_on_the_innermost_layer(
    ratio: float, drum: float, rope: float, motors: int
) -> None:
    outcome = find("stall-pull").compute(
        {"stall_torque": 2.0, "motors": motors, "ratio": ratio, "drum": drum, "rope": rope}
    )
    for layer in (
        1,
        2,
        3,
    ):  # the same torque holds the load of the pull on layer 1, and less further out
        needed = value("drum-torque", load=outcome.value, drum=drum, rope=rope, layers=layer)
        assert needed * NEVER >= outcome.extras["torque"]
