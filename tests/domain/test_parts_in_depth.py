"""The checks of parts that are easily forgotten, on an invented sheet with one part of each kind;
numbers beside their sources."""

from typing import Any

import pytest

from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.checks.readings import judge
from pitcrew.domain.robot.buildsheet import parse_build_sheet
from tests.domain.test_bundled import CHECKLISTS, LONGEST, define, sentences, tables

KINDS: dict[str, dict[str, Any]] = {
    "battery-holder": {}, "bearing": {}, "motor": {}, "cylinder": {}, "valve": {}, "linkage": {}, "shaft": {}, "pulley": {},
    "breaker": {"stud": "1/4-28"}, "crimp-tool": {"gauge": 12}, "gas-spring": {"force": "200 N"},
    "drive-base": {"modules": 4}, "radio": {"supply_low": "9 V", "supply_high": "15 V"}, "gearbox": {"play": "1 deg", "open": True},
    "sprocket": {"size": "35", "teeth": 18}, "spring": {"lifts": "4 kg", "count": 2, "cycles": 5000},
    "brake": {"style": "pads", "pad_new": "6 mm", "pad_least": "2 mm"}, "ratchet": {"tooth_height": "4 mm"},
    "roller-chain": {"size": "35", "span": "400 mm", "duty": "shock", "teeth": 18, "link": "half link", "load": "600 N",
                     "stop_gauge": True},
    "air-system": {"stored_pressure": "8.27 bar", "needed_pressure": "6.5 bar", "wait": "20 min", "working_pressure": "4.14 bar",
                   "relief_pressure": "8.62 bar"},
    "encoder": {"offset": "287 deg", "allowed": "1.5 deg"},
}  # fmt: skip


def sheet(kinds: dict[str, dict[str, Any]]) -> dict[str, Any]:
    """A build sheet with a part of each kind, named after it."""
    robot = {
        "label": "Skua",
        "mass": {"chassis": "45 kg", "bumpers": "7 kg", "battery": "6 kg"},
        "length": "800 mm",
        "width": "700 mm",
    }
    parts = [
        {"id": f"test.{kind}", "label": kind, "zone": "all", "kind": kind, **specs}
        for kind, specs in kinds.items()
    ]
    return {
        "robot": robot,
        "zone": [{"id": "all", "label": "All", "box": [0, 0, 99, 99]}],
        "part": parts,
    }


def made(kinds: dict[str, dict[str, Any]]) -> Definitions:
    return build_definitions(
        {"climb_planned": False}, {"robots/skua.toml": sheet(kinds)}, tables(CHECKLISTS)
    )


SKUA = made(KINDS)
DEPTH = {
    item.check.id: item
    for item in SKUA.part_checks.values()
    if item.check.checklist in ("parts", "air")
}


def verdict(check: str, kind: str, **typed: float | str) -> tuple[str, str]:
    """How these answers are judged, the first answer of each choice where none is given."""
    item = SKUA.part_checks[f"{check}@test.{kind}"]
    inputs = {}
    for field in item.check.inputs:
        value = typed.get(field.name, next(iter(field.options), None))
        inputs[field.name] = {"typed": str(value), "value": value, "unit": field.unit or None}
    found = judge(item.limit, inputs, item.unjudged_because)
    return found.verdict, found.sentence


def test_every_check_of_the_two_lists_is_made_and_judged() -> None:
    written = {
        check.id
        for item in SKUA.checklists
        if item.name in ("parts", "air")
        for check in item.checks
    }
    assert written == set(DEPTH) and len(written) >= 24
    assert [key for key, item in DEPTH.items() if item.unjudged_because] == []


@pytest.mark.parametrize("item", DEPTH.values(), ids=DEPTH)
def test_each_says_how_how_long_from_where_and_what_to_beware_of(item: Any) -> None:
    assert [sentence for sentence in sentences(item) if len(sentence) > LONGEST] == []
    assert (
        len(item.check.ask) <= 90
        and len(item.check.label) <= 30
        and item.check.how
        and item.check.cautions
    )
    assert (
        0.2 <= item.check.minutes <= 3 and item.limit.source and "?" not in "".join(sentences(item))
    )
    assert "{" not in item.check.ask + item.check.how + "".join(item.check.cautions)


@pytest.mark.parametrize(("check", "kind", "typed", "found"), [
    # circuit-breaker studs 1/4-28: 40 to 45 in·lbf, 4.52 to 5.08 N·m (airframer's torque table);
    # two fingers reach half of it
    ("stud-torque", "breaker", {"torque": 4.9}, "ok"), ("stud-torque", "breaker", {"torque": 2.5}, "stop"),
    ("stud-torque", "breaker", {"torque": 4.9, "nut": "body turned or stud loose"}, "stop"),
    # UL 486A commercial pull-out of gauge 12: 70 lbf, 311 N
    ("crimp-pull", "crimp-tool", {"pull": 340}, "ok"), ("crimp-pull", "crimp-tool", {"pull": 290}, "stop"),
    ("crimp-pull", "crimp-tool", {"pull": 340, "sample": "a wire of the robot"}, "unjudged"),
    # ideal gas: 200 N at 20 °C are 213.6 N at 40 °C (makers print about 212); a third gone is out
    ("gas-spring-force", "gas-spring", {"push": 213.6, "air": 40}, "ok"),
    ("gas-spring-force", "gas-spring", {"push": 130, "air": 20}, "stop"),
    # magnets of the weakest class bear 80 °C (makers' classes, from memory)
    ("motor-heat", "motor", {"case": 45}, "ok"), ("motor-heat", "motor", {"case": 70}, "watch"),
    ("motor-heat", "motor", {"case": 95}, "stop"),
    ("motor-heat", "motor", {"case": 45, "way": "hand: guessed"}, "unjudged"),
    # #35 with a half link: 0.65 of 7829 N (ASME B29.1; chain makers' guides) is 5089 N; a sixth is
    # 848 N, a quarter 1272 N
    ("chain-load", "roller-chain", {"pull": 600}, "ok"), ("chain-load", "roller-chain", {"pull": 1000}, "watch"),
    ("chain-load", "roller-chain", {"pull": 1400}, "stop"),
    ("spring-cycles", "spring", {"cycles": 3000}, "ok"), ("spring-cycles", "spring", {"cycles": 5001}, "stop"),
    ("pawl-depth", "ratchet", {"depth": 3.8}, "ok"), ("pawl-depth", "ratchet", {"depth": 2.2}, "stop"),
    ("pawl-depth", "ratchet", {"depth": 3.8, "tip": "rounded over a quarter"}, "stop"),
    ("brake-pads", "brake", {"pad": 5.0}, "ok"), ("brake-pads", "brake", {"pad": 5.0, "face": "oil or grease on it"}, "stop"),
    ("modules-together", "drive-base", {"deep": 4.0, "thin": 3.5}, "ok"),
    ("modules-together", "drive-base", {"deep": 6.0, "thin": 2.0}, "stop"),
    ("radio-supply", "radio", {"volts": 12}, "ok"), ("radio-supply", "radio", {"volts": 7}, "stop"),
    # a relief valve at 125 psi (8.62 bar): the usual event rule
    ("air-relief", "air-system", {"opens": 8.5}, "ok"), ("air-relief", "air-system", {"opens": 9.5}, "stop"),
    ("air-switch", "air-system", {"off": 9.0}, "stop"), ("air-regulator", "air-system", {"works": 5.0}, "stop"),
    ("battery-strap", "battery-holder", {"strap": "cannot reach it"}, "unjudged"),
])  # fmt: skip
def test_readings_are_judged_as_their_sources_say(
    check: str, kind: str, typed: dict[str, Any], found: str
) -> None:
    assert verdict(check, kind, **typed)[0] == found


@pytest.mark.parametrize("turns", [-9, -3, -1, 0, 1, 2, 5, 8])
@pytest.mark.parametrize(
    ("off", "found"), [(0.5, "ok"), (-2.0, "watch"), (40.0, "stop"), (180.0, "stop")]
)
def test_an_encoder_that_wrapped_more_than_once_is_at_its_mark(
    turns: int, off: float, found: str
) -> None:
    """Whole turns are the same place."""
    assert verdict("encoder-offset", "encoder", reads=287 + off + 360 * turns)[0] == found


@pytest.mark.parametrize(("size", "pitches"), [("25", 16), ("35", 14), ("40", 10), ("50", 8)])
def test_chain_wear_fits_the_caliper_in_the_box(size: str, pitches: int) -> None:
    """150 mm hold 14 pitches of 9.525 mm at 3 % wear (137 mm); 16 of them new are 152 mm. Pitches
    by ASME B29.1."""
    robot, _ = parse_build_sheet(
        sheet({"roller-chain": KINDS["roller-chain"] | {"size": size}}), "robots/skua.toml"
    )
    chain = robot.parts["test.roller-chain"]
    assert chain.specs["pitches"] == pitches
    own, _ = parse_build_sheet(
        sheet({"roller-chain": KINDS["roller-chain"] | {"size": size, "pitches": 12}}),
        "robots/skua.toml",
    )
    assert own.parts["test.roller-chain"].specs["pitches"] == 12


def test_the_gauge_of_sheet_is_as_long_as_a_worn_chain() -> None:
    """14 pitches of #35 at 3 %: 14 × 9.525 × 1.03 = 137.35 mm."""
    assert "137 mm" in DEPTH["chain-gauge"].check.how


@pytest.mark.parametrize("kind", ["breaker", "radio", "air-system"])
def test_an_older_sheet_loads_and_what_it_lacks_is_unjudged_by_name(kind: str) -> None:
    needed = (
        {"stored_pressure": "8.27 bar", "needed_pressure": "6.5 bar", "wait": "20 min"}
        if kind == "air-system"
        else {}
    )
    older = made({kind: needed})
    lacking = [
        item
        for item in older.part_checks.values()
        if item.unjudged_because and item.check.checklist in ("parts", "air")
    ]
    assert older.mistakes == [] and lacking
    assert all(
        "is not known" in item.unjudged_because and "part." in item.unjudged_because
        for item in lacking
    )


def test_the_crimp_test_and_the_studs_keep_hands_safe() -> None:
    assert any(
        "Never on the robot or a battery lead" in caution
        for caution in DEPTH["crimp-pull"].check.cautions
    )
    assert [
        word in " ".join(DEPTH["stud-torque"].check.cautions)
        for word in ("Battery out", "Insulated", "Hold the body")
    ] == [True] * 3


def test_the_example_robot_has_few_minutes_more_each_match() -> None:
    """None of the new checks is due every match on it; per match they cost less than a minute of
    one person."""
    new = [
        item for item in define().part_checks.values() if item.check.checklist in ("parts", "air")
    ]
    assert new and not any(rule.word == "every match" for item in new for rule in item.check.due)
    spread = sum(
        item.check.minutes / rule.every
        for item in new
        for rule in item.check.due
        if rule.word == "every N matches"
    )
    assert spread <= 1
