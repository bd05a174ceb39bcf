"""A robot from blocks: any set of blocks with any part of the answers builds, loads, and says what
is open."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.drawings import DRAWINGS
from pitcrew.builder.blocks import KINDS as ANSWERS
from pitcrew.builder.blocks import WHO, Block, BlockQuestion
from pitcrew.builder.building import build
from pitcrew.builder.writing import sheet_text, with_fields
from pitcrew.cli.main import main
from pitcrew.domain.checks.checklists import parse_checklist
from pitcrew.domain.checks.lacking import used_fields
from pitcrew.domain.holding.path import hold_path
from pitcrew.domain.robot.climbkinds import CLIMB_KINDS
from pitcrew.domain.robot.notknown import is_assumed
from pitcrew.domain.robot.partkinds import KINDS
from pitcrew.pit.building import read_blocks, read_fields
from tests.domain.test_bundled import CHECKLISTS, build_definitions, tables
from tests.domain.test_schema import against

BLOCKS, WRONG = read_blocks()
LISTS = tables(CHECKLISTS)
UNITS = {
    "length": "50 mm", "mass": "6 kg", "charge": "18 A*h", "angle": "5 deg", "force": "100 N",
    "torque": "3 N*m", "pressure": "8.3 bar", "time": "10 min", "voltage": "6 V",
    "current": "20 A", "temperature": "60 degC", "speed": "0.5 m/s", "mass_per_length": "40 g/m",
    "resistance": "20 mohm", "count": 12, "number": 2.0, "yes_no": True,
}  # fmt: skip


FITTING = {
    "thread": ("10-32", "1/4-20"),
    "grade": ("black, inch", "shiny, no mark", "something else"),
    "head": ("socket",),
    "construction": ("7x19",),
    "rope_diameter": ("1/8 in",),
}


def plausible(question: BlockQuestion) -> list[Any]:
    """What a person may answer."""
    if question.name in FITTING:  # a screw that exists: its marks go with its thread
        return list(FITTING[question.name])
    if question.choices:
        return list(question.choices)
    if question.typical is not None:
        return [question.typical]
    return [2024 if question.name == "bought" else UNITS.get(question.kind, "something")]


def answers(block: Block) -> st.SearchStrategy[dict[str, Any]]:
    """Any part of the questions, some stated, some assumed, some unknown."""
    one = {
        name: st.sampled_from(plausible(question)).flatmap(
            lambda value: st.sampled_from([value, {"assumed": value}, "unknown"])
        )
        for name, question in block.questions.items()
    }
    return st.fixed_dictionaries({}, optional=one)


ROBOTS = st.lists(
    st.sampled_from(sorted(BLOCKS)).flatmap(
        lambda name: st.fixed_dictionaries(
            {"name": st.just(name), "answers": answers(BLOCKS[name])},
            optional={"count": st.integers(1, 6)},
        )
    ),
    max_size=6,
)


CLIMBS = {kind.name for kind in CLIMB_KINDS} | {"roller-chain", "timing-belt", "bolted-joint"}
"""What may be a link of the hold path: each of its fields goes into the load or the strength, or is
taken at its worst."""


def test_the_bundled_blocks_are_right() -> None:
    assert WRONG == []
    for block in BLOCKS.values():
        for part in block.parts:
            known = {field.name for field in KINDS[part.kind].fields}
            assert set(part.fill) <= known, (block.name, part.id)
        for question in block.questions.values():
            assert question.picture in ("", *DRAWINGS), (block.name, question.name)
        zones = {zone["id"] for zone in block.zones}
        assert {part.zone for part in block.parts} <= zones, block.name


def test_editors_take_what_is_built() -> None:
    text = sheet_text(build(tomllib.loads(HERON), BLOCKS, "heron.toml"))
    assert against("robot", text) == []


@settings(max_examples=40, deadline=None)
@given(ROBOTS)
def test_any_blocks_with_any_answers_build(entries: list[dict[str, Any]]) -> None:
    built = build({"name": "heron", "block": entries}, BLOCKS, "heron.toml")
    assert built.refused == []
    assert [mistake for mistake in built.mistakes if not mistake.climb] == []
    table = tomllib.loads(sheet_text(built))
    assert table == built.sheet
    found = build_definitions({}, {"robots/heron.toml": table}, LISTS)
    mistakes = [item for item in found.mistakes if item.file == "robots/heron.toml"]
    assert [item.row() for item in mistakes if not item.climb] == []
    for item in found.part_checks.values():
        assert item.limit is not None or item.unjudged_because
    assert found.robot is not None
    for part in found.robot.parts.values():
        assert not part.climb_critical or not set(part.open) & set(part.specs)
    path = hold_path(found.robot, found.settings)
    on_path = found.robot.hold_path.parts if found.robot.hold_path else ()
    if any(found.robot.parts[name].open for name in on_path):
        assert not any(link.computed for link in path.links)


@settings(max_examples=15, deadline=None)
@given(ROBOTS)
def test_what_is_open_is_listed_and_nothing_else(entries: list[dict[str, Any]]) -> None:
    built = build({"name": "heron", "block": entries}, BLOCKS, "heron.toml")
    robot = build_definitions({}, {"robots/heron.toml": built.sheet}, LISTS).robot
    assert robot is not None
    listed = {gap.field for gap in (*built.unknown, *built.assumed)}
    assert {name for part in robot.parts.values() for name in part.open} <= listed
    stated = [
        (key, value)
        for part in built.sheet.get("part", [])
        for key, value in part.items()
        if is_assumed(value)
    ]
    assert len(stated) <= len(built.assumed)


FIELDS, WRONG_FIELDS = read_fields()
USED = {
    (check.kind, name)
    for file, table in LISTS.items()
    for check in parse_checklist(table, file)[0].checks
    for name in used_fields(check)
}


BESIDE = {
    ("battery", "capacity"),
    ("battery", "bought"),
    ("drive-base", "modules"),
    ("set-screw", "count"),
}
"""What no check computes with: a battery's own page does, and the rest tells how many to look at."""


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_field_of_every_kind_can_be_asked(kind: str) -> None:
    """A question, who knows it, a drawing, choices or a unit, a usual value, a source, and what it
    costs not to know it: a check that is not judged, or a link of the climb not computed."""
    assert WRONG_FIELDS == []
    for field in KINDS[kind].fields:
        asked = FIELDS[kind][field.name]
        assert asked.ask.endswith((".", "?")) and 10 < len(asked.ask) < 120, field.name
        assert asked.picture in DRAWINGS and asked.who in WHO and asked.usual and asked.source
        assert asked.choices or field.kind in (*UNITS, "text"), field.name
        assert {(kind, field.name), (kind, "*")} & (USED | BESIDE) or kind in CLIMBS, field.name


def test_every_block_alone_and_all_together_build_without_an_answer() -> None:
    for names in (*([name] for name in BLOCKS), list(BLOCKS)):
        entries = [{"name": name} for name in names]
        built = build({"name": "heron", "block": entries}, BLOCKS, "heron.toml")
        assert (built.refused, built.mistakes) == ([], []), names


def test_a_screw_that_does_not_exist_is_written_and_named(pit: Path, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    odd = 'tread_new = "5 mm"\nthread = "M5"\ngrade = "black, inch"'
    file.write_text(HERON.replace('tread_new = "5 mm"', odd), encoding="utf-8")
    told = run("build", str(pit), "--answers", str(file))
    assert told.exit_code == 1 and "A574" in told.output
    assert (pit / "robots" / "heron.toml").exists()


def run(*arguments: str) -> Any:
    return CliRunner().invoke(main, list(arguments))


@pytest.fixture
def pit(tmp_path: Path) -> Path:
    assert run("new", str(tmp_path / "pit")).exit_code == 0
    return tmp_path / "pit"


HERON = """
label = "Heron"
[[block]]
name = "robot"
[block.answers]
length = "700 mm"
width = { assumed = "680 mm" }
[[block]]
name = "drive-modules"
[block.answers]
tread_new = "5 mm"
steering_zero = { fl = "41 deg", rr = "12 deg" }
[[block]]
name = "battery-set"
[block.answers]
bought = { 1 = 2024, 2 = 2025 }
"""


def test_blocks_lists_what_is_asked() -> None:
    listed = json.loads(run("blocks", "--json").output)
    assert [block["name"] for block in listed] == list(BLOCKS)
    for block in listed:
        for question in block["questions"]:
            assert question["ask"] and question["kind"] in ANSWERS and question["who"]


def test_build_writes_the_sheet_and_never_over_one_that_stands(pit: Path, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(HERON, encoding="utf-8")
    first = run("build", str(pit), "--answers", str(file), "--json")
    told = json.loads(first.output)
    assert first.exit_code == 0 and told["mistakes"] == [] and told["parts"] == 22
    assert {(gap["part"], gap["field"]) for gap in told["assumed"]} == {("robot", "width")}
    unknown = {(gap["part"], gap["field"]) for gap in told["unknown"]}
    assert {("robot", "chassis"), ("drive.*.encoder", "offset"), ("battery.*", "bought")} <= unknown
    sheet = pit / "robots" / "heron.toml"
    before = sheet.read_bytes()
    again = run("build", str(pit), "--answers", str(file))
    assert again.exit_code != 0 and "--replace" in again.output and sheet.read_bytes() == before
    assert run("build", str(pit), "--answers", str(file), "--replace").exit_code == 0


def test_the_robot_itself_may_stand_in_its_own_table() -> None:
    mass = {"chassis": "40 kg", "battery": "unknown"}
    table = {"name": "ruff", "label": "Ruff", "length": "700 mm", "mass": mass}
    block = {"name": "robot", "answers": {"length": "700 mm", **mass}}
    short = build({"robot": table}, BLOCKS, "a.toml")
    long = build({"name": "ruff", "label": "Ruff", "block": [block]}, BLOCKS, "a.toml")
    assert (short.name, short.sheet, short.refused) == (long.name, long.sheet, [])
    assert short.sheet["robot"]["mass"]["bumpers"] == "unknown"
    assert build({"robot": {"mass": "unknown"}}, BLOCKS, "a.toml").refused == []


@pytest.mark.parametrize("wrong", [
    {"robot": 4}, {"robot": {"name": "../../x"}}, {"robot": {"label": 4}}, {"name": ["a"]},
    {"block": [{"name": 3}]}, {"block": "robot"}, {"block": [{"name": "robot", "answers": 3}]},
    {"block": [{"name": "robot", "count": 0}]}, {"block": [{"name": "robot", "names": [""]}]},
    {"block": [{"name": "robot", "answers": {"length": [1]}}]},
    {"block": [{"name": "battery-set", "answers": {"bought": {"9": {"a": 1}}}}]},
])  # fmt: skip
def test_odd_answers_are_named_and_never_break_it(wrong: dict[str, Any]) -> None:
    built = build(wrong, BLOCKS, "a.toml")
    assert built.refused and re.fullmatch(r"[a-z0-9-]+", built.name)


@pytest.mark.parametrize("text, words", [
    ('[[block]]\nname = "drive-modulse"', "drive-modules"),
    ('[[block]]\nname = "robot"\n[block.answers]\nlenght = "1 m"', "length"),
    ('[[block]]\nname = "robot"\n[block.answers]\nlength = "1 kg"', "length"),
    ('[[block]]\nname = "drive-modules"\n[block.answers]\nlocking = "glue"', "thread-locker"),
    ("[[block]", "line 1"),
])  # fmt: skip
def test_wrong_answers_are_named_and_write_nothing(
    pit: Path, tmp_path: Path, text: str, words: str
) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    told = run("build", str(pit), "--answers", str(file))
    assert told.exit_code != 0 and words in told.output
    assert not (pit / "robots" / "mine.toml").exists()


@pytest.mark.parametrize("path", sorted((CHECKLISTS / "robots").glob("*.toml")))
def test_a_sheet_comes_back_byte_for_byte(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    part = next(part for part in tomllib.loads(text)["part"] if len(part) > 5)
    same = {key: value for key, value in part.items() if key not in ("id", "for")}
    assert with_fields(text, part["id"], same) == text
    changed = with_fields(text, part["id"], {"label": "Another"})
    assert len(changed.splitlines()) == len(text.splitlines())
    differ = [a for a, b in zip(text.splitlines(), changed.splitlines(), strict=True) if a != b]
    assert len(differ) == 1 and differ[0].startswith("label")


COMMENTS = st.lists(st.sampled_from(["# a note", "", "   # indented", "#"]), max_size=3)


@settings(max_examples=15, deadline=None)
@given(ROBOTS, st.data())
def test_a_built_sheet_with_comments_comes_back(entries: list[Any], data: Any) -> None:
    text = sheet_text(build({"block": entries}, BLOCKS, "heron.toml"))
    lines = [line for row in text.splitlines() for line in (*data.draw(COMMENTS), row)]
    noted = "\n".join(lines) + "\n"
    parts = tomllib.loads(noted).get("part", [])
    if parts:
        assert with_fields(noted, parts[0]["id"], {"kind": parts[0]["kind"]}) == noted


def test_one_entry_stands_for_several_parts() -> None:
    sheet = tables(CHECKLISTS / "robots")["robots/tern.toml"]
    wheels = [part for part in sheet["part"] if re.fullmatch(r"drive\.\w+\.encoder", part["id"])]
    rest = [part for part in sheet["part"] if part not in wheels]
    names = [part["id"].split(".")[1] for part in wheels]
    one = {
        "for": names,
        "id": "drive.{for}.encoder",
        "label": {name: part["label"] for name, part in zip(names, wheels, strict=True)},
        "zone": "{for}",
        "kind": "encoder",
        "offset": {name: part["offset"] for name, part in zip(names, wheels, strict=True)},
        "allowed": "1.5 deg",
    }
    by_hand = build_definitions({}, {"robots/tern.toml": sheet}, LISTS)
    short = build_definitions({}, {"robots/tern.toml": sheet | {"part": [*rest, one]}}, LISTS)
    assert short.robot is not None and by_hand.robot is not None
    assert short.mistakes == [] and short.robot.parts == by_hand.robot.parts


@pytest.mark.parametrize("names", ["fl", [], ["a", "a"], [1]])
def test_a_wrong_for_is_named(names: object) -> None:
    part = {"for": names, "id": "a.{for}", "label": "A", "zone": "z", "kind": "bearing"}
    zone = {"id": "z", "label": "Z", "box": [0, 0, 9, 9]}
    sheet = {"robot": {"label": "R"}, "zone": [zone], "part": [part]}
    found = build_definitions({}, {"robots/r.toml": sheet}, LISTS)
    assert any(", for" in mistake.place for mistake in found.mistakes)
