"""Bolts: grades refuse what their standard does not cover, and the stated scatter covers measured
joints."""

from statistics import mean, stdev

import pytest

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.friction import condition
from pitcrew.engineering.grades import GRADES, known_grade, strength
from pitcrew.engineering.threads import thread

# Blake and Kurtz, preload in kN at 90 N·m, as printed in Shigley (page 464 of the stored edition)
UNLUBRICATED = [
    23.6,
    27.6,
    28.0,
    29.4,
    30.3,
    30.7,
    32.9,
    33.8,
    33.8,
    33.8,
    34.7,
    35.6,
    35.6,
    37.4,
    37.8,
    37.8,
    39.2,
    40.0,
    40.5,
    42.7,
]
LUBRICATED = [30.3, 32.5, 32.5, 32.9, 32.9, 33.8, 34.3, 34.7, 37.4, 40.5]


def test_measured_preloads_scatter_as_printed() -> None:
    assert mean(UNLUBRICATED) == pytest.approx(34.3, abs=0.05) and stdev(
        UNLUBRICATED
    ) == pytest.approx(4.91, abs=0.005)
    assert mean(LUBRICATED) == pytest.approx(34.18, abs=0.005) and stdev(
        LUBRICATED
    ) == pytest.approx(2.88, abs=0.005)


@pytest.mark.parametrize(("state", "data"), [("dry", UNLUBRICATED), ("lubricated", LUBRICATED)])
def test_the_stated_scatter_covers_two_standard_deviations_of_them(
    state: str, data: list[float]
) -> None:
    assert condition(state).scatter.value >= 2 * stdev(data) / mean(data)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("8.8", "8.8"),
        ("class 10.9", "10.9"),
        ("grade 5", "5"),
        ("Gr 8", "8"),
        ("gr.5", "5"),
        ("SAE J429 grade 2", "2"),
        ("5", "5"),
    ],
)
def test_grades_are_read_as_people_write_them(typed: str, name: str) -> None:
    bolt = "M6" if "." in name else "1/4-20"
    assert strength(thread(bolt), typed)[0].name == name


@pytest.mark.parametrize(
    ("bolt", "grade", "held"),
    [
        ("10-32", "5", "1/4 in to 1-1/2 in"),
        ("M42", "8.8", "M42"),
        ("M20", "9.8", "M16"),
        ("1/4-20", "8.8", "metric"),
        ("M6", "5", "inch"),
        ("M27", "A2-70", "M24"),
        ("M6", "8.9", "8.9"),
    ],
)
def test_a_grade_outside_its_standard_is_refused(bolt: str, grade: str, held: str) -> None:
    with pytest.raises((OutOfRange, UnknownName)) as refusal:
        find("bolt-proof").compute({"thread": bolt, "grade": grade})
    assert held in refusal.value.sentence


def test_proof_is_below_yield_is_below_tensile_for_every_grade() -> None:
    """Stainless has no proof load: its 0.2 % yield takes its place (ISO 3506-1)."""
    for grade in GRADES.values():
        for step in grade.strengths:
            assert step.proof < step.yields or grade.stainless, grade.name
            assert step.proof <= step.yields < step.tensile, grade.name


def test_the_step_of_class_8_8_lies_above_m16() -> None:
    proof = find("bolt-proof")
    assert proof.compute({"thread": "M16", "grade": "8.8"}).extras["proof_stress"] == pytest.approx(
        580e6
    )
    assert proof.compute({"thread": "M18", "grade": "8.8"}).extras["proof_stress"] == pytest.approx(
        600e6
    )


def test_torque_and_preload_are_inverse_and_say_their_scatter() -> None:
    asked = find("bolt-torque").compute(
        {"thread": "M8", "grade": "8.8", "condition": "zinc", "fraction": 0.75}
    )
    back = find("bolt-preload").compute(
        {"thread": "M8", "torque": asked.value, "condition": "zinc"}
    )
    assert back.value == pytest.approx(asked.extras["preload"], rel=1e-12)
    assert asked.extras["low"] < asked.value < asked.extras["high"]
    assert "±35 %" in asked.because and "35 %" in back.because


def test_the_run_on_torque_of_a_locknut_clamps_nothing() -> None:
    figure = find("bolt-preload")
    free = figure.compute({"thread": "1/4-28", "torque": 5.0, "condition": "cadmium"})
    locknut = figure.compute(
        {"thread": "1/4-28", "torque": 5.4, "condition": "cadmium", "prevailing": 0.4}
    )
    assert locknut.value == pytest.approx(free.value, rel=1e-12)
    with pytest.raises(OutOfRange, match="nothing is clamped"):
        figure.compute(
            {"thread": "1/4-28", "torque": 0.4, "condition": "cadmium", "prevailing": 0.4}
        )


def test_nut_factor_of_ordinary_friction_is_about_one_fifth() -> None:
    # "K is about 0.20 for f = fc = 0.15, whatever the size" (Shigley), and the example's 3551
    # lbf·in against 3750 by K = 0.2
    for bolt in ("3/4-16", "1/4-20", "10-32", "M3", "M6", "M10"):
        factor = (
            find("nut-factor")
            .compute({"thread": bolt, "thread_friction": 0.15, "collar_friction": 0.15})
            .value
        )
        assert factor == pytest.approx(0.20, abs=0.011)
    assert find("nut-factor").compute(
        {"thread": "3/4-16", "thread_friction": 0.15, "collar_friction": 0.15}
    ).value * 0.75 * 25_000 == pytest.approx(3551, abs=1)


def test_unknown_conditions_give_the_nearest() -> None:
    with pytest.raises(UnknownName) as refusal:
        condition("zinc plate")
    assert refusal.value.nearest == "zinc"


@pytest.mark.parametrize("written", ["A2", "a4", "stainless", "Inox", "A2 stainless"])
def test_stainless_without_its_strength_is_never_hinted_at_as_plain_steel(written: str) -> None:
    """ISO 3506-1 marks steel group and strength: A2-70. `A2` alone is no strength, and SAE J429
    grade 2 is another steel."""
    with pytest.raises(UnknownName) as refusal:
        known_grade(written)
    assert refusal.value.nearest is None
    assert "Nearest" not in refusal.value.sentence and "a2-70" in refusal.value.sentence
