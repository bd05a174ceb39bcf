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
    "breaker": {"stud": "1/4-28"}, "lug": {"stud": "1/4-28"}, "crimp-tool": {"gauge": 12}, "gas-spring": {"force": "200 N"},
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
    ("lug-torque", "lug", {"torque": 4.9}, "ok"), ("lug-torque", "lug", {"torque": 5.5}, "watch"), ("lug-torque", "lug", {"torque": 2.5}, "stop"),
    # UL 486A commercial pull-out of gauge 12: 70 lbf, 311 N
    ("crimp-pull", "crimp-tool", {"pull": 340}, "ok"), ("crimp-pull", "crimp-tool", {"pull": 290}, "stop"),
    ("crimp-pull", "crimp-tool", {"pull": 340, "sample": "a wire of the robot"}, "unjudged"),
    # ideal gas: 200 N at 20 °C are 213.6 N at 40 °C (makers print about 212); a third gone is out
    ("gas-spring-force", "gas-spring", {"push": 213.6, "air": 40}, "ok"),
    ("gas-spring-force", "gas-spring", {"push": 130, "air": 20}, "stop"),
    # magnets of the weakest class bear 80 °C (makers' classes, from memory)
    ("motor-heat", "motor", {"case": 45}, "ok"), ("motor-heat", "motor", {"case": 70}, "watch"),
    ("motor-heat", "motor", {"case": 95}, "stop"),
    ("motor-heat", "motor", {"case": 45, "way": "hand: a second was fine"}, "unjudged"),
    ("motor-heat", "motor", {"case": None, "way": "hand: too hot to stay on"}, "stop"),
    ("motor-heat", "motor", {"case": None, "way": "hand: a second was fine"}, "unjudged"),
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
        "not known" in item.unjudged_because and "robots/skua.toml" in item.unjudged_because
        for item in lacking
    )


HIDDEN = {
    "roller-chain": ({"size": "35", "span": "400 mm", "duty": "shock", "teeth": 18}, {"chain-gauge": "stop_gauge", "chain-load": "link"}),
    "spring": ({"lifts": "4 kg", "count": 2}, {"spring-cycles": "cycles"}),
    "ratchet": ({}, {"pawl-depth": "tooth_height"}),
    "brake": ({}, {"brake-pads": "pad_new"}),
    "gearbox": ({"play": "1 deg"}, {"gear-grease": "open"}),
    "air-system": ({"stored_pressure": "8.27 bar", "needed_pressure": "6.5 bar", "wait": "20 min"},
                   {"air-regulator": "working_pressure", "air-relief": "relief_pressure"}),
    "breaker": ({}, {"stud-torque": "stud"}),
    "radio": ({}, {"radio-supply": "supply_high"}),
}  # fmt: skip


@pytest.mark.parametrize("kind", HIDDEN)
def test_a_field_that_is_missing_never_hides_its_check(kind: str) -> None:
    """It is on the list, unjudged by the field's name, and a notice says where to put it."""
    specs, wanting = HIDDEN[kind]
    found = made({kind: specs})
    assert found.mistakes == []
    told = {notice.place for notice in found.notices}
    for check, field in wanting.items():
        item = found.part_checks[f"{check}@test.{kind}"]
        assert field in item.unjudged_because and "robots/skua.toml" in item.unjudged_because
        assert f"part test.{kind}, {field}" in told


def test_a_field_that_says_no_hides_its_check_and_both_of_two_are_named() -> None:
    closed = made({"gearbox": {"play": "1 deg", "open": False}, "brake": {"style": "closed"}})
    assert not {"gear-grease", "brake-pads"} & {
        item.check.id for item in closed.part_checks.values()
    }
    radio = made({"radio": {}}).part_checks["radio-supply@test.radio"]
    assert radio.unjudged_because == (
        "Supply low and supply high are not known, so this can't be judged."
        " Put supply_low and supply_high into robots/skua.toml."
    )


def test_nobody_is_told_to_pump_or_pull_up_to_a_number_that_is_not_known() -> None:
    """A question mark in the place of the number where a hand must stop is worse than no card."""
    bare = made({kind: HIDDEN[kind][0] for kind in ("air-system", "breaker")})
    for key in ("air-relief@test.air-system", "stud-torque@test.breaker"):
        check = bare.part_checks[key].check
        assert check.how == bare.part_checks[key].unjudged_because and "leave it" in check.ask
    for item in bare.part_checks.values():
        assert "?" not in item.check.how + "".join(item.check.cautions), item.key


def test_wheels_that_differ_differ_in_either_order() -> None:
    assert verdict("modules-together", "drive-base", deep=3, thin=5)[0] == "watch"
    assert verdict("modules-together", "drive-base", deep=1, thin=5)[0] == "stop"


@pytest.mark.parametrize(("check", "kind", "numbers", "unseen"), [
    ("brake-pads", "brake", {"pad": 1.0}, {"face": "cannot see it"}),
    ("pawl-depth", "ratchet", {"depth": 2.0}, {"tip": "cannot see them"}),
    ("pawl-depth", "ratchet", {"depth": 9.0}, {"tip": "sharp"}),
    ("chain-load", "roller-chain", {"pull": 1400.0}, {"link": "cannot see it all"}),
    ("modules-together", "drive-base", {"deep": 5.0, "thin": 1.0}, {}),
    ("radio-supply", "radio", {"volts": 7.0}, {}), ("air-relief", "air-system", {"opens": 9.5}, {}),
    ("stud-torque", "breaker", {"torque": 2.0}, {}),
])  # fmt: skip
def test_a_number_that_is_stop_alone_is_stop_with_or_without_the_other_answers(
    check: str, kind: str, numbers: dict[str, float], unseen: dict[str, str]
) -> None:
    item = SKUA.part_checks[f"{check}@test.{kind}"]
    units = {field.name: field.unit for field in item.check.inputs}
    alone = {
        name: {"typed": str(value), "value": value, "unit": units[name]}
        for name, value in numbers.items()
    }
    found = judge(item.limit, alone)
    assert found.verdict == "stop" and len(found.sentence) <= LONGEST, found.sentence
    assert "{" not in found.sentence
    assert verdict(check, kind, **numbers, **unseen)[0] == "stop"


@pytest.mark.parametrize(("check", "kind", "typed", "found"), [
    # above what the event's rule, the switch or the torque table allows is never ok
    ("air-relief", "air-system", {"opens": 8.7}, "watch"), ("air-switch", "air-system", {"off": 8.4}, "watch"),
    ("stud-torque", "breaker", {"torque": 5.5}, "watch"),
])  # fmt: skip
def test_nothing_is_right_above_the_number_that_its_own_sentence_gives(
    check: str, kind: str, typed: dict[str, Any], found: str
) -> None:
    assert verdict(check, kind, **typed)[0] == found


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


OUTSIDE = {
    # what no published rule covers, by kind: the field that `limits` refuses
    "roller-chain": ({"size": "35", "span": "30 mm", "duty": "shock", "teeth": 18}, "span"),
    "servo": ({"rated_torque": "1 N*m", "rated_voltage": "6 V", "sagged_voltage": "1 V", "horn": "20 mm", "travel": "90 deg"}, "sagged_voltage"),
    "spring": ({"lifts": "900 kg", "count": 2}, "lifts"),
    "wire-run": ({"length": "1 m", "gauge": 12, "current": "2000 A"}, "current"),
}  # fmt: skip


@pytest.mark.parametrize("climb", [False, True])
@pytest.mark.parametrize("kind", OUTSIDE)
def test_what_no_limit_can_be_computed_for_is_told_with_its_place(kind: str, climb: bool) -> None:
    """`mistakes` knows everything that `limits` knows: off the climb as a notice, on it as a
    mistake."""
    specs, field = OUTSIDE[kind]
    found = made({kind: specs | {"climb_critical": climb}})
    told = found.mistakes if climb else found.notices
    assert f"part test.{kind}, {field}" in [item.place for item in told]
    assert climb or found.mistakes == []


def test_every_unjudged_check_of_these_sheets_has_its_line_among_the_mistakes() -> None:
    for specs, kind in ((OUTSIDE[kind][0], kind) for kind in OUTSIDE):
        found = made({kind: specs})
        assert all(
            any(item.part.id in told.place for told in (*found.mistakes, *found.notices))
            for item in found.part_checks.values()
            if item.unjudged_because
        )


def test_a_screw_cannot_engage_over_more_than_its_length() -> None:
    joint = {"thread": "M6x20", "grade": "8.8", "head": "hex", "plate": "6061-T6", "condition": "zinc", "locking": "none"}  # fmt: skip
    assert made({"bolted-joint": joint | {"engagement": "12 mm"}}).mistakes == []
    (mistake,) = made({"bolted-joint": joint | {"engagement": "25 mm"}}).mistakes
    assert mistake.place == "part test.bolted-joint, engagement" and "20 mm long" in mistake.wanted


def test_a_pair_of_loads_upside_down_and_a_wire_too_short_to_measure_are_told_of() -> None:
    (mistake,) = made({"battery": {"capacity": "18 A*h", "load_high": "3 A"}}).mistakes
    assert mistake.place == "part test.battery, load_high"
    wire = made({"wire-run": {"length": "20 mm", "gauge": 7, "current": "50 A"}})
    assert any("no reading can be ok" in notice.wanted for notice in wire.notices)


@pytest.mark.parametrize("layers", ["clear plastic", "PLA", "poly", "6061-T6; mystery sheet"])
def test_an_unknown_layer_under_thread_locker_is_not_taken_as_harmless(layers: str) -> None:
    joint = {"thread": "M6", "grade": "8.8", "head": "hex", "plate": "nut", "condition": "zinc", "locking": "thread-locker"}  # fmt: skip
    (notice,) = made({"bolted-joint": joint | {"layers": layers}}).notices
    assert notice.place == "part test.bolted-joint, layers"
    assert layers.split("; ")[-1] in notice.wanted
    for known in ("6061-T6; steel", "aluminum, acetal"):
        assert made({"bolted-joint": joint | {"layers": known}}).notices == []
    (mistake,) = made({"bolted-joint": joint | {"layers": "polycarb"}}).mistakes
    assert "cracks" in mistake.wanted


def test_a_nut_that_no_table_has_is_told_of_with_the_test_by_hand() -> None:
    joint = {"thread": "M5", "grade": "8.8", "head": "hex", "plate": "nut", "condition": "zinc", "locking": "nylon insert"}  # fmt: skip
    (notice,) = made({"bolted-joint": joint | {"nut": "torque"}}).notices
    assert notice.place.endswith("thread") and 'nut = "finger"' in notice.wanted
    assert made({"bolted-joint": joint | {"nut": "finger"}}).notices == []


@pytest.mark.parametrize(
    ("torque", "wanted"),
    [(8.5, "ok"), (7.8, "watch"), (9.4, "watch"), (11.0, "stop"), (6.9, "stop")],
)
def test_the_figure_printed_on_the_breaker_goes_before_any_table(
    torque: float, wanted: str
) -> None:
    """No table has M8; nine tenths of the printed figure are still right, never more (common
    practice, as the makers' label goes first)."""
    found = made({"breaker": {"stud": "M8", "printed_torque": "9 N*m"}})
    assert not found.mistakes
    item = found.part_checks["stud-torque@test.breaker"]
    inputs = {
        "torque": {"typed": str(torque), "value": torque, "unit": "N*m"},
        "nut": {"typed": "held, nothing turned", "value": "held, nothing turned"},
    }
    assert judge(item.limit, inputs).verdict == wanted
