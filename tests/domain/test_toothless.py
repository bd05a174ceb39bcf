"""A limit that no number can break judges nothing, and the sheet is told so by its place."""

import tomllib

import pytest

from pitcrew.domain.checks.readings import judge
from tests.domain.test_bundled import CHECKLISTS, DEFINITIONS, build_definitions, tables

ENCODER = """
[[part]]
id = "arm.encoder"
label = "Arm encoder"
zone = "mast"
kind = "encoder"
offset = "30 deg"
allowed = "{}"
"""


@pytest.mark.parametrize("allowed, judged", [("2 deg", True), ("45 deg", True), ("200 deg", False), ("95 deg", False)])  # fmt: skip
def test_an_encoder_is_never_off_by_more_than_half_a_turn(allowed: str, judged: bool) -> None:
    """Geometry: two directions differ by 180° at most, so that a stop above that never comes."""
    sheets = tables(CHECKLISTS / "robots")
    sheets["robots/tern.toml"]["part"] += tomllib.loads(ENCODER.format(allowed))["part"]
    definitions = build_definitions({}, sheets, tables(CHECKLISTS))
    item = definitions.part_checks["encoder-offset@arm.encoder"]
    assert ("would be stop" not in item.unjudged_because) is judged
    told = [found for found in definitions.notices if found.place == "part arm.encoder, allowed"]
    assert (not told) is judged and definitions.mistakes == []
    far = {"reads": {"typed": "210", "value": 210.0, "unit": "deg"}}
    assert judge(item.limit, far, item.unjudged_because).verdict == (
        "stop" if judged else "unjudged"
    )


@pytest.mark.parametrize("depth, verdict", [(3.9, "watch"), (4.9, "ok"), (5.2, "watch"), (5.6, "stop")])  # fmt: skip
def test_no_pawl_sits_deeper_than_its_tooth(depth: float, verdict: str) -> None:
    """Geometry; the demo's tooth is 5 mm high."""
    item = next(item for item in DEFINITIONS.part_checks.values() if item.check.id == "pawl-depth")
    assert item.part.specs["tooth_height"] == pytest.approx(0.005)
    given = {
        "depth": {"typed": str(depth), "value": depth, "unit": "mm"},
        "tip": {"typed": "sharp", "value": "sharp"},
    }
    assert judge(item.limit, given).verdict == verdict
