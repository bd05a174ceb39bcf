"""Roller chain against exact geometry, an independent catenary and its own inverse."""

import math

import pytest

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.chains import centre_for, pitches_round, wear_limit
from pitcrew.engineering.chainsizes import B29_STRENGTH, chain


def exact_length(centre: float, teeth1: int, teeth2: int) -> float:
    """Open belt round two circles of the sprockets' pitch radii, in pitches (geometry; independent
    of the handbook's formula)."""
    small, large = sorted((teeth1, teeth2))
    radii = [0.5 / math.sin(math.pi / teeth) for teeth in (small, large)]
    lean = math.asin((radii[1] - radii[0]) / centre)
    wraps = small * (math.pi - 2 * lean) + large * (math.pi + 2 * lean)
    return 2 * centre * math.cos(lean) + wraps / (2 * math.pi)


@pytest.mark.parametrize(
    ("centre", "teeth1", "teeth2"),
    [(28.8, 15, 45), (20, 15, 45), (40, 12, 36), (20, 16, 32), (36, 20, 60)],
)
def test_length_agrees_with_exact_geometry(centre: float, teeth1: int, teeth2: int) -> None:
    # the handbook's formula is good to 0.01 pitch from 20 pitches and to a ratio of 3
    assert pitches_round(centre, teeth1, teeth2) == pytest.approx(
        exact_length(centre, teeth1, teeth2), abs=0.01
    )


@pytest.mark.parametrize(
    ("teeth1", "teeth2", "centre"), [(12, 60, 40), (16, 32, 20), (11, 22, 30), (20, 20, 12)]
)
def test_centre_is_the_inverse_of_length(teeth1: int, teeth2: int, centre: float) -> None:
    assert centre_for(pitches_round(centre, teeth1, teeth2), teeth1, teeth2) == pytest.approx(
        centre, abs=1e-12
    )


def test_a_loop_too_short_for_its_sprockets_is_refused() -> None:
    with pytest.raises(OutOfRange, match="too short"):
        centre_for(30, 15, 45)


def test_strengths_are_the_rule_of_the_standard_but_for_one() -> None:
    # ASME B29.1: 12 500 p², printed to 10 lbf or better
    for number, pounds in B29_STRENGTH.items():
        pitch_inches = chain(str(number)).pitch / 0.0254
        difference = abs(12_500 * pitch_inches**2 - pounds)
        assert (difference > 1000) if number == 41 else (difference <= 5)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("40", "#40"),
        ("#40", "#40"),
        ("ANSI 40", "#40"),
        ("08A", "#40"),
        ("08a-1", "#40"),
        ("No. 35", "#35"),
        ("04C", "#25"),
        ("085", "#41"),
        ("06B", "06B"),
        ("25H", "25H"),
    ],
)
def test_sizes_are_read_as_people_write_them(typed: str, name: str) -> None:
    assert chain(typed).name == name


def test_an_unknown_size_gives_the_nearest() -> None:
    with pytest.raises(UnknownName) as refusal:
        chain("08C")
    assert refusal.value.nearest == "08b"


@pytest.mark.parametrize("sag", [0.002, 0.02, 0.08, 0.3, 1.0])
def test_tension_is_that_of_an_independent_catenary(sag: float) -> None:
    """pycatenary is given the arc's length and must find the same pull."""
    from pycatenary.cable import MooringLine

    figure = find("chain-tension")
    ours = figure.compute({"weight_per_length": 3.0, "span": 1.0, "sag": sag})
    line = MooringLine(
        L=ours.extras["length"],
        w=3.0,
        EA=None,
        anchor=[0.0, 0.0, 0.0],
        fairlead=[1.0, 0.0, 0.0],
        floor=False,
    )
    line.compute_solution()
    pulls = line.get_tension(0.0)
    assert math.hypot(pulls[0], pulls[1]) == pytest.approx(ours.value, rel=1e-6)
    assert math.hypot(*pulls) == pytest.approx(ours.extras["end"], rel=1e-6)


def test_the_parabola_is_near_for_shallow_sags() -> None:
    # within 0.3 % for a sag of 5 % of the span
    outcome = find("chain-tension").compute({"weight_per_length": 3.0, "span": 1.0, "sag": 0.05})
    assert outcome.value == pytest.approx(outcome.extras["parabola"], rel=0.004)
    assert outcome.value > outcome.extras["parabola"]


def test_the_wear_limit_has_three_reasons() -> None:
    assert wear_limit(17, False) == 3.0
    assert wear_limit(17, True) == 1.5
    assert wear_limit(100, False) == 2.0
    assert wear_limit(200, True) == 1.0  # 200/N is under the limit of fixed centres


def test_sentences_carry_the_parts_own_numbers_in_the_teams_units() -> None:
    outcome = find("chain-slack").compute_typed({"span": "300 mm", "duty": "shock"})
    assert "300 mm" in outcome.say("metric") and "6 mm to 9 mm" in outcome.say("metric")
    assert "11.8 in" in outcome.say("inch")
    worn = find("chain-wear").compute_typed(
        {"size": "35", "pitches": "16", "measured": "6.1 in", "teeth": "72", "fixed_centres": "no"}
    )
    assert "72 teeth" in worn.say() and "2.78 %" in worn.say()


def test_even_lengths_bracket_the_need() -> None:
    extras = (
        find("chain-length")
        .compute_typed({"size": "25", "centre": "200 mm", "teeth1": "16", "teeth2": "22"})
        .extras
    )
    assert extras["even"] % 2 == 0 and extras["longer"] % 2 == 0
    assert extras["centre_at_longer"] >= 0.200 >= extras["centre_at_longer"] - 0.00635
