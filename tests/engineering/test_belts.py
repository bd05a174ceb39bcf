"""Belts: the two published spellings of each formula agree."""

import math

import pytest

from pitcrew.base.errors import OutOfRange
from pitcrew.engineering.catalogue import find


def test_the_string_formula_is_the_meters_form() -> None:
    # T = 4·M·W·S²·f²·10⁻⁹ with M in g/(m·mm), W and S in mm (belt tension meter manual)
    mass, width, span, tone = 4.1, 15.0, 250.0, 100.0
    meter = 4 * mass * width * span**2 * tone**2 * 1e-9
    ours = find("belt-tension").compute(
        {"mass_per_length": mass * width / 1000, "span": span / 1000, "frequency": tone}
    )
    assert ours.value == pytest.approx(meter, rel=1e-12)


def test_span_has_two_spellings() -> None:
    # √(CD² - ((PD-pd)/2)²) and √(CD² - (PD-pd)²/4), SDP/SI D790 (1-3)
    centre, large, small = 0.3, 0.04, 0.02
    ours = find("belt-span").compute({"centre": centre, "diameter1": large, "diameter2": small})
    assert ours.value == pytest.approx(math.sqrt(centre**2 - (large - small) ** 2 / 4), rel=1e-12)


def test_deflection_force_is_the_small_angle_of_a_taut_string() -> None:
    # F = 2·T·sin(atan(1/32)) at a deflection of span/64; T/16 is 0.05 % above it
    ours = find("belt-deflection").compute({"tension": 100.0, "span": 0.5})
    assert ours.value == pytest.approx(2 * 100.0 * math.sin(math.atan(1 / 32)), rel=6e-4)


def test_stiffness_needs_the_belts_length() -> None:
    with pytest.raises(OutOfRange, match="belong together"):
        find("belt-deflection").compute({"tension": 100.0, "span": 0.5, "stiffness": 50.0})
    with pytest.raises(OutOfRange, match="shorter"):
        find("belt-deflection").compute(
            {"tension": 100.0, "span": 0.5, "stiffness": 50.0, "length": 0.6}
        )
