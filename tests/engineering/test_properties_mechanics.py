"""Laws that the mechanical figures obey for any numbers: scaling, round trips, monotonicity,
symmetry."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pitcrew.engineering.catalogue import find
from pitcrew.engineering.chainsizes import SIZES
from pitcrew.engineering.discard import RULES
from pitcrew.engineering.friction import CONDITIONS
from pitcrew.engineering.grades import GRADES, ISO
from pitcrew.engineering.thread_limits import shear_areas
from pitcrew.engineering.threads import THREADS, thread

scale = st.floats(0.01, 100)
length = st.floats(1e-3, 2.0)
teeth = st.integers(9, 80)
threads = st.sampled_from(sorted(THREADS))
metric = st.sampled_from(sorted(name for name, found in THREADS.items() if found.metric))
classes = st.sampled_from(
    sorted(name for name, grade in GRADES.items() if grade.standard == ISO and name != "9.8")
)
states = st.sampled_from(sorted(CONDITIONS))
treated = st.sampled_from(
    sorted(set(CONDITIONS) - {"dry", "black"})
)  # these two mean oiled on an alloy screw


def value(name: str, **arguments: object) -> float:
    return find(name).compute(arguments).value


# ---- dimensional scaling: a change of the unit of length or of force changes the value by its
# dimension alone


@given(st.floats(0.1, 100), length, st.floats(0.001, 0.9), scale)
def test_chain_tension_scales_with_weight_and_length(
    weight: float, span: float, shape: float, k: float
) -> None:
    pull = value("chain-tension", weight_per_length=weight, span=span, sag=shape * span)
    assert value(
        "chain-tension", weight_per_length=k * weight, span=span, sag=shape * span
    ) == pytest.approx(k * pull, rel=1e-9)
    assert value(
        "chain-tension", weight_per_length=weight, span=k * span, sag=shape * span * k
    ) == pytest.approx(k * pull, rel=1e-9)


@given(st.floats(0.001, 1), length, st.floats(1, 1000), scale)
def test_belt_tension_scales(mass: float, span: float, tone: float, k: float) -> None:
    assume(tone * k <= 5000)
    pull = value("belt-tension", mass_per_length=mass, span=span, frequency=tone)
    assert value(
        "belt-tension", mass_per_length=k * mass, span=span, frequency=tone
    ) == pytest.approx(k * pull, rel=1e-9)
    assert value(
        "belt-tension", mass_per_length=mass, span=k * span, frequency=tone
    ) == pytest.approx(k * k * pull, rel=1e-9)
    assert value(
        "belt-tension", mass_per_length=mass, span=span, frequency=k * tone
    ) == pytest.approx(k * k * pull, rel=1e-9)


@given(threads, scale)
def test_strip_areas_scale_with_engagement_and_with_size(name: str, k: float) -> None:
    found = thread(name)
    once, more = shear_areas(found, found.diameter), shear_areas(found, k * found.diameter)
    assert more == pytest.approx((k * once[0], k * once[1]), rel=1e-9)


@given(st.floats(1, 500), length, st.floats(0.0, 0.02), scale)
def test_ratchet_force_depends_on_ratios_of_lengths(
    mass: float, drum: float, rope: float, k: float
) -> None:
    arguments = {"mass": mass, "lines": 1, "ratio": 2.0}
    force = value("ratchet-hold", drum=drum, rope=rope, pawl_radius=0.02, **arguments)
    assert value(
        "ratchet-hold", drum=k * drum, rope=k * rope, pawl_radius=k * 0.02, **arguments
    ) == pytest.approx(force, rel=1e-9)


@given(length, length, scale)
def test_impact_and_bending_depend_on_ratios_alone(first: float, second: float, k: float) -> None:
    assume(max(first, second) * k <= 10)
    assert value("impact-factor", drop=k * first, stretch=k * second) == pytest.approx(
        value("impact-factor", drop=first, stretch=second), rel=1e-9
    )
    small, large = sorted((first, second))
    assert value("rope-bend", diameter=k * small, sheave=k * large) == pytest.approx(
        value("rope-bend", diameter=small, sheave=large), rel=1e-9
    )


# ---- round trips


@given(st.sampled_from(["25", "35", "40", "50", "60"]), teeth, teeth, st.integers(40, 120))
def test_a_chain_at_the_centre_of_its_even_length_is_that_long(
    size: str, first: int, second: int, pitches: int
) -> None:
    centre = pitches * SIZES[size].pitch
    found = find("chain-length").compute(
        {"size": size, "centre": centre, "teeth1": first, "teeth2": second}
    )
    again = value(
        "chain-length",
        size=size,
        centre=found.extras["centre_at_even"],
        teeth1=first,
        teeth2=second,
    )
    assert again == pytest.approx(found.extras["even"], abs=1e-9)


@given(metric, classes, states, st.floats(0.05, 1.0))
def test_torque_and_preload_are_inverse(name: str, grade: str, state: str, fraction: float) -> None:
    asked = find("bolt-torque").compute(
        {"thread": name, "grade": grade, "condition": state, "fraction": fraction}
    )
    assert value(
        "bolt-preload", thread=name, torque=asked.value, condition=state, grade=grade
    ) == pytest.approx(asked.extras["preload"], rel=1e-9)


@given(st.floats(0.63, 1.59), st.floats(0.01, 5), st.floats(1, 24))
def test_servo_torque_goes_there_and_back(share: float, torque: float, voltage: float) -> None:
    there = value(
        "servo-torque", rated_torque=torque, rated_voltage=voltage, voltage=voltage * share
    )
    assert value(
        "servo-torque", rated_torque=there, rated_voltage=voltage * share, voltage=voltage
    ) == pytest.approx(torque, rel=1e-9)


@given(st.floats(0.1, 100), length, st.floats(0.001, 1.0))
def test_the_catenary_found_hangs_as_deep_as_asked(
    weight: float, span: float, shape: float
) -> None:
    sag = shape * span
    a = value("chain-tension", weight_per_length=weight, span=span, sag=sag) / weight
    assert 2 * a * math.sinh(span / (4 * a)) ** 2 == pytest.approx(sag, rel=1e-9)


@given(length, st.integers(2, 200), st.floats(0.1, 100))
def test_a_slip_of_the_drop_is_one_tooth(drum: float, count: int, ratio: float) -> None:
    drop = value("ratchet-drop", drum=drum, teeth=count, ratio=ratio)
    assume(drop <= 5)
    assert value("hold-slip", slip=drop, drum=drum, teeth=count, ratio=ratio) == pytest.approx(
        1, rel=1e-9
    )


# ---- monotonicity


@given(st.floats(0.1, 100), length, st.floats(0.001, 0.49), st.floats(1.001, 2))
def test_a_slacker_chain_pulls_less(weight: float, span: float, shape: float, more: float) -> None:
    tight = value("chain-tension", weight_per_length=weight, span=span, sag=shape * span)
    slack = find("chain-tension").compute(
        {"weight_per_length": weight, "span": span, "sag": shape * span * more}
    )
    assert slack.value < tight
    assert (
        slack.extras["length"] > span
        and slack.extras["end"] > slack.value > slack.extras["parabola"]
    )


@given(st.integers(5, 249))
def test_more_teeth_run_smoother(count: int) -> None:
    assert value("chain-ripple", teeth=count + 1) < value("chain-ripple", teeth=count)


@given(teeth, st.floats(1.0, 1.09), st.floats(1e-4, 0.009), st.booleans())
def test_a_longer_chain_is_more_worn(count: int, ratio: float, more: float, fixed: bool) -> None:
    new = 16 * SIZES["35"].pitch
    arguments = {"size": "35", "pitches": 16, "teeth": count, "fixed_centres": fixed}
    less, worse = (
        find("chain-wear").compute(arguments | {"measured": new * factor})
        for factor in (ratio, ratio + more)
    )
    assert worse.value > less.value and worse.extras["limit"] == less.extras["limit"] <= 3


@given(st.floats(1, 60), st.floats(0, 20))
def test_a_larger_sheave_never_weakens(ratio: float, more: float) -> None:
    small, large = (
        value("rope-bend", diameter=0.004, sheave=0.004 * factor)
        for factor in (ratio, ratio + more)
    )
    assert 50 <= small <= large <= 95


@given(st.floats(0, 1), st.floats(1e-4, 1), st.floats(1e-4, 1))
def test_falling_further_hits_harder_and_stretch_softens(
    drop: float, more: float, stretch: float
) -> None:
    factor = value("impact-factor", drop=drop, stretch=stretch)
    assert factor >= 2
    assert value("impact-factor", drop=drop + more, stretch=stretch) > factor
    assert value("impact-factor", drop=drop + more, stretch=stretch + more) < value(
        "impact-factor", drop=drop + more, stretch=stretch
    )


@given(metric, treated, st.floats(0.05, 0.99))
def test_a_stronger_class_allows_more_torque_never_less(
    name: str, state: str, fraction: float
) -> None:
    order = ("4.6", "4.8", "8.8", "10.9", "12.9")
    torques = [
        value("bolt-torque", thread=name, grade=grade, condition=state, fraction=fraction)
        for grade in order
    ]
    assert torques == sorted(torques)


@given(
    metric,
    st.floats(1.0, 2.9),
    st.floats(0.01, 0.1),
    st.sampled_from(["polycarbonate", "6061-t6", "mild steel"]),
)
def test_more_engagement_never_lowers_the_audit(
    name: str, diameters: float, more: float, plate: str
) -> None:
    size = thread(name).diameter
    arguments = {"thread": name, "grade": "8.8", "plate": plate, "condition": "zinc"}
    short = find("bolt-audit").compute(arguments | {"engagement": diameters * size})
    longer = find("bolt-audit").compute(arguments | {"engagement": (diameters + more) * size})
    assert short.value <= longer.value <= short.extras["proof_torque"] * (1 + 1e-12)


@given(
    st.sampled_from(sorted(RULES)),
    st.fixed_dictionaries(
        {key: st.integers(0, 20) for key in ("in_lay", "in_strand", "in_6d", "in_30d", "at_end")}
    ),
    st.sampled_from(["in_lay", "in_strand", "in_6d", "in_30d", "at_end"]),
)
def test_one_more_broken_wire_never_saves_a_rope(
    rule: str, counts: dict[str, int], place: str
) -> None:
    before = value("broken-wires", rule=rule, construction="7x19", **counts)
    after = value(
        "broken-wires", rule=rule, construction="7x19", **(counts | {place: counts[place] + 1})
    )
    assert after <= before


# ---- symmetry and order


@given(st.floats(0.05, 2), st.floats(0.005, 0.049), st.floats(0.005, 0.049))
def test_pulleys_and_sprockets_may_change_places(
    centre: float, first: float, second: float
) -> None:
    assert value("belt-span", centre=centre, diameter1=first, diameter2=second) == pytest.approx(
        value("belt-span", centre=centre, diameter1=second, diameter2=first), rel=1e-12
    )


@given(teeth, teeth, st.integers(30, 100))
def test_sprockets_may_change_places(first: int, second: int, pitches: int) -> None:
    centre = pitches * SIZES["25"].pitch
    assert value(
        "chain-length", size="25", centre=centre, teeth1=first, teeth2=second
    ) == pytest.approx(
        value("chain-length", size="25", centre=centre, teeth1=second, teeth2=first), rel=1e-12
    )


@given(
    st.floats(10, 1e5), st.floats(0.01, 1), st.floats(0.01, 1), st.floats(0.01, 1), st.floats(1, 20)
)
def test_kept_parts_commute_and_never_strengthen(
    strength: float, end: float, bend: float, knot: float, factor: float
) -> None:
    load = value(
        "rope-load", strength=strength, termination=end, bend=bend, knot=knot, factor=factor
    )
    assert load == pytest.approx(
        value("rope-load", strength=strength, termination=knot, bend=end, knot=bend, factor=factor),
        rel=1e-9,
    )
    assert load <= strength * min(end, bend, knot) / factor * (1 + 1e-12)


@given(threads)
def test_the_areas_of_a_thread_are_in_order(name: str) -> None:
    found = thread(name)
    bolt, nut = shear_areas(found, found.diameter)
    assert found.minor_diameter < found.pitch_diameter < found.diameter
    assert (
        math.pi / 4 * found.minor_diameter**2 < found.area < math.pi / 4 * found.pitch_diameter**2
    )
    assert 0 < bolt < nut < math.pi * found.diameter**2


@given(st.sampled_from(["normal", "shock"]), st.floats(0.05, 4.9))
def test_slack_bounds_hold_their_middle(duty: str, span: float) -> None:
    outcome = find("chain-slack").compute({"span": span, "duty": duty})
    assert (
        outcome.value == pytest.approx((outcome.extras["low"] + outcome.extras["high"]) / 2)
        and 0 < outcome.extras["low"] < outcome.extras["high"]
    )
