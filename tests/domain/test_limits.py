"""Limits computed from the part's specification, their guard bands and sentences, and what happens
where none can be computed."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput
from pitcrew.base.units import scale_of
from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.checks.fields import BOUNDS
from pitcrew.domain.checks.limits import (
    Limit,
    limit_as_dict,
    limit_from_dict,
    limit_lines,
    limit_rows,
)
from pitcrew.domain.checks.limitshape import accept_window, range_text, undecided, window_texts
from pitcrew.domain.checks.readings import _compare, judge
from pitcrew.engineering.catalogue import find

SHEET = """
[robot]
label = "Gannet"
length = "820 mm"
width = "720 mm"
[robot.mass]
chassis = "52 kg"
bumpers = "9 kg"
battery = "6 kg"
[[zone]]
id = "mast"
label = "Mast"
box = [31, 30, 38, 30]
"""
CHAIN = """
[[part]]
id = "lift.chain"
label = "Lift chain"
zone = "mast"
kind = "roller-chain"
size = "25"
span = "412 mm"
duty = "shock"
teeth = 16
"""
BOLT = """
[[part]]
id = "climb.bolts"
label = "Drum bolts"
zone = "mast"
kind = "bolted-joint"
climb_critical = true
thread = "1/4-20"
grade = "5"
plate = "6061-T6"
condition = "zinc"
engagement = "9 mm"
locking = "none"
layers = "6061-T6"
"""
HEAD = """
[checklist]
name = "list"
label = "A list"
[[check]]
id = "look"
label = "Look"
ask = "How much?"
minutes = 1
power = "off"
due = ["every match"]
"""
TRAVEL = """
kind = "roller-chain"
[[check.input]]
name = "travel"
kind = "number"
unit = "mm"
[check.limit]
figure = "chain-slack"
with = { span = "part.span", duty = "part.duty" }
stop_low = "low"
stop_high = "high"
because = "a {part.duty} drive over {part.span}"
"""
TORQUE = """
kind = "bolted-joint"
where = { locking = "none" }
[[check.input]]
name = "torque"
kind = "number"
unit = "N*m"
[check.limit]
figure = "bolt-audit"
with = { thread = "part.thread", grade = "part.grade", plate = "part.plate", condition = "part.condition", engagement = "part.engagement" }
stop_low = "low"
stop_high = "high"
instrument = "torque_wrench"
say = { stop = "Tighten to {value}." }
"""


def define(parts: str, check: str, settings: dict[str, Any] | None = None) -> Definitions:
    return build_definitions(
        {"climb_planned": False} | (settings or {}),
        {"robots/gannet.toml": tomllib.loads(SHEET + parts)},
        {"checklists/list.toml": tomllib.loads(HEAD + check)},
    )


def limit_of(parts: str, check: str, settings: dict[str, Any] | None = None) -> Limit:
    definitions = define(parts, check, settings)
    assert [mistake.sentence for mistake in definitions.mistakes] == []
    (item,) = definitions.part_checks.values()
    assert item.limit is not None and item.unjudged_because == ""
    return item.limit


def test_chain_slack_is_two_to_three_percent_of_the_span_of_a_shock_drive() -> None:
    """Roller chain makers' published installation rule: 2-3 % for impulse, reversing or vertical
    drives."""
    limit = limit_of(CHAIN, TRAVEL)
    assert (limit.stop_low, limit.stop_high) == (pytest.approx(0.00824), pytest.approx(0.01236))
    assert (limit.unit, limit.shown, limit.shown_name) == ("m", "mm", "mm")
    assert (
        limit.because == "a shock drive over 412 mm" and limit.source == find("chain-slack").source
    )
    assert limit.sentences["ok"] == "{result} is good (8.3 to 12.3 mm): a shock drive over 412 mm."
    normal = limit_of(CHAIN.replace('"shock"', '"normal"'), TRAVEL)
    assert normal.stop_high == pytest.approx(0.06 * 0.412), "4-6 % for a normal drive"


def test_the_same_in_inches_for_a_team_that_measures_so() -> None:
    limit = limit_of(CHAIN, TRAVEL, {"units": "inch"})
    assert limit.shown == "in" and limit.stop_high == pytest.approx(0.01236)
    assert (
        limit.sentences["ok"] == "{result} is good (0.325 to 0.486 in): a shock drive over 16.2 in."
    )
    found = judge(limit, {"travel": {"typed": "0.5", "value": 0.5, "unit": "in"}})
    assert found.verdict == "stop" and found.sentence.startswith(
        "0.5 in is above 0.487 in: a shock drive"
    )
    bounded = TRAVEL.replace('unit = "mm"', 'unit = "mm"\nleast = 0\nmost = 127')
    (item,) = define(CHAIN, bounded, {"units": "inch"}).part_checks.values()
    (travel,) = item.check.inputs
    assert (
        (travel.unit, travel.least, travel.most) == ("in", 0, 5)
        and item.limit is not None
        and item.limit.inputs["travel"].unit == "in"
    )


def test_a_guard_band_is_one_sided_and_comes_from_the_instrument() -> None:
    """One-sided 95 %: 1.645 of the standard uncertainty, which is half of the expanded one
    (ILAC-G8, JCGM 106)."""
    limit = limit_of(CHAIN, TRAVEL + 'instrument = "ruler"\n')
    assert limit.guards == {
        "stop_low": pytest.approx(1.645 * 0.0005, rel=1e-3),
        "stop_high": pytest.approx(1.645 * 0.0005, rel=1e-3),
    }
    inside = judge(limit, {"travel": {"typed": "11,8", "value": 11.8, "unit": "mm"}})
    assert inside.verdict == "watch" and "the ruler can be off by ±1 mm" in inside.sentence
    stated = limit_of(CHAIN, TRAVEL + 'uncertainty = "0.2 mm"\n')
    assert stated.guards["stop_low"] == pytest.approx(1.645 * 0.0001, rel=1e-3)
    assert "the reading can be off by ±0.2 mm" in stated.sentences["near_stop_low"]
    assert limit_of(CHAIN, TRAVEL).guards == {"stop_low": 0.0, "stop_high": 0.0}


def test_an_instrument_in_percent_has_a_guard_in_proportion() -> None:
    limit = limit_of(BOLT, TORQUE)
    assert limit.stop_low is not None and limit.stop_high is not None
    assert limit.guards["stop_high"] / limit.stop_high == pytest.approx(1.645 * 0.03, rel=1e-3)
    assert limit.guards["stop_low"] / limit.stop_low == pytest.approx(1.645 * 0.03, rel=1e-3)


def test_uncertainty_may_be_a_formula_over_instruments() -> None:
    limit = limit_of(CHAIN, TRAVEL + 'uncertainty = "2 * instrument.calliper"\n')
    assert limit.guards["stop_low"] == pytest.approx(1.645 * 0.0001, rel=1e-3)


@pytest.mark.parametrize(
    ("old", "new", "said", "told"),
    [
        ('grade = "5"', 'grade = "stainless"', "'stainless'", ""),
        ('plate = "6061-T6"', 'plate = "other"', "'other'", ""),
        ('grade = "5"', 'grade = "8.9"', "8.9", "Nearest: 8.8."),
        ('plate = "6061-T6"', 'plate = "6061-T7"', "6061-T7", "Nearest: 6061-t6."),
        ('plate = "6061-T6"', 'plate = "brass"', "brass", "or other (not computed)"),
        ('condition = "zinc"', 'condition = "sticky"', "sticky", "Known: anti-seize"),
        (
            'thread = "1/4-20"',
            'thread = "10-32"',
            "10-32",
            "a thread that goes with the rest. 10-32 arrived with SAE J429 5",
        ),
    ],
)
def test_an_unknown_grade_plate_or_condition_is_unjudged_and_told_of(
    old: str, new: str, said: str, told: str
) -> None:
    """SAE J429 starts at 1/4 inch: there is no grade 5 #10 screw (Shigley, table 8-9), so nothing
    is extrapolated.

    What exists and no table here has numbers for, such as stainless screws of no known class, is no
    mistake.
    """
    definitions = define(BOLT.replace(old, new), TORQUE)
    sentences = [mistake.sentence for mistake in definitions.mistakes]
    assert len(sentences) == bool(told) and all(told in sentence for sentence in sentences)
    (item,) = definitions.part_checks.values()
    assert said in item.unjudged_because and item.limit is not None and item.limit.stop_low is None
    found = judge(
        item.limit, {"torque": {"typed": "9", "value": 9, "unit": "N*m"}}, item.unjudged_because
    )
    assert found.verdict == "unjudged" and said in found.sentence


@pytest.mark.parametrize("locking", ["thread-locker", "nylon insert"])
def test_locked_joints_have_no_torque_audit(locking: str) -> None:
    """Their witness mark judges them: `where` keeps the audit off."""
    definitions = define(BOLT.replace('"none"', f'"{locking}"'), TORQUE)
    assert definitions.mistakes == [] and definitions.part_checks == {}


def test_a_setting_can_be_the_limit() -> None:
    check = """
kind = "hook"
[[check.input]]
name = "volts"
kind = "number"
unit = "V"
[check.limit]
stop_low = "setting.battery_voltage"
because = "your team's setting is {setting.battery_voltage}"
"""
    part = '[[part]]\nid = "a.b"\nlabel = "A"\nzone = "mast"\nkind = "hook"\nopening = "40 mm"\n'
    assert limit_of(part, check).stop_low == pytest.approx(12.7)
    mine = limit_of(part, check, {"battery_voltage": "12.5 V"})
    assert mine.stop_low == pytest.approx(12.5) and mine.because == "your team's setting is 12.5 V"


def test_figures_build_on_figures() -> None:
    """Drop per tooth of a 1 in drum with 12 teeth on the drum shaft: 0.2618 in, an identity."""
    part = """
[[part]]
id = "climb.ratchet"
label = "Ratchet"
zone = "mast"
kind = "ratchet"
drum = "1 in"
rope = "0.0001 m"
lines = 1
ratio = 1
teeth = 12
pawl_radius = "20 mm"
tooth_strength = "3000 N"
stretch = "4 mm"
hold_time = "10 s"
"""
    check = """
kind = "ratchet"
[[check.input]]
name = "drop"
kind = "number"
unit = "mm"
[check.limit]
given.tooth = { figure = "ratchet-drop", with = { drum = "part.drum", teeth = "part.teeth", ratio = "part.ratio" } }
figure = "impact-factor"
with = { drop = "given.tooth", stretch = "part.stretch" }
stop_high = "given.tooth.per_tooth"
because = "{given.tooth}, {value} times the weight of {robot.mass}, {2 * part.stretch}"
"""
    limit = limit_of(part, check)
    assert limit.stop_high == pytest.approx(0.2618 * 0.0254, rel=1e-4)
    assert limit.because == "6.65 mm, 3.08 times the weight of 67 kg, 8 mm"


@pytest.mark.parametrize(
    ("old", "new", "key", "said"),
    [
        ('stop_low = "low"', 'stop_low = "12.7 V"', "limit.stop_low", "a voltage; wanted a length"),
        (
            'stop_low = "low"',
            'stop_low = "low * low"',
            "limit.stop_low",
            "an area; wanted a length",
        ),
        ('stop_low = "low"', "stop_low = 2", "limit.stop_low", "a number; wanted a length"),
        (
            'stop_low = "low"',
            'stop_low = "low + part.teeth"',
            "limit.stop_low",
            "a length and a number together",
        ),
        (
            'span = "part.span"',
            'span = "part.teeth"',
            "limit.with.span",
            "a number; wanted a length",
        ),
        (
            'duty = "part.duty"',
            'duty = "part.fixed_centres"',
            "limit.with.duty",
            "normal, or shock",
        ),
        (
            'stop_low = "low"',
            'stop_low = "high"\nwatch_low = "low"',
            "limit.bounds",
            "in rising order",
        ),
        (
            'because = "a',
            'instrument = "voltmeter"\nbecause = "a',
            "limit.instrument",
            "a voltage; wanted an uncertainty that is a length",
        ),
        ('because = "a', 'unit = "V"\nbecause = "a', "limit.result", "a length; wanted a voltage"),
        (
            'because = "a',
            'unjudged_when = [{ if = "travel > 3 V", say = "No." }]\nbecause = "a',
            "limit.unjudged_when 1",
            "a voltage; wanted a length",
        ),
    ],
)
def test_a_wrong_dimension_is_a_mistake_that_names_both(
    old: str, new: str, key: str, said: str
) -> None:
    assert old in TRAVEL
    definitions = define(CHAIN, TRAVEL.replace(old, new))
    (mistake,) = definitions.mistakes
    assert (
        mistake.file == "checklists/list.toml" and key in mistake.place and said in mistake.sentence
    ), mistake.sentence
    (item,) = definitions.part_checks.values()
    assert (
        judge(
            item.limit, {"travel": {"typed": "9", "value": 9, "unit": "mm"}}, item.unjudged_because
        ).verdict
        == "unjudged"
    )


def test_a_specification_that_the_check_needs_is_missed_in_the_build_sheet() -> None:
    check = TORQUE.replace('"part.engagement"', '"part.engagement"')
    definitions = define(BOLT.replace('engagement = "9 mm"\n', ""), check)
    (mistake,) = definitions.mistakes
    assert (mistake.file, mistake.place) == (
        "robots/gannet.toml",
        "part climb.bolts, engagement",
    ) and mistake.climb
    assert "which the check look needs" in mistake.sentence and definitions.climb_blocked


def test_a_required_specification_is_named_once() -> None:
    definitions = define(CHAIN.replace('span = "412 mm"', 'span = "412"'), TRAVEL)
    assert [mistake.place for mistake in definitions.mistakes] == ["part lift.chain, span"]
    (item,) = definitions.part_checks.values()
    assert (
        item.unjudged_because.startswith("Span is not known")
        and "robots/gannet.toml" in item.unjudged_because
    )


def test_a_mass_that_is_missing_leaves_what_hangs_on_it_unjudged() -> None:
    check = (
        'kind = "roller-chain"\n[[check.input]]\nname = "w"\nkind = "number"\nunit ='
        ' "kg"\n[check.limit]\nstop_high = "robot.mass"\n'
    )
    sheet = tomllib.loads(SHEET.replace('bumpers = "9 kg"\n', "") + CHAIN)
    lists = {"checklists/list.toml": tomllib.loads(HEAD + check)}
    definitions = build_definitions({"climb_planned": False}, {"robots/gannet.toml": sheet}, lists)
    (item,) = definitions.part_checks.values()
    assert "robot.mass is not known" in item.unjudged_because
    assert [mistake.place for mistake in definitions.mistakes] == ["robot.mass, bumpers"]


def test_a_pattern_that_names_no_part_is_a_mistake() -> None:
    definitions = define(CHAIN, TRAVEL.replace('kind = "roller-chain"', 'part = "lift.chian"'))
    (mistake,) = definitions.mistakes
    assert mistake.place == "check look, part" and mistake.nearest == "lift.chain"


def test_a_kind_that_the_robot_has_not_is_no_mistake() -> None:
    assert define(CHAIN, TORQUE).mistakes == []


def test_sentences_for_the_part_hold_its_numbers() -> None:
    definitions = define(
        CHAIN,
        TRAVEL.replace(
            'kind = "roller-chain"',
            'how = "Over {part.span}, {2 * part.teeth} teeth."\nkind = "roller-chain"',
        ),
    )
    (item,) = definitions.part_checks.values()
    assert item.check.how == "Over 412 mm, 32 teeth."


def test_say_names_the_side() -> None:
    limit = limit_of(
        CHAIN,
        TRAVEL
        + 'instrument = "ruler"\nsay = { stop = "Stop.", stop_low = "Let it out.", watch = "Look.",'
        ' watch_high = "Take it up." }\n',
    )
    assert limit.sentences["stop_low"].endswith("Let it out.") and limit.sentences[
        "stop_high"
    ].endswith("Stop.")
    assert limit.sentences["near_stop_low"].endswith("Look.") and limit.sentences[
        "near_stop_high"
    ].endswith("Take it up.")


def test_a_limit_survives_being_stored() -> None:
    limit = limit_of(CHAIN, TRAVEL + 'instrument = "ruler"\n')
    assert limit_from_dict(limit_as_dict(limit)) == limit
    with pytest.raises(BadInput, match="cannot be read"):
        limit_from_dict({"stop_low": "eight"})


def test_a_watch_bound_is_guarded_only_where_the_check_says_why() -> None:
    """A stop that is missed costs a match, a watch that is missed one look: without a reason only
    stops are guarded."""
    bounds = TRAVEL + 'watch_high = "value"\ninstrument = "ruler"\n'
    plain = limit_of(CHAIN, bounds)
    assert plain.guards["watch_high"] == 0 and "near_watch_high" not in plain.sentences
    asked = limit_of(CHAIN, bounds + 'watch_guard = "The next look is only after the event."\n')
    assert (
        asked.guards["watch_high"] == asked.guards["stop_high"] > 0
        and "near_watch_high" in asked.sentences
    )


def thousandths(least: int, most: int) -> st.SearchStrategy[float]:
    """Numbers of three decimals, as parts are measured."""
    return st.integers(least * 1000, most * 1000).map(lambda whole: whole / 1000)


@given(
    thousandths(-50, 50), st.lists(thousandths(0, 20), min_size=3, max_size=3), thousandths(0, 3),
    st.sampled_from(("mm", "in", "degF", "degC", "%")), st.sets(st.sampled_from(tuple(BOUNDS)), min_size=1),
)  # fmt: skip
def test_the_window_that_is_named_is_really_ok(
    first: float, steps: list[float], guard: float, unit: str, names: set[str]
) -> None:
    """Whatever the bounds and guards: both ends as written are ok, and nothing is ok outside the
    exact ones."""
    numbers = [first, first + steps[0], first + steps[0] + steps[1], first + sum(steps)]
    scale, offset = scale_of(unit)
    found = Limit(
        shown_name=unit, scale=scale, offset=offset, decimals=1, guards={"stop_low": guard * scale, "stop_high": guard * scale},
        **{name: number * scale + offset for name, number in zip(BOUNDS, numbers, strict=True) if name in names},
    )  # fmt: skip
    low, high = accept_window(found)
    if undecided(found):
        assert "cannot tell" in range_text(found)
        return
    for text in window_texts(found):
        if text and not range_text(found).startswith("exactly"):
            assert _compare(found, float(text) * scale + offset).verdict == "ok", (
                range_text(found),
                low,
                high,
            )
    for end, side in ((low, -1), (high, 1)):
        if end is not None:
            outside = end + side * max(abs(end), scale) * 1e-6
            assert _compare(found, outside).verdict != "ok"


def test_rows_and_lines_tell_limit_and_why() -> None:
    definitions = define(CHAIN, TRAVEL)
    (row,) = limit_rows(definitions)
    assert (
        row["check"] == "look"
        and row["part"] == "lift.chain"
        and row["unit"] == "m"
        and row["stop_high"] == pytest.approx(0.01236)
    )
    assert row["range"] == "8.3 to 12.3 mm" and row["unjudged_because"] == ""
    assert (row["ok_low"], row["ok_high"]) == (row["stop_low"], row["stop_high"])
    lines = limit_lines(definitions)
    assert lines[0] == "look@lift.chain: good: 8.3 to 12.3 mm; stop low 8.2 mm, stop high 12.4 mm"
    assert lines[1] == f"    a shock drive over 412 mm. Source: {find('chain-slack').source}."


SEATED = (
    TORQUE
    + """
[check.limit.given]
seat = { figure = "seating-torque", with = { thread = "part.thread", grade = "part.grade", head = "part.head" } }
"""
)


@pytest.mark.parametrize("climb", [False, True])
def test_a_head_that_nobody_was_asked_for_leaves_the_audit_unjudged_by_name(climb: bool) -> None:
    """A sheet of yesterday loads with every part: off the climb the missing head is noticed, on it
    it is a mistake."""
    definitions = define(BOLT if climb else BOLT.replace("climb_critical = true\n", ""), SEATED)
    (item,) = definitions.part_checks.values()
    assert (
        "Head is not known" in item.unjudged_because
        and item.limit is not None
        and item.limit.stop_low is None
    )
    told = definitions.mistakes if climb else definitions.notices
    assert [found.place for found in told] == ["part climb.bolts, head"] and bool(
        definitions.mistakes
    ) is climb


ROPE = """
[[part]]
id = "lift.cable"
label = "Cable"
zone = "mast"
kind = "hook"
opening = "1.5875 mm"
"""
THIN = """
kind = "hook"
[[check.input]]
name = "thin"
kind = "number"
unit = "mm"
[check.limit]
stop_low = "0.95 * part.opening"
stop_high = "1.1 * part.opening"
instrument = "calliper"
"""


def test_an_instrument_too_coarse_for_its_window_is_told_when_the_sheet_is_loaded() -> None:
    """A calliper good to 0.1 mm on a 1/16 in rope: guard bands leave a window of 0.07 mm, less than
    it can tell."""
    definitions = define(ROPE, THIN)
    (notice,) = definitions.notices
    assert notice.place == "part lift.cable, check look" and definitions.mistakes == []
    assert "the caliper, ±0.1 mm, on a window of 0.074 mm" in notice.sentence
    assert "one good to 0.09 mm or better, such as a micrometer" in notice.sentence
    assert define('[instruments]\ncalliper = "0.03 mm"\n' + ROPE, THIN).notices == []


def test_a_guard_band_counts_share_and_floor_at_the_bound() -> None:
    """12.7 V with a cheap voltmeter: ±(0.5 % + 2 digits of 10 mV) is ±0.0835 V, its one-sided 5 %
    guard 0.8224 of that."""
    volts = (
        THIN.replace('"mm"', '"V"')
        .replace('"0.95 * part.opening"', '"12.7 V"')
        .replace("calliper", "voltmeter")
    )
    found = limit_of(ROPE, volts.replace('stop_high = "1.1 * part.opening"\n', ""))
    assert found.guards["stop_low"] == pytest.approx(1.645 / 2 * 0.0835, rel=1e-3)
    assert (
        "the voltmeter can be off by ±0.084 V" in found.sentences["near_stop_low"]
        and range_text(found) == "12.77 V or more"
    )
