"""A build sheet may say that it does not know: `"unknown"` and `{ assumed = … }` are no mistakes,
name what they cost, and never flatter a climb."""

import copy
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pitcrew.base.settings import Settings, read_settings
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.hold import hold_path
from pitcrew.domain.robot.partkinds import KINDS
from tests.domain.climber import CLIMBS, climber
from tests.domain.test_bundled import CHECKLISTS, build_definitions, tables
from tests.domain.test_clearance import asked, checked

LISTS = tables(CHECKLISTS)
SHEETS = tables(CHECKLISTS / "robots")
PLAYING = sorted(SHEETS)


def of(sheet: dict[str, Any]) -> Definitions:
    """The definitions with this sheet alone."""
    return build_definitions({"climb_planned": False}, {"robots/one.toml": sheet}, LISTS)


@cache
def bundled(file: str) -> Definitions:
    """The definitions with a bundled sheet as it is."""
    return of(SHEETS[file])


def with_part(file: str, part: str, field: str, value: object) -> dict[str, Any]:
    """A bundled sheet with one field of one part replaced."""
    sheet = copy.deepcopy(SHEETS[file])
    next(item for item in sheet["part"] if item["id"] == part)[field] = value
    return sheet


def specs() -> list[tuple[str, str, str]]:
    """Every specification field that a bundled sheet states: file, part, field."""
    return [
        (file, part["id"], field.name)
        for file in PLAYING
        for part in SHEETS[file]["part"]
        for field in KINDS[part["kind"]].fields
        if field.name in part
    ]


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_field_of_every_kind_may_be_unknown(kind: str) -> None:
    part = {"id": "one.thing", "label": "Thing", "zone": "all", "kind": kind}
    part |= {field.name: "unknown" for field in KINDS[kind].fields}
    sheet = {
        "robot": {"label": "One", "length": "unknown", "width": "unknown", "mass": "unknown"},
        "zone": [{"id": "all", "label": "All", "box": [0, 0, 100, 100]}],
        "part": [part],
    }
    found = of(sheet)
    assert found.mistakes == []
    told = {notice.place.removeprefix("part one.thing, ") for notice in found.notices}
    assert {field.name for field in KINDS[kind].fields} <= told


SETTINGS: Settings = read_settings({}, "pitcrew.toml")[0]


def factors(definitions: Definitions) -> dict[str, float]:
    """The factor of each link of the hold path that has one, by name."""
    path = hold_path(definitions.robot, SETTINGS)
    return {link.name: link.factor for link in path.links if link.factor is not None}


@given(st.sampled_from(specs()), st.booleans())
def test_what_is_assumed_never_raises_a_factor_nor_clears(
    place: tuple[str, str, str], unknown: bool
) -> None:
    file, part, field = place
    stated = bundled(file)
    value = next(item for item in SHEETS[file]["part"] if item["id"] == part)[field]
    found = of(with_part(file, part, field, "unknown" if unknown else {"assumed": value}))
    assert found.mistakes == stated.mistakes
    assert found.robot is not None and stated.robot is not None
    before, after = factors(stated), factors(found)
    assert all(factor <= before[name] for name, factor in after.items())
    if stated.robot.parts[part].climb_critical:
        assert field not in found.robot.parts[part].specs
    if part in stated.robot.hold_path.parts:
        label = stated.robot.parts[part].label
        path = hold_path(found.robot, SETTINGS)
        assert after == {} and f"{label}, {field.replace('_', ' ')}" in path.why


@given(st.sampled_from(specs()))
def test_a_check_is_judged_as_before_or_says_what_it_lacks(place: tuple[str, str, str]) -> None:
    file, part, field = place
    before = bundled(file).part_checks
    found = of(with_part(file, part, field, "unknown")).part_checks
    looks = {"path-look", "path-proof"}  # made for links that are computed or named at all
    for key, item in before.items():
        if item.check.id in looks and key not in found:
            continue
        now = found[key]
        same = now.limit == item.limit and now.unjudged_because == item.unjudged_because
        assert same or now.unjudged_because or item.part.climb_critical


def test_an_assumed_number_judges_and_says_so() -> None:
    found = of(with_part("robots/tern.toml", "intake.roller.front", "play", {"assumed": "1 mm"}))
    keys = [key for key in found.part_checks if key.endswith("@intake.roller.front")]
    limits = [found.part_checks[key].limit for key in keys]
    told = [limit.because for limit in limits if limit and "Assumed" in limit.because]
    assert told == [told[0]] and told[0].endswith("Assumed, not confirmed: play 1 mm")


def test_a_climb_part_without_its_number_blocks_the_climb_by_name() -> None:
    sheet = with_part("robots/tern.toml", "climb.pawl-servo", "horn", {"assumed": "20 mm"})
    robot = of(sheet).robot
    assert robot is not None
    assert robot.parts["climb.pawl-servo"].open == {"horn": "only assumed, 20 mm"}


def test_what_is_open_on_the_climb_blocks_the_signature_by_name() -> None:
    """A robot with all that a signature needs, but for one number that is only assumed."""
    pin = CLIMBS.replace('spacing = "1 mm"', 'spacing = { assumed = "1 mm" }')
    assert pin != CLIMBS and asked(checked()).missing == []
    definitions = climber(sheet=pin)
    found = asked(checked(definitions), definitions=definitions)
    texts = [item.text for item in found.missing]
    assert "Pawl, spacing: only assumed, 1 mm. Find it out and put it in." in texts
    assert any(text.startswith("Nothing that the robot hangs on is computed") for text in texts)


@pytest.mark.parametrize("value", ["unknown", {"assumed": "4 mm"}, {"assumed": "unknown"}])
def test_the_hold_path_s_own_numbers_count_as_not_stated(value: object) -> None:
    sheet = copy.deepcopy(SHEETS["robots/tern.toml"])
    sheet["hold_path"]["deflection"] = value
    found = of(sheet)
    assert found.mistakes == []
    assert "hold_path, deflection" in hold_path(found.robot, SETTINGS).why


def test_an_assumed_value_is_still_checked() -> None:
    found = of(with_part("robots/tern.toml", "intake.roller.front", "play", {"assumed": "4 kg"}))
    assert [mistake.place for mistake in found.mistakes] == ["part intake.roller.front, play"]
