"""A hexagon in torsion, solved as a boundary-value problem, against the factor that handbooks
print."""

import math

import pytest

from pitcrew.engineering.catalogue import find
from pitcrew.engineering.shafts import HEX_SECTION


def hexagon_by_series(terms: int = 14, points: int = 400) -> tuple[float, float]:
    """Section modulus and twist constant of a hexagon 1 across flats, from Prandtl's stress
    function.

    φ = (1 - r²)/4 + Σ aₖ·r⁶ᵏ·cos 6kθ solves ∇²φ = -1 exactly; the aₖ make φ vanish on a side, in
    least squares.
    """
    import numpy

    angle = numpy.linspace(
        0, math.pi / 6, points
    )  # half a side at a distance of 1/2; θ = 0 is the middle of a flat
    radius = 0.5 / numpy.cos(angle)
    harmonics = numpy.stack(
        [radius ** (6 * k) * numpy.cos(6 * k * angle) for k in range(terms)], axis=1
    )
    a, *_ = numpy.linalg.lstsq(harmonics, -(1 - radius**2) / 4, rcond=None)
    slope = -0.5 * 0.5 + sum(
        a[k] * 6 * k * 0.5 ** (6 * k - 1) for k in range(1, terms)
    )  # dφ/dr at the middle of the flat
    integral = 0.0  # of φ over the section, twelve equal triangles
    for at, far in zip(angle, radius, strict=True):
        inner = (far**2 / 2 - far**4 / 4) / 4
        inner += sum(
            a[k] * math.cos(6 * k * at) * far ** (6 * k + 2) / (6 * k + 2) for k in range(terms)
        )
        weight = 0.5 if at in (angle[0], angle[-1]) else 1.0
        integral += 12 * weight * inner * (angle[1] - angle[0])
    return 2 * integral / abs(slope), 4 * integral


def test_the_factor_of_a_hexagon_is_that_of_its_boundary_value_problem() -> None:
    """Roark prints 0.1888·s³ for the stress and 0.1154·s⁴ for the twist; the solution has 0.8 %
    more stress."""
    section, twist = hexagon_by_series()
    assert twist == pytest.approx(0.1154, rel=4e-3)
    assert section == pytest.approx(HEX_SECTION, rel=8e-3) and section < HEX_SECTION


def test_a_bore_takes_what_it_took_from_the_section() -> None:
    figure = find("shaft-torsion")
    solid = figure.compute({"shape": "round", "size": 0.0254, "torque": 40.0}).value
    tube = figure.compute({"shape": "round", "size": 0.0254, "torque": 40.0, "bore": 0.01905}).value
    assert solid / tube == pytest.approx(1 - 0.75**4, rel=1e-12)


def test_the_side_of_a_key_governs_where_the_key_is_low() -> None:
    """Shear on width × length against bearing on half the height × length: equal at width = height
    / 2."""
    key = {"length": 0.015, "diameter": 0.012, "torque": 20.0}
    low = find("key-shear").compute(key | {"width": 0.004, "height": 0.003})
    tall = find("key-shear").compute(key | {"width": 0.002, "height": 0.006})
    assert "which governs" in low.because and low.extras["bearing"] == pytest.approx(
        low.value * 8 / 3
    )
    assert "which governs" not in tall.because and tall.extras["bearing"] == pytest.approx(
        tall.value * 2 / 3
    )
