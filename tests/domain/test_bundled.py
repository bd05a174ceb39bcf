"""The bundled checklists and the example robot: they load, judge, fit a phone, and cover what breaks on robots."""

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.paths import CHECKLISTS
from pitcrew.domain.checks.definitions import Definitions, build_definitions
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.sentences import shown_quantity

LONGEST = 150  # letters of a sentence that still fits a phone under the number


def tables(folder: Path) -> dict[str, dict[str, Any]]:
    return {f"{folder.name}/{path.name}": tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.toml"))}


def define(values: dict[str, Any] | None = None) -> Definitions:
    return build_definitions(values or {}, tables(CHECKLISTS / "robots"), tables(CHECKLISTS))


DEFINITIONS = define()
FILES = {"checklists/climb.toml": tables(CHECKLISTS)["checklists/climb.toml"]} | {
    name: sheet | {"part": [part for part in sheet["part"] if part["id"].startswith("climb.")]}
    for name, sheet in tables(CHECKLISTS / "robots").items()
}
NONSENSE = (
    "",
    "x",
    "12",
    "12 mm",
    "-1 V",
    "part.span",
    "{",
    "nan",
    "1e999 mm",
    "*",
    0,
    -1,
    1.5,
    True,
    [],
    {},
    [1],
    {"a": 1},
    "1/0",
    "a" * 500,
)
ITEMS = list(DEFINITIONS.part_checks.values())
CHECKS = {item.check.id: item for item in ITEMS}


def test_no_mistakes_and_every_check_is_judged() -> None:
    assert [mistake.sentence for mistake in DEFINITIONS.mistakes] == []
    assert [f"{item.key}: {item.unjudged_because}" for item in ITEMS if item.unjudged_because] == []
    assert not DEFINITIONS.climb_blocked and DEFINITIONS.lost == ()


def leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The path of every value in a file that can be mistyped."""
    if isinstance(value, dict):
        return [path] * bool(path) + [leaf for key, item in value.items() for leaf in leaves(item, (*path, key))]
    if isinstance(value, list):
        return [path] + [leaf for number, item in enumerate(value) for leaf in leaves(item, (*path, number))]
    return [path]


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_value_replaced_by_nonsense_is_a_mistake_or_harmless_never_a_crash(data: st.DataObject) -> None:
    """Students' files: whatever stands in one place, the rest loads, and what cannot be judged is not ok."""
    files = {name: copy.deepcopy(table) for name, table in FILES.items()}
    file = data.draw(st.sampled_from(sorted(files)))
    *path, last = data.draw(st.sampled_from(leaves(files[file])))
    place: Any = files[file]
    for key in path:
        place = place[key]
    place[last] = data.draw(st.sampled_from(NONSENSE))
    found = build_definitions(
        {}, {file: files[file] for file in files if "robots" in file}, {file: files[file] for file in files if "lists" in file}
    )
    assert all(mistake.sentence for mistake in found.mistakes)
    assert all(limit_as_dict(item.limit) for item in found.part_checks.values() if item.limit)


def test_every_bundled_check_is_made_on_the_example_robot() -> None:
    written = {check.id for checklist in DEFINITIONS.checklists for check in checklist.checks}
    assert written == set(CHECKS) and len(written) >= 45
    assert {checklist.name for checklist in DEFINITIONS.checklists} == {"pre-match", "post-match", "morning", "climb", "battery"}


def test_inches_load_as_well() -> None:
    inches = define({"units": "inch"})
    assert inches.mistakes == []
    found = inches.part_checks["chain-slack@lift.chain.left"].limit
    assert found is not None and found.shown == "in"


def test_the_example_robot() -> None:
    robot = DEFINITIONS.robot
    assert robot is not None and robot.mass == pytest.approx(67.3) and len(robot.parts) >= 40
    assert sum(part.kind == "battery" for part in robot.parts.values()) == 6
    assert sum(part.kind == "drive-module" for part in robot.parts.values()) == 4
    assert {part.zone for part in robot.parts.values()} == set(robot.zones), "every zone has something to check"
    critical = {part.kind for part in robot.parts.values() if part.climb_critical}
    assert critical >= {"wire-rope", "ratchet", "servo", "hook", "bolted-joint"}
    assert len(robot.lowering.people) >= 3


@pytest.mark.parametrize(("key", "low", "high", "unit"), [
    ("chain-slack@lift.chain.left", 0.00824, 0.01236, "m"),  # 2-3 % of 412 mm, chain makers' installation rule
    ("chain-wear@lift.chain.left", -1.0, 3.0, "%"),  # 3 %, chain makers' installation rule
    ("bus-ohms@control.bus", 50.0, 65.0, "ohm"),  # two ends of 120 ohm, about 60 together: common practice
    ("battery-rest@battery.1", 12.7, None, "V"),  # 12.7 to 13.5 V, makers' documentation; a setting
    ("battery-loads@battery.1", 0.001, 0.020, "ohm"),  # over 20 mohm not for matches: a setting
    ("battery-loads-second@battery.3", 0.001, 0.018, "ohm"),  # of the second pair: the build sheet's own
    ("drum-wraps@climb.ratchet", 2.0, None, "1"),  # ASME B30.7: at least 2 wraps
    ("spring-force@lift.spring.left", 1.25 * 4.1 * 9.80665 / 2, None, "N"),  # 1.25 times the weight, common practice
    ("hook-opening@climb.hook", None, 1.05 * 0.048, "m"),  # 5 % over new: hoist practice, from memory
])  # fmt: skip
def test_limits_are_the_published_ones(key: str, low: float | None, high: float | None, unit: str) -> None:
    found = DEFINITIONS.part_checks[key].limit
    assert found is not None and found.unit == unit
    assert found.stop_low == (None if low is None else pytest.approx(low)) and found.stop_high == (
        None if high is None else pytest.approx(high)
    )


def test_new_parts_are_ok() -> None:
    """A part as it was built must not be watched because its instrument is too coarse."""
    from pitcrew.domain.checks.readings import judge

    new = {
        "chain-wear@lift.chain.left": ("length", 101.6 * 1.0018, "mm"), "gear-play@climb.gearbox": ("rock", 1.0, "deg"),
        "roller-play@intake.roller.front": ("play", 0.5, "mm"), "tread-depth@drive.fl.wheel": ("depth", 5.0, "mm"),
        "rope-diameter@climb.rope": ("thin", 3.2, "mm"), "servo-travel@climb.pawl-servo": ("travel", 42.0, "deg"),
        "ratchet-drop@climb.ratchet": ("drop", 9.1, "mm"), "hold-margin@climb.ratchet": ("weight", 67.3, "kg"),
        "bolt-audit@climb.drum-bolts": ("torque", 11.5, "N*m"), "rope-pull@climb.rope": ("pull", 660.0, "N"),
        "hook-opening@climb.hook": ("throat", 48.0, "mm"), "belt-tone@intake.belt": ("tone", 108.5, "Hz"),
    }  # fmt: skip
    for key, (name, value, unit) in new.items():
        item = DEFINITIONS.part_checks[key]
        answers = {field.name: next(iter(field.options)) for field in item.check.inputs if field.options}
        inputs = {field: {"typed": answer, "value": answer, "unit": None} for field, answer in answers.items()}
        found = judge(item.limit, inputs | {name: {"typed": str(value), "value": value, "unit": unit}}, item.unjudged_because)
        assert found.verdict == "ok", f"{key}: {found.sentence}"


def test_every_check_of_climb_critical_parts_names_cautions_or_is_a_look() -> None:
    for item in ITEMS:
        if item.check.power == "enabled":
            assert any("safe to enable" in caution for caution in item.check.cautions), item.key
        if item.check.kind in ("spring", "air-system"):
            assert any("Eye protection" in caution for caution in item.check.cautions), item.key


def test_locked_joints_are_judged_by_their_mark_alone() -> None:
    locked = {item.part.id for item in ITEMS if item.part.specs.get("locking") in ("thread-locker", "nylon insert")}
    assert locked and {item.check.id for item in ITEMS if item.part.id in locked} == {"witness-mark"}


def test_the_torque_audit_never_pulls_beyond_its_target() -> None:
    audit = DEFINITIONS.part_checks["bolt-audit@climb.drum-bolts"].check
    assert "never pull beyond 11.5 N·m" in audit.how and "first movement" in audit.how


def test_the_hold_test_wants_the_whole_robot_low_over_a_mat() -> None:
    hold = DEFINITIONS.part_checks["hold-test@climb.ratchet"]
    assert hold.check.two_names and hold.check.must
    assert any("over a mat, nobody under" in caution for caution in hold.check.cautions)
    assert hold.limit is not None and "67.3 kg" in hold.limit.unjudged_when[0][3]


def sentences(item: PartCheck) -> list[str]:
    """Every sentence of a limit with its longest answers and its own bounds put in."""
    limit = item.limit
    assert limit is not None
    numbers = [
        shown_quantity(limit, bound) for bound in (limit.stop_low, limit.watch_low, limit.watch_high, limit.stop_high) if bound is not None
    ]
    number = max(numbers, key=len, default="")
    found = []
    for name, template in limit.sentences.items():
        if name.startswith("answer_"):
            answers = [
                (field, answer)
                for field, verdicts in limit.answers.items()
                for answer, verdict in verdicts.items()
                if name.endswith(verdict)
            ]
            found += [template.replace("{label}", limit.inputs[field].label).replace("{answer}", answer) for field, answer in answers]
        else:
            found.append(template.replace("{result}", number).replace("{limit}", number))
    return found + [sentence for *_, sentence in limit.unjudged_when]


@pytest.mark.parametrize("item", CHECKS.values(), ids=CHECKS)
def test_what_is_said_fits_a_phone(item: PartCheck) -> None:
    assert [sentence for sentence in sentences(item) if len(sentence) > LONGEST] == []
    assert len(item.check.ask) <= 90 and item.check.label and len(item.check.label) <= 30
    assert "?" not in "".join(sentences(item)), "a name had no value for this part"
    assert item.check.how.count("?") == 0 and "{" not in item.check.ask + item.check.how


def test_a_turnaround_is_not_overloaded() -> None:
    """Every-match checks of the robot without batteries, for three people who share the work: within a median turnaround of 35 minutes."""
    minutes = sum(
        item.check.minutes * item.check.hands for item in ITEMS
        if item.part.kind != "battery" and any(rule.word == "every match" for rule in item.check.due)
    )  # fmt: skip
    assert minutes / 3 <= 15
