"""The table `[hold_path]`: what is wrong is named and the rest loads, what is left out is not
stated, and the older `[climb]` table means the same as before."""

import tomllib
from pathlib import Path

import pytest

from pitcrew.base.paths import ROOT
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from pitcrew.domain.robot.hold_path import HoldPathTable
from pitcrew.domain.robot.translation import new_form
from tests.domain.holding.sheets import HEAD, STILL, computed, link, part, robot_of, step, table

RELEASE_1 = Path(__file__).parents[2] / "data" / "release-1" / "pit" / "robots" / "tern.toml"
WINCH = (
    part(
        "a.rope",
        "wire-rope",
        diameter="3.175 mm",
        construction="7x19",
        material="carbon",
        sheave="60 mm",
        termination="sleeve",
    ),
    part(
        "a.ratchet", "ratchet", teeth=24, pawl_radius="42 mm", tooth_strength="4 kN", width="12 mm"
    ),
    part("a.spring", "spring", lifts="4 kg", count=2),
)
END = step("a.ratchet", holds="ratchet")


@pytest.mark.parametrize(
    "wrong, place, lost",
    [
        (table("", swing="steep"), "hold_path, swing", "swing"),
        (table("", latency="3 mm"), "hold_path, latency", "latency"),
        (
            table("", lower_factor=1.5, lower_factor_reason="short"),
            "hold_path, lower_factor",
            "lower_factor",
        ),
        (table("", lower_factor=3.5), "hold_path, lower_factor_reason", "lower_factor"),
        (table("", ropes=2), "hold_path, ropes", ""),
    ],
)
def test_a_wrong_field_is_named_and_the_rest_loads(wrong: str, place: str, lost: str) -> None:
    path = robot_of(*WINCH, wrong, step("a.rope"), END, wrong=(place,)).hold_path
    assert (
        path is not None
        and [item.key for item in path.steps] == ["a.rope", "a.ratchet"]
        and path.device == "ratchet"
    )
    assert not lost or getattr(path, lost) is None


@pytest.mark.parametrize(
    "steps, places, device",
    [
        ((step("a.rop"), END), ("hold_path.step 1, part",), "ratchet"),
        ((table("step", hands_on="drum"), END), ("hold_path.step 1",), "ratchet"),
        ((step("a.rope", hands_on="winch"), END), ("hold_path.step 1, hands_on",), "ratchet"),
        ((step("a.ratchet", holds="ratchet"), step("a.rope")), ("hold_path.step 1, holds",), ""),
        ((step("a.rope"), step("a.rope", holds="ratchet")), ("hold_path.step 2, holds",), ""),
        ((step("a.rope"), step("a.ratchet", holds="spring")), ("hold_path.step 2, holds",), ""),
        ((step("a.spring"), END), ("hold_path.step 1, part",), "ratchet"),
        ((step("a.rope"), step("a.ratchet", holds="brake")), ("hold_path.step 2, holds",), ""),
    ],
)
def test_a_wrong_step_is_named_and_what_holds_is_not_guessed(
    steps: tuple[str, ...], places: tuple[str, ...], device: str
) -> None:
    robot = robot_of(*WINCH, table(""), *steps, wrong=places)
    assert robot.hold_path is not None and robot.hold_path.device == device
    computed(
        *WINCH, table(""), *steps, wrong=places
    )  # whatever is left computes without an exception


def test_a_part_that_nobody_knows_keeps_its_place_in_the_path() -> None:
    path = computed(
        *WINCH, table(""), step("a.hook"), step("a.rope"), END, wrong=("hold_path.step 1, part",)
    )
    assert [item.name for item in path.links][:2] == ["a.hook", "a.rope"]
    assert link(path, "a.hook").inspection_key == "path-look@hold-path.a-hook"


def test_every_mistake_of_the_table_blocks_the_climb() -> None:
    text = HEAD.format(mass="50 kg") + "\n".join(
        [*WINCH, table("", swing="steep"), step("a.rope"), END]
    )
    _, mistakes = parse_build_sheet(tomllib.loads(text), "robots/plover.toml")
    assert [item.climb for item in mistakes] == [True]


def test_what_is_left_out_is_not_stated_by_name() -> None:
    """A path of nothing but its steps loads without a mistake, and everything else that the climb
    needs is named once."""
    path = computed(
        *WINCH, table(""), step("a.rope"), step("reel", hands_on="drum"), step("a.ratchet")
    )
    assert path.not_stated[0] == "what holds without power"
    told = "; ".join(path.not_stated)
    for name in ("bare drum", "layers", "swing angle", "stall torque", "second hook"):
        assert name in told
    assert len(set(path.not_stated)) == len(path.not_stated) and not any(
        item.holds for item in path.links if item.needs
    )


def test_no_table_no_mass_no_sheet() -> None:
    assert "no [hold_path] table" in computed(*WINCH).why
    text = HEAD.replace('chassis = "{mass}"\n', "") + "\n".join(
        [*WINCH, table(""), step("a.rope"), END]
    )
    robot, _ = parse_build_sheet(tomllib.loads(text), "robots/plover.toml")
    assert robot is not None and robot.mass is None and robot.hold_path is not None


OLD = """
[climb]
rope = "a.rope"
ratchet = "a.winch"
equaliser = true
latency = "0.2 s"
[[climb.bolts]]
part = "a.bolts"
carries = "shear"
[[climb.bolts]]
part = "a.bolts"
carries = "torque"
radius = "20 mm"
[[climb.other]]
name = "hook"
strength = "6 kN"
[[climb.other]]
name = "shaft"
torque_strength = "90 N*m"
[[climb.other]]
name = "chain stage"
strength = "4 kN"
radius = "15 mm"
[[climb.other]]
name = "lashing"
strength = "9 kN"
"""
OLD_PARTS = (
    WINCH[0],
    part(
        "a.winch",
        "ratchet",
        climb_critical=True,
        drum="60 mm",
        rope="3.175 mm",
        lines=2,
        ratio=2,
        teeth=12,
        pawl_radius="22 mm",
        tooth_strength="3600 N",
        stretch="4 mm",
        hold_time="10 s",
    ),
    part(
        "a.bolts",
        "bolted-joint",
        thread="M6",
        grade="8.8",
        plate="nut",
        condition="zinc",
        locking="none",
        layers="6061-T6",
        count=4,
    ),
)


def test_the_older_table_is_translated_with_a_notice_that_shows_the_new_form() -> None:
    old = HEAD.format(mass="50 kg") + "\n".join(OLD_PARTS)
    robot, mistakes = parse_build_sheet(tomllib.loads(old + OLD), "robots/plover.toml")
    assert robot is not None and robot.hold_path is not None and robot.hold_path.translated
    (notice,) = mistakes
    assert notice.notice and not notice.climb and notice.shows == new_form(robot.hold_path)
    again, none = parse_build_sheet(tomllib.loads(old + notice.shows), "robots/plover.toml")
    assert none == [] and again is not None and again.hold_path is not None and again.climb is None
    assert HoldPathTable(**vars(again.hold_path) | {"translated": True}) == robot.hold_path


def test_the_translation_means_the_same_and_flatters_nothing() -> None:
    """50 kg: 490.3325 N, two lines through an equalizer 245.17 N each. What the older form never
    asked for is named."""
    path = computed(*OLD_PARTS, OLD)
    assert link(path, "a.rope").load == pytest.approx(245.16625)
    assert (
        link(path, "hook").factor == pytest.approx(6000 / 490.3325)
        and link(path, "lashing").required == 7
    )
    assert {item.name for item in path.links if not item.computed} >= {
        "key",
        "gearbox",
        "pawl",
        "structure",
    }
    told = "; ".join(path.not_stated)
    for name in (
        "layers",
        "width of the wheel",
        "speed of going down",
        "free length",
        "swing angle",
        "second hook",
    ):
        assert name in told, name
    assert path.weakest is not None and not any(
        item.holds for item in path.links if item.kind in ("catch", "swing", "stall")
    )


def test_the_older_table_beside_the_new_one_is_not_read() -> None:
    new = [table("", swing="0 deg"), STILL, step("a.rope"), step("a.winch", holds="ratchet")]
    text = HEAD.format(mass="50 kg") + "\n".join([*OLD_PARTS, OLD, *new])
    robot, mistakes = parse_build_sheet(tomllib.loads(text), "robots/plover.toml")
    assert (
        robot is not None
        and robot.climb is None
        and robot.hold_path is not None
        and robot.hold_path.swing == 0
    )
    assert [(item.place, item.notice) for item in mistakes] == [("climb", True)]


def test_a_sheet_of_the_first_release_loads_with_every_part() -> None:
    sheet = tomllib.loads(RELEASE_1.read_text(encoding="utf-8"))
    robot, mistakes = parse_build_sheet(sheet, "robots/tern.toml")
    assert robot is not None and set(robot.parts) == {item["id"] for item in sheet["part"]}
    assert "climb" in {item.place for item in mistakes} and all(item.notice for item in mistakes)


@pytest.mark.parametrize("name", ["tern", "turnstone", "wigeon"])
def test_the_example_sheets_pass_their_own_rules(name: str) -> None:
    from pitcrew.base.settings import read_settings
    from pitcrew.domain.holding.path import hold_path

    sheet = (ROOT / "checklists" / "robots" / f"{name}.toml").read_text(encoding="utf-8")
    robot, mistakes = parse_build_sheet(tomllib.loads(sheet), f"robots/{name}.toml")
    path = hold_path(robot, read_settings({})[0])
    assert mistakes == [] and path.not_stated == () and path.too_weak == () and not path.sinks
    assert all(item.holds or item.inspection_key for item in path.links)


def test_a_ratio_that_no_robot_has_is_a_mistake_and_no_endless_load() -> None:
    sheet = tomllib.loads(HEAD.format(mass="50 kg") + CARRIAGE)
    robot, mistakes = parse_build_sheet(sheet, "robots/plover.toml")
    assert robot is not None and robot.hold_path is not None
    assert [item.place for item in mistakes] == ["hold_path.step 1, ratio"]
    assert robot.hold_path.steps[0].ratio is None


CARRIAGE = """
[[hold_path.step]]
name = "carriage"
hands_on = "ratio"
ratio = 1e308
[[hold_path.step]]
name = "pin"
holds = "pin"
"""
