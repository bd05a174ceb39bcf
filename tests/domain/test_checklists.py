"""Checklists: what loads, and what each kind of mistake says, before any robot is known."""

import tomllib

import pytest

from pitcrew.base.settings import read_settings
from pitcrew.domain.checks.checklists import Check, Checklist, parse_checklist
from pitcrew.domain.checks.duewords import DueRule
from pitcrew.domain.checks.limits import compute_part_checks
from pitcrew.domain.checks.readings import judge
from pitcrew.domain.robot.buildsheet import Lowering, Part, Robot, Zone
from pitcrew.domain.robot.mistakes import Mistake

LIST = """
[checklist]
name = "pre-match"
label = "Before a match"
[[check]]
id = "chain-slack"
kind = "roller-chain"
label = "Chain slack"
ask = "How far does it move over {part.span}?"
how = "One finger at mid-span."
drawing = "chain-slack"
minutes = 1
power = "off"
cautions = ["Fingers clear."]
due = ["every match", "every 3 matches", "after part change"]
must = true
[[check.input]]
name = "travel"
label = "Travel"
kind = "number"
unit = "mm"
least = 0
most = 80
[[check.input]]
name = "rest"
kind = "number"
unit = "min"
[[check.input]]
name = "clip"
kind = "choice"
options = { "closed" = "ok", "gone" = "stop" }
[check.limit]
figure = "chain-slack"
with = { span = "part.span", duty = "part.duty" }
result = "travel"
stop_low = "low"
watch_high = "high - 0.1 * (high - low)"
stop_high = "high"
unit = "mm"
instrument = "ruler"
because = "{low} to {high}"
unjudged_when = [{ if = "rest < setting.battery_rest", say = "Rested less than {setting.battery_rest}." }]
say = { watch = "Look again.", stop_low = "Let it out.", stop_high = "Take it up." }
"""
CHAIN = Part(
    "lift.chain",
    "Chain",
    "mast",
    "roller-chain",
    specs={
        "size": "25",
        "span": 0.4,
        "duty": "shock",
        "teeth": 16,
        "fixed_centres": False,
        "pitches": 16,
    },
)
ZONES = {"mast": Zone("mast", "Mast", (0, 0, 100, 100))}
ROBOT = Robot(
    "gannet",
    "robots/gannet.toml",
    "Gannet",
    0.8,
    0.7,
    52,
    9,
    6,
    {"ruler": 0.001},
    ZONES,
    {CHAIN.id: CHAIN},
    Lowering(),
    "",
)


def read(text: str) -> tuple[Checklist, list[Mistake]]:
    return parse_checklist(tomllib.loads(text), "checklists/pre.toml")


def changed(old: str, new: str) -> tuple[Checklist, list[Mistake]]:
    assert old in LIST
    return read(LIST.replace(old, new))


def only(checklist: Checklist) -> Check:
    (check,) = checklist.checks
    return check


def test_a_right_list_has_no_mistakes() -> None:
    checklist, mistakes = read(LIST)
    assert mistakes == [] and (checklist.name, checklist.label) == ("pre-match", "Before a match")
    check = only(checklist)
    assert check.due == (
        DueRule("every match"),
        DueRule("every N matches", 3),
        DueRule("after part change"),
    )
    assert check.must and not check.two_names and check.hands == 1 and not check.broken
    travel, rest, clip = check.inputs
    assert (travel.unit, travel.least, travel.most, travel.required) == ("mm", 0, 80, True)
    assert rest.label == "rest" and clip.options == {"closed": "ok", "gone": "stop"}


@pytest.mark.parametrize(
    ("old", "new", "place", "said"),
    [
        (
            'figure = "chain-slack"',
            'figure = "chain-slak"',
            "check chain-slack, limit.figure",
            "Nearest: chain-slack",
        ),
        (
            'span = "part.span"',
            'spn = "part.span"',
            "check chain-slack, limit.with.spn",
            "Nearest: span",
        ),
        ('span = "part.span", ', "", "check chain-slack, limit.with", "span (free span"),
        (
            'span = "part.span"',
            'span = "part.spn"',
            "check chain-slack, limit.with.span",
            "Nearest: part.span",
        ),
        (
            'span = "part.span"',
            'span = "412 V"',
            "check chain-slack, limit.with.span",
            "is a voltage; wanted a length",
        ),
        (
            'result = "travel"',
            'result = "travl"',
            "check chain-slack, limit.result",
            "Nearest: travel",
        ),
        (
            'result = "travel"',
            'result = "travel +"',
            "check chain-slack, limit.result",
            "needs a name or a number",
        ),
        (
            'result = "travel"\n',
            "",
            "check chain-slack, limit.result",
            "not one number input alone",
        ),
        (
            'stop_low = "low"',
            'stop_low = "lo"',
            "check chain-slack, limit.stop_low",
            "Nearest: low",
        ),
        (
            'stop_low = "low"',
            'stop_low = "8 mmm"',
            "check chain-slack, limit.stop_low",
            "Nearest: mm",
        ),
        (
            'stop_low = "low"',
            "stop_low = true",
            "check chain-slack, limit.stop_low",
            "a constant with its unit",
        ),
        (
            'stop_low = "low"',
            'stop_low = "rest"',
            "check chain-slack, limit.stop_low",
            "a name that is known",
        ),
        (
            'stop_low = "low"',
            'stop_lw = "low"',
            "check chain-slack, limit, stop_lw",
            "Nearest: stop_low",
        ),
        (
            'instrument = "ruler"',
            'instrument = "rular"',
            "check chain-slack, limit.instrument",
            "Nearest: ruler",
        ),
        (
            'setting.battery_rest", say',
            'setting.batery_rest", say',
            "check chain-slack, limit.unjudged_when 1",
            "Nearest: setting.battery_rest",
        ),
        (
            "rest < setting",
            "rest setting",
            "check chain-slack, limit.unjudged_when 1",
            "one of > >= < <= ==",
        ),
        ('because = "{low} to', 'because = "{lw} to', "check chain-slack, limit", "Nearest: low"),
        (
            "over {part.span}?",
            "over {part.spam}?",
            "check chain-slack, limit",
            "Nearest: part.span",
        ),
        (
            'stop_high = "Take',
            'stp_high = "Take',
            "check chain-slack, limit.say.stp_high",
            "Nearest: stop_high",
        ),
        (
            'due = ["every match"',
            'due = ["every mach"',
            "check chain-slack, due",
            "Nearest: every match",
        ),
        ('"every 3 matches"', '"every N matches"', "check chain-slack, due", "one of every match"),
        ('"every 3 matches"', '"every 0 matches"', "check chain-slack, due", "one of every match"),
        (
            'unit = "mm"\nleast',
            'unit = "mmm"\nleast',
            "check chain-slack, input travel, unit",
            "Nearest: mm",
        ),
        (
            'kind = "number"\nunit = "mm"',
            'kind = "numbr"\nunit = "mm"',
            "check chain-slack, input travel, kind",
            "Nearest: number",
        ),
        ('unit = "min"', "", "check chain-slack, input rest, unit", "the unit of the number"),
        (
            '"gone" = "stop"',
            '"gone" = "stp"',
            "check chain-slack, input clip, options.gone",
            "Nearest: stop",
        ),
        (
            'options = { "closed" = "ok", "gone" = "stop" }',
            "",
            "check chain-slack, input clip, options",
            "answers with their verdicts",
        ),
        (
            'name = "rest"',
            'name = "travel"',
            "check chain-slack, input travel",
            "a name of its own",
        ),
        (
            'kind = "roller-chain"',
            'kind = "roler-chain"',
            "check chain-slack, kind",
            "Nearest: roller-chain",
        ),
        ('kind = "roller-chain"\n', "", "check chain-slack", "what the check is made on"),
        (
            'kind = "roller-chain"',
            'kind = "roller-chain"\nwhere = { duti = "shock" }',
            "check chain-slack, where.duti",
            "Nearest: duty",
        ),
        ('power = "off"', 'power = "of"', "check chain-slack, power", "Nearest: off"),
        (
            'drawing = "chain-slack"',
            'drawing = "chain-slak"',
            "check chain-slack, drawing",
            "Nearest: chain-slack",
        ),
        ("minutes = 1", "minutes = -1", "check chain-slack, minutes", "at least 0.1"),
        ("must = true", "must = 1", "check chain-slack, must", "true or false"),
        ('label = "Chain slack"', 'label = ""', "check chain-slack, label", "a text in quotes"),
        ("cautions = ", "cuations = ", "check chain-slack, cuations", "Nearest: cautions"),
        ("[checklist]", "[cheklist]", "file, cheklist", "Nearest: checklist"),
    ],
)
def test_each_mistake_names_file_place_and_the_nearest_name(
    old: str, new: str, place: str, said: str
) -> None:
    checklist, mistakes = changed(old, new)
    found = [mistake for mistake in mistakes if mistake.place == place]
    assert found, [mistake.sentence for mistake in mistakes]
    assert found[0].file == "checklists/pre.toml" and any(
        said in mistake.sentence for mistake in found
    ), found[0].sentence
    part_checks, _ = compute_part_checks(ROBOT, [checklist], read_settings({})[0])
    inputs = {
        "travel": {"typed": "10", "value": 10, "unit": "mm"},
        "rest": {"typed": "60", "value": 60, "unit": "min"},
    }
    for item in part_checks.values():
        assert judge(item.limit, inputs, item.unjudged_because).verdict == "unjudged", (
            "a check with a mistake judges nothing"
        )


@pytest.mark.parametrize(
    ("given", "witness", "measures", "said"),
    [
        ("", False, {}, ""),
        ("witness = true", True, {}, ""),
        ('measures = { travel = "deflection" }', False, {"travel": "deflection"}, ""),
        ('measures = { travl = "deflection" }', False, {}, "Nearest: travel"),
        ('measures = { travel = "deflektion" }', False, {}, "Nearest: deflection"),
        (
            'measures = { travel = "mass" }',
            False,
            {},
            "found an input in mm; wanted a unit of mass",
        ),
        ('measures = { clip = "diameter" }', False, {}, "a number input of this check"),
    ],
)
def test_who_must_see_it_and_what_it_measures(
    given: str, witness: bool, measures: dict[str, str], said: str
) -> None:
    checklist, mistakes = changed("must = true", f"must = true\n{given}")
    check = only(checklist)
    assert (check.witness, check.measures) == (witness, measures)
    assert [said in mistake.sentence for mistake in mistakes] == ([True] if said else [])


@pytest.mark.parametrize("name", ["hold-test", "hold-test-pin", "lowering-ready"])
def test_hold_tests_and_lowering_want_a_witness_unless_the_file_says_otherwise(name: str) -> None:
    wants = only(changed('id = "chain-slack"', f'id = "{name}"')[0])
    assert wants.witness and wants.is_hold_test == name.startswith("hold")
    assert not only(changed('id = "chain-slack"', f'id = "{name}"\nwitness = false')[0]).witness


def test_an_unsafe_check_of_an_older_list_is_left_out_and_named() -> None:
    from pitcrew.domain.checks.definitions import build_definitions
    from tests.domain.folded import SHEET

    old = tomllib.loads(LIST.replace('id = "chain-slack"', 'id = "rope-pull"'))
    found = build_definitions(
        {"climb_planned": False},
        {"robots/tern.toml": tomllib.loads(SHEET)},
        {"checklists/climb.toml": old},
    )
    assert (
        not any(key.startswith("rope-pull") for key in found.part_checks) and found.mistakes == []
    )
    assert (
        "unsafe" in found.notices[-1].sentence
        and "rope-pull" in found.notices[-1].sentence
        and not found.climb_blocked
    )


def test_a_check_with_a_mistake_stays_on_the_list_and_is_due_every_match() -> None:
    """What did not load counts as missing, never as absent."""
    checklist, mistakes = changed('figure = "chain-slack"', 'figure = "chain-slak"')
    check = only(checklist)
    assert "chain-slak" in check.broken and DueRule("every match") in check.due
    assert all(mistake.climb for mistake in mistakes)
    check = only(changed("must = true", "must = 1")[0])
    assert check.must, "a mark that cannot be read counts as set"


def test_a_check_that_cannot_be_shown_is_named_as_lost() -> None:
    checklist, mistakes = changed('ask = "How far does it move over {part.span}?"', "")
    assert (
        checklist.checks == ()
        and checklist.lost == ("chain-slack",)
        and all(mistake.climb for mistake in mistakes)
    )


def test_ids_twice_are_named() -> None:
    checklist, mistakes = read(LIST + LIST[LIST.index("[[check]]") :])
    assert len(checklist.checks) == 1
    assert [(mistake.place, mistake.found) for mistake in mistakes] == [
        ("check chain-slack", "the same id twice")
    ]


def test_nothing_that_judges_is_a_mistake() -> None:
    text = (
        LIST[: LIST.index("[[check.input]]")] + '[[check.input]]\nname = "words"\nkind = "text"\n'
    )
    _, mistakes = read(text)
    assert "what judges it" in mistakes[0].sentence


def test_a_mistake_in_a_list_without_climb_checks_does_not_block() -> None:
    """The duplicate is dropped, everything that is on the robot is still there."""
    _, mistakes = read(LIST + LIST[LIST.index("[[check]]") :])
    assert [mistake.climb for mistake in mistakes] == [False]
    before = LIST.replace('"every match", ', '"before a climb", ')
    _, mistakes = read(before + before[before.index("[[check]]") :])
    assert [mistake.climb for mistake in mistakes] == [True]


def test_which_parts_a_check_is_made_on() -> None:
    check = only(
        changed(
            'kind = "roller-chain"',
            'kind = "roller-chain"\npart = "lift.*"\nwhere = { duty = ["shock"], teeth = "*" }',
        )[0]
    )
    chain = Part("lift.chain", "", "mast", "roller-chain", specs={"duty": "shock", "teeth": 16})
    assert check.applies_to(chain, ROBOT)
    assert not check.applies_to(
        Part("intake.chain", "", "mast", "roller-chain", specs=chain.specs), ROBOT
    )
    assert not check.applies_to(
        Part("lift.belt", "", "mast", "timing-belt", specs=chain.specs), ROBOT
    )
    assert not check.applies_to(
        Part("lift.chain", "", "mast", "roller-chain", specs={"duty": "normal", "teeth": 16}), ROBOT
    )
    assert not check.applies_to(
        Part("lift.chain", "", "mast", "roller-chain", specs={"duty": "shock"}), ROBOT
    )


@pytest.mark.parametrize(
    "text",
    [
        "check = 3",
        "checklist = 1",
        "[[check]]",
        "[[check]]\nid = 4",
        "[[check]]\ninput = 2",
        "[[check]]\nlimit = []",
        "[[check]]\n[[check.input]]\nname = []",
        "[[check]]\n[check.limit]\nwith = 2\nfigure = 2",
        "[[check]]\n[check.limit]\ngiven = { a = 2 }",
        "[[check]]\n[check.limit]\nunjudged_when = [{ if = 2 }]",
        '[[check]]\nwhere = 2\nkind = "hook"',
        "[[check]]\ndue = [2]",
        "[[check]]\n[check.limit]\nsay = { ok = 2 }",
        '[[check]]\n[[check.input]]\nname = "a"\nkind = "choice"\noptions = { x = 2 }',
        "[[check]]\n[check.limit]\nresult = 4\nfigure = []",
        '[[check]]\n[check.limit]\nbecause = "{"\nunit = "x y"',
    ],
)
def test_wrong_shapes_are_mistakes_not_crashes(text: str) -> None:
    _, mistakes = read(text)
    assert mistakes and all(mistake.sentence for mistake in mistakes)
