"""Thread strip, engagement against an independent library, and the torque audit."""

import pytest

from pitcrew.base.errors import OutOfRange, UnknownName
from pitcrew.engineering.catalogue import find
from pitcrew.engineering.plates import PLATES, plate
from tests.every import every

AUDIT = {
    "thread": "M6",
    "grade": "8.8",
    "plate": "6061-t6",
    "condition": "zinc",
    "engagement": 0.006,
}


@every("thread", ["10-24", "10-32", "1/4-20", "1/4-28", "1/2-13", "3/4-10", "1-8"])
@every("bolt plate_ksi", [(120, 42), (150, 45), (120, 30), (60, 60), (120, 120)])
def test_engagement_agrees_with_the_independent_library(
    thread: str, bolt: float, plate_ksi: float
) -> None:
    """screw_thread_lib 0.0.6, LEr_FEDSTD; ours may ask for more where the bolt's own thread needs
    it (never for less)."""
    from screw_thread_lib import Assembly

    library = Assembly.from_ASME_B11_UN_2A2B(thread, UTSs=bolt, UTSn=plate_ksi)
    ours = find("thread-engagement").compute(
        {
            "thread": thread,
            "bolt_strength": bolt * 6.894757e6,
            "plate_strength": plate_ksi * 6.894757e6,
        }
    )
    inches = ours.value / 0.0254
    assert inches == pytest.approx(
        max(
            library.LEr_FEDSTD(),
            library.LEr_FEDSTD_14() if ours.extras["governs"] != "bolt thread" else 0,
        ),
        rel=1e-9,
    )


def test_a_soft_plate_governs_the_audit_and_a_hard_one_does_not() -> None:
    figure = find("bolt-audit")
    soft = figure.compute(AUDIT | {"plate": "polycarbonate"})
    hard = figure.compute(AUDIT | {"plate": "mild steel", "engagement": 0.012})
    assert soft.extras["governs"] == "plate thread" and hard.extras["governs"] == "bolt proof load"
    assert soft.value < soft.extras["proof_torque"] and hard.value == hard.extras["proof_torque"]
    assert soft.value == pytest.approx(soft.extras["strip_torque"])


def test_a_matching_nut_needs_no_engagement_and_leaves_the_bolt_to_govern() -> None:
    outcome = find("bolt-audit").compute(
        {"thread": "1/4-20", "grade": "5", "plate": "nut", "condition": "lubricated"}
    )
    torque = find("bolt-torque").compute(
        {"thread": "1/4-20", "grade": "5", "condition": "lubricated", "fraction": 0.75}
    )
    assert outcome.value == pytest.approx(torque.value, rel=1e-12)


@every(
    "key value",
    [("plate", "unobtainium"), ("grade", "A3-70"), ("condition", "wet"), ("thread", "M6.5")],
)
def test_what_the_tables_do_not_know_is_an_unknown_name(key: str, value: str) -> None:
    with pytest.raises(UnknownName) as refusal:
        find("bolt-audit").compute(AUDIT | {key: value})
    assert value in refusal.value.sentence


@every("engagement", [0.0005, 0.019, None])
def test_engagement_must_be_thread_that_can_carry(engagement: float | None) -> None:
    with pytest.raises(OutOfRange, match="engage"):
        find("bolt-audit").compute(AUDIT | {"engagement": engagement})


def test_every_plate_says_how_well_it_is_known() -> None:
    for name, known in PLATES.items():
        assert (
            30e6 <= known.value <= 500e6
            and known.grade in ("measured", "data sheet")
            and known.source
        ), name
    assert plate("6061")[0] == "6061-t6" and plate("PC")[0] == "polycarbonate"
    with pytest.raises(UnknownName) as refusal:
        plate("6061-t5")
    assert refusal.value.nearest in ("6061-t6", "6063-t5")
