"""The checks of the climb list: each device and line has its own, each fits a phone, and the list
between two matches fits the time."""

from datetime import timedelta

import pytest

from pitcrew.domain.checks.checklists import Check
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.checks.pathchecks import LOOK, PROOF
from pitcrew.domain.checks.readings import judge
from tests.domain.devices import DEVICES, LINES, every_robot, held_by
from tests.domain.test_bundled import CHECKLISTS, DEFINITIONS, LONGEST, define, sentences

HOLDS = [word for word in DEVICES if word not in ("motor-brake", "none")]
TURNAROUND = timedelta(minutes=6)
"""What a climb may cost between two matches with two people and the captain (common practice)."""
READS_AND_SIGNS = timedelta(minutes=0.8)
"""The captain reads, looks at the path once, and signs (common practice)."""
DEBRIEF = timedelta(minutes=0.2)
"""The row of the debrief about the climb (common practice)."""
SECONDS_HAND = ("lowering-ready",)
"""What the second person does while the first looks at the path from bar to floor: way down,
debrief, and what lies beside it."""


def checks_of(definitions: Definitions) -> dict[str, PartCheck]:
    return {key: item for key, item in definitions.part_checks.items() if item.part.climb_critical}


def ids_of(definitions: Definitions) -> set[str]:
    return {item.check.id for item in checks_of(definitions).values()}


@pytest.mark.parametrize("holds", DEVICES)
def test_each_device_has_its_hold_test_its_look_and_its_way_down(holds: str) -> None:
    definitions = held_by(holds)
    assert [mistake.place for mistake in definitions.mistakes] == (
        ["hold_path.step 5, holds"] if holds == "none" else []
    )
    found = checks_of(definitions)
    device = {item.check.id for item in found.values() if item.part.id == "climb.device"}
    tests = [item.check for item in found.values() if item.check.is_hold_test]
    assert "lowering-ready" in device and "winch-stop" in device and "hold-margin" in device
    assert len(tests) == (0 if holds == "none" else 1)
    if holds in HOLDS:
        assert (
            tests[0].witness
            and tests[0].must
            and tests[0].two_names
            and "nobody under it" in " ".join(tests[0].cautions)
        )
        assert {"lowering-test", "path-give"} <= device and any(
            check.endswith("-look") or check == "pawl-snap" for check in device
        )
        assert (
            found["lowering-test@climb.device"].check.witness
            and not found["lowering-ready@climb.device"].check.witness
        )


@pytest.mark.parametrize("line", LINES)
def test_each_line_of_the_path_is_looked_at_before_a_climb_and_measured_once_a_day(
    line: str,
) -> None:
    mine = [
        item.check
        for item in held_by("ratchet", line).part_checks.values()
        if item.part.id == "climb.line"
    ]
    words = {check.id: {rule.word for rule in check.due} for check in mine}
    assert [name for name, due in words.items() if "before a climb" in due] != [], words
    if line != "belt":
        assert [
            name for name, due in words.items() if {"once a day", "every N climbs"} <= due
        ] != [], words
    assert not {
        "rope-cloth",
        "rope-end",
        "cord-look",
        "chain-link",
        "chain-wear",
        "belt-teeth",
        "rope-pull",
    } & set(words)


@pytest.mark.parametrize("place", range(len(every_robot())))
def test_what_the_climb_checks_say_fits_a_phone_and_has_a_source(place: int) -> None:
    for item in checks_of(every_robot()[place]).values():
        said = (
            [*sentences(item), *(sentence for *_, sentence in item.limit.stop_when)]
            if item.limit
            else []
        )
        assert [sentence for sentence in said if len(sentence) > LONGEST] == [], item.key
        assert len(item.check.ask) <= 90 and len(item.check.label) <= 30, item.key
        if item.check.checklist in ("climb", "hold-path"):
            assert item.limit is not None and item.limit.source and item.check.drawing, item.key
            assert item.check.cautions or item.check.id == "hook-opening", item.key


def test_every_check_of_the_list_is_made_on_one_of_the_robots() -> None:
    written = {
        check.id
        for checklist in DEFINITIONS.checklists
        if checklist.name == "climb"
        for check in checklist.checks
    }
    made = set().union(*(ids_of(definitions) for definitions in [DEFINITIONS, *every_robot()]))
    assert written - made == {
        "drum-wraps",
        "rope-end",
    }, "for older build sheets, and for ropes off the path"
    assert {LOOK, PROOF} <= made


def test_links_without_numbers_are_looked_at_from_the_bar_down_own_links_too() -> None:
    looked = [item for item in held_by("ratchet").part_checks.values() if item.check.id == LOOK]
    assert [item.part.id for item in looked] == [
        "climb.hook",
        "hold-path.side-plates",
        "climb.drum",
    ]
    plates = looked[1].part
    assert plates.climb_critical and plates.zone == "winch" and plates.label == "Side plates"
    assert {rule.word for rule in looked[0].check.due} == {
        "before a climb",
        "after a hard hit",
        "after repair",
        "after part change",
    }
    answers = looked[0].limit.answers["seen"] if looked[0].limit else {}
    assert answers == {"whole": "ok", "something": "stop", "cannot see": "unjudged"}


EXAMPLES = [define({"robot": path.stem}) for path in sorted((CHECKLISTS / "robots").glob("*.toml"))]


@pytest.mark.parametrize(
    "definitions",
    [*EXAMPLES, *every_robot()],
    ids=lambda item: f"{item.robot.name}, {item.robot.hold_path.device}",
)
def test_what_stands_between_two_matches_fits_two_people_and_the_captain(
    definitions: Definitions,
) -> None:
    """A looks at the path from bar to floor in a row; B meanwhile does the rest; both watch the
    release; then the captain signs.

    Counted: all that is due after a match that climbed and held, on anything that the climb hangs
    on; the daily list is done.
    """
    assert elapsed(definitions) <= TURNAROUND
    sinks = (
        definitions.robot is None
        or definitions.robot.hold_path is None
        or definitions.robot.hold_path.device not in HOLDS
    )
    assert sinks or elapsed(definitions) >= timedelta(minutes=3), "what is counted is really there"


def elapsed(definitions: Definitions) -> timedelta:
    between = [
        item.check
        for item in checks_of(definitions).values()
        if item.check.must and is_between_matches(item.check)
    ]
    path = (
        definitions.robot.hold_path.parts
        if definitions.robot and definitions.robot.hold_path
        else ()
    )
    ours = {
        item.check.id
        for item in checks_of(definitions).values()
        if item.part.id in path or item.part.id.startswith("hold-path.")
    }
    off = [check for check in between if check.power == "off"]
    a = sum(check.minutes for check in off if check.id in ours and check.id not in SECONDS_HAND)
    b = sum(check.minutes for check in off if check.id not in ours or check.id in SECONDS_HAND)
    enabled = sum(check.minutes for check in between if check.power != "off")
    return timedelta(minutes=max(a, b + DEBRIEF.total_seconds() / 60) + enabled) + READS_AND_SIGNS


def is_between_matches(check: Check) -> bool:
    """Whether it is due after a match that climbed and held."""
    words = {rule.word for rule in check.due}
    return bool(words & {"every match", "after a climb"}) or (
        "before a climb" in words and not check.is_hold_test
    )


def hold(definitions: Definitions, **change: float | str) -> str:
    """The verdict on a hold test of the robot of this device: all of it good but for `change`."""
    item = next(item for item in definitions.part_checks.values() if item.check.is_hold_test)
    given: dict[str, float | str] = {
        "load": 70.0,
        "time": 12.0,
        "slip": 1.0,
        "teeth": 1.0,
        "moved": 0.0,
    } | change
    inputs = {}
    for field in item.check.inputs:
        good = next(iter(field.options), None)
        value = given.get(field.name, good)
        inputs[field.name] = {"typed": str(value), "value": value, "unit": field.unit or None}
    return judge(item.limit, inputs, item.unjudged_because).verdict


@pytest.mark.parametrize("change, verdict", [
    ({}, "ok"), ({"teeth": 0.0}, "ok"), ({"teeth": 1.0}, "ok"), ({"teeth": 1.5}, "stop"), ({"teeth": 5.0}, "stop"),
    ({"slip": 11.0}, "stop"), ({"slip": 11.0, "teeth": 0.0}, "stop"), ({"load": 50.0}, "unjudged"), ({"load": 150.0}, "unjudged"), ({"time": 9.0}, "unjudged"),
    ({"off": "still on"}, "unjudged"), ({"off": "still on", "teeth": 5.0}, "stop"), ({"load": 50.0, "teeth": 5.0}, "stop"),
    ({"release": "did not release"}, "stop"), ({"release": "needed a push"}, "watch"),
])  # fmt: skip
def test_more_than_one_tooth_is_a_stop_whatever_else_was_read(
    change: dict[str, float | str], verdict: str
) -> None:
    """Common practice: at power-off the wheel may seat once, then it stands still."""
    assert hold(held_by("ratchet"), **change) == verdict


@pytest.mark.parametrize("holds", [word for word in HOLDS if word != "ratchet"])
def test_the_other_devices_stand_still_or_stop(holds: str) -> None:
    definitions = held_by(holds)
    assert (
        hold(definitions) == "ok"
        and hold(definitions, slip=11.0) == "stop"
        and hold(definitions, time=5.0) == "unjudged"
    )
    item = next(item for item in definitions.part_checks.values() if item.check.is_hold_test)
    bad = (
        {"moved": 3.0}
        if holds == "brake"
        else {"still": next(word for word, verdict in still(item) if verdict == "stop")}
    )
    assert hold(definitions, **bad) == "stop"


def still(item: PartCheck) -> list[tuple[str, str]]:
    return list(next(field.options for field in item.check.inputs if field.name == "still").items())


@pytest.mark.parametrize("slip", [0.0, 2.0, 300.0])
def test_a_motor_in_brake_mode_never_passes(slip: float) -> None:
    assert hold(held_by("motor-brake"), slip=slip) == "stop"


@pytest.mark.parametrize("check, given, verdict, told", [
    # what a line can give: about 1 % (wire rope) to 5 % (cord) at a working load; a tenth and 10 mm
    # more is common practice for "something slides"
    ("path-give", {"free": 180, "give": 60}, "unjudged", "Something slides or unwinds"),
    ("path-give", {"free": 180, "give": 28}, "ok", ""),
    ("path-give", {"free": 180, "give": 0}, "watch", "the line alone counts"),
    # a drop below half the tooth's geometry was not measured from click to click
    ("ratchet-drop", {"drop": 0.9}, "unjudged", "less than half a tooth"),
    ("ratchet-drop", {"drop": 9}, "ok", ""),
    # a wheel at rest with its pawl seated has passed a whole number of teeth
    ("hold-test", {"load": 68, "time": 30, "teeth": 0.5, "slip": 2}, "unjudged", "Count whole teeth"),
    ("hold-test", {"load": 68, "time": 30, "teeth": 1, "slip": 2}, "ok", ""),
    ("hold-test", {"load": 68, "time": 30, "teeth": 1.5, "slip": 2}, "stop", "more than one tooth"),
])  # fmt: skip
def test_what_cannot_be_is_not_ok(
    check: str, given: dict[str, float], verdict: str, told: str
) -> None:
    item = next(item for item in DEFINITIONS.part_checks.values() if item.check.id == check)
    inputs = {}
    for field in item.check.inputs:
        if field.kind == "number":
            value = given[field.name]
            inputs[field.name] = {"typed": str(value), "value": value, "unit": field.unit}
        else:
            inputs[field.name] = {"value": next(w for w, v in field.options.items() if v == "ok")}
            inputs[field.name]["typed"] = inputs[field.name]["value"]
    found = judge(item.limit, inputs)
    assert (found.verdict, told in found.sentence) == (verdict, True), found.sentence
