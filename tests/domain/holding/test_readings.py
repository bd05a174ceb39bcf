"""The worse of build sheet and last reading counts, and every link says which of its inputs was
measured, when and by whom."""

from datetime import UTC, datetime

import pytest

from pitcrew.domain.holding.links import HoldPath, LastReading, Measured, PathInput
from tests.domain.holding.sheets import QUIET, STILL, G, computed, link, part, row, step, table

AT = datetime(2026, 3, 7, 9, 12, tzinfo=UTC)
WINCH = (
    part(
        "a.rope",
        "wire-rope",
        diameter="4 mm",
        construction="7x19",
        material="carbon",
        sheave="80 mm",
        termination="sleeve",
        strength="9 kN",
    ),
    part("a.drum", "drum", diameter="80 mm"),
    part(
        "a.ratchet", "ratchet", teeth=24, pawl_radius="42 mm", tooth_strength="9 kN", width="30 mm"
    ),
    table("", **QUIET, deflection="9 mm"),
    STILL,
    step("a.rope"),
    step("a.drum", hands_on="drum", layers=2),
    step("a.ratchet", holds="ratchet"),
)


def read(part_id: str, quantity: str, value: float) -> HoldPath:
    return computed(*WINCH, measured=Measured({(part_id, quantity): LastReading(value, AT, "Ada")}))


def noted(path: HoldPath, name: str, of: str) -> PathInput:
    return next(item for item in link(path, of).inputs if item.name == name)


@pytest.mark.parametrize(
    "part_id, quantity, worse, better, link_name, changed",
    [
        ("", "mass", 62.0, 45.0, "a.rope", 50 / 62),
        ("a.rope", "diameter", 0.0038, 0.0041, "a.rope", (3.8 / 4) ** 2),
        ("a.drum", "layers", 3.0, 1.0, "a.ratchet, tooth", (40 + 6) / (40 + 10)),
        ("a.drum", "diameter", 0.084, 0.079, "a.ratchet, tooth", 46 / 48),
    ],
)
def test_the_worse_of_sheet_and_reading_counts(
    part_id: str, quantity: str, worse: float, better: float, link_name: str, changed: float
) -> None:
    stated, bad, good = (
        computed(*WINCH),
        read(part_id, quantity, worse),
        read(part_id, quantity, better),
    )
    before = link(stated, link_name).factor
    assert before is not None
    assert link(bad, link_name).factor == pytest.approx(before * changed, rel=1e-6)
    assert link(good, link_name).factor == pytest.approx(before, rel=1e-6), (
        "a better reading flatters nothing"
    )
    for path, value in ((bad, worse), (good, None)):
        item = noted(path, quantity, link_name)
        assert (item.origin, item.when, item.by) == (
            "measured",
            AT,
            "Ada",
        ) and item.stated is not None
        assert value is None or item.value == value
    assert noted(stated, quantity, link_name).origin == "stated"


def test_a_drop_read_larger_and_a_give_read_smaller_count() -> None:
    stated = row(computed(*WINCH), "catch").factor
    assert stated is not None
    worse_drop, less_give = (
        row(read("a.ratchet", "drop", 0.020), "catch").factor,
        row(read("", "deflection", 0.005), "catch").factor,
    )
    assert (
        worse_drop is not None
        and less_give is not None
        and worse_drop < stated
        and less_give < stated
    )
    assert row(read("a.ratchet", "drop", 0.001), "catch").factor == pytest.approx(stated)
    assert row(read("", "deflection", 0.030), "catch").factor == pytest.approx(stated)


def test_a_give_that_a_ruler_cannot_tell_from_nothing_counts_as_unknown() -> None:
    path = read("", "deflection", 0.0009)
    assert not row(path, "catch").computed and any("ruler" in need for need in path.not_stated)


def test_a_weighing_stands_in_for_a_mass_that_is_not_known() -> None:
    path = computed(
        *WINCH, mass="50 lb", measured=Measured({("", "mass"): LastReading(85.0, AT, "Ivo")})
    )
    assert path.loads is not None and path.loads.weight == pytest.approx(85 * G)


def test_a_lower_factor_counts_only_once_it_is_approved_and_never_below_two() -> None:
    low = (
        *WINCH[:3],
        table("", **QUIET, deflection="9 mm", lower_factor=3.2, lower_factor_reason="low hang"),
        *WINCH[4:],
    )
    plain, allowed = computed(*low), computed(*low, lowered=True)
    assert link(plain, "a.rope").required == 5 and link(plain, "a.rope").rule is None
    assert (link(allowed, "a.rope").required, link(allowed, "a.rope").rule) == (3.2, 5)
    assert link(allowed, "a.ratchet, tooth").required == 3.2 and row(allowed, "catch").required == 2


def test_the_teams_own_factor_counts_where_it_is_written_and_higher() -> None:
    assert link(computed(*WINCH, settings={"climb_factor": 12}), "a.rope").required == 12
    assert link(computed(*WINCH, settings={"climb_factor": 3}), "a.rope").required == 5
    assert row(computed(*WINCH, settings={"catch_factor": 2.5}), "catch").required == 2.5
