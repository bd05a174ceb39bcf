"""Every plan of a turnaround is checked by its own definition: people, zones, power, hands, time."""

import json
from itertools import combinations
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput
from pitcrew.cli.main import main
from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.workplan import POWERS, WorkPlan, plan_lines, work_plan
from tests.domain.test_bundled import ITEMS
from tests.world import make_world

DUE = [DueCheck(item, "due", None, item.check.must) for item in ITEMS]
NAMES = ("Ada", "Bo", "Tove", "Kim", "Runa", "Mira")


def checked(plan: WorkPlan, due: list[DueCheck], people: list[str], seconds: float | None) -> None:
    """The rules of a pit (common practice), read off the plan."""
    planned = [piece.item.key for piece in plan.pieces]
    left = [item.key for item, _ in plan.left_out]
    assert sorted(planned + left) == sorted(item.key for item in due)
    for piece in plan.pieces:
        check = piece.item.part_check.check
        assert len(set(piece.people)) == len(piece.people) == check.hands
        assert set(piece.people) <= set(people)
        assert piece.end - piece.start == pytest.approx(check.minutes * 60, abs=1)
    for one, other in combinations(plan.pieces, 2):
        together = one.start < other.end and other.start < one.end
        if together:
            assert not set(one.people) & set(other.people)
            assert one.power == other.power != "enabled"
        first, then = sorted((one, other), key=lambda piece: POWERS.index(piece.power))
        assert first.power == then.power or first.end <= then.start
    for piece in plan.pieces:
        here = [
            other
            for other in plan.pieces
            if other.zone == piece.zone and other.start <= piece.start < other.end
        ]
        assert sum(min(2, len(other.people)) for other in here) <= 2
    ends = [piece.end for piece in plan.pieces]
    assert max(ends, default=0) == plan.makespan >= plan.bound
    assert seconds is None or plan.makespan <= seconds
    for item, why in plan.left_out:
        few = item.part_check.check.hands > len(people)
        assert few is ("present" in why) and few is not ("no time" in why)


@given(
    st.lists(st.sampled_from(DUE), unique_by=lambda item: item.key, max_size=14),
    st.integers(0, 6),
    st.one_of(st.none(), st.floats(0, 3000)),
)
@settings(deadline=None)
def test_every_plan_keeps_the_rules_of_the_pit(
    due: list[DueCheck], crew: int, seconds: float | None
) -> None:
    people = list(NAMES[:crew])
    checked(work_plan(due, people, seconds), due, people, seconds)


def test_a_whole_turnaround_is_planned_near_its_bound() -> None:
    """60 checks and 6 people; the gap is what the screen says of it."""
    due, people = DUE[:60], list(NAMES)
    plan = work_plan(due, people, None)
    checked(plan, due, people, None)
    assert not plan.left_out and plan.gap <= 0.25 and plan.chance is None


def test_more_time_and_more_people_leave_out_no_more() -> None:
    few = work_plan(DUE[:30], ["Ada", "Bo"], 600)
    longer = work_plan(DUE[:30], ["Ada", "Bo"], 1800)
    assert len(longer.left_out) <= len(few.left_out)
    assert 0 <= longer.chance <= 1 and work_plan([], ["Ada"], 60).chance == 1


@pytest.mark.parametrize("people", [["Ada", "Ada"], ["Ada", " "]])
def test_people_are_named_once(people: list[str]) -> None:
    with pytest.raises(BadInput, match="named once"):
        work_plan(DUE[:3], people, 60)


def test_the_command_answers_in_words_and_numbers(tmp_path: Path) -> None:
    folder = make_world(tmp_path / "pit")
    asked = ["plan", str(folder), "--minutes", "10", "--people", "Ada,Bo"]
    told = CliRunner().invoke(main, [*asked, "--json"])
    found = json.loads(told.output)
    assert list(found) == ["method", "makespan", "bound", "gap", "chance", "tasks", "left_out"]
    assert found["makespan"] <= 600 and found["tasks"]
    wanted = {"key", "part", "people", "start", "end", "power", "zone"}
    assert all(set(task) == wanted for task in found["tasks"])
    assert all(set(item) == {"key", "part", "why"} for item in found["left_out"])
    lines = CliRunner().invoke(main, asked).output
    assert "done in time in" in lines and ("left out:" in lines) is bool(found["left_out"])
    refused = CliRunner().invoke(main, ["plan", str(folder), "--at", "noon"])
    assert refused.exit_code == 2 and "noon" in refused.output


def test_the_lines_say_how_far_from_the_best() -> None:
    plan = work_plan(DUE[:5], ["Ada", "Bo", "Tove"], 3600)
    assert any(
        "no plan is shorter" in line or "longer than the best" in line for line in plan_lines(plan)
    )
