"""Scheduling against published instances, and every plan checked by itself."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pitcrew.base.errors import BadInput
from pitcrew.domain.now.scheduling import Schedule, Task, schedule

J301_1 = """1 0|0 0 0 0|2 3 4; 2 8|4 0 0 0|6 11 15; 3 4|10 0 0 0|7 8 13; 4 6|0 0 0 3|5 9 10; 5 3|3 0 0 0|20
6 8|0 0 0 8|30; 7 5|4 0 0 0|27; 8 9|0 1 0 0|12 19 27; 9 2|6 0 0 0|14; 10 7|0 0 0 1|16 25; 11 9|0 5 0 0|20 26
12 2|0 7 0 0|14; 13 6|4 0 0 0|17 18; 14 3|0 8 0 0|17; 15 9|3 0 0 0|25; 16 10|0 0 0 5|21 22; 17 6|0 0 0 8|22
18 5|0 0 0 7|20 22; 19 3|0 1 0 0|24 29; 20 7|0 10 0 0|23 25; 21 2|0 0 0 6|28; 22 7|2 0 0 0|23; 23 2|3 0 0 0|24
24 3|0 9 0 0|30; 25 3|4 0 0 0|30; 26 7|0 0 4 0|31; 27 8|0 0 0 7|28; 28 3|0 8 0 0|31; 29 7|0 7 0 0|32
30 2|0 7 0 0|32; 31 2|0 0 2 0|32; 32 0|0 0 0 0|"""
"""PSPLIB j301_1 (Kolisch and Sprecher 1997): job duration | needs of four resources | successors."""
FT06 = """2 1 0 3 1 6 3 7 5 3 4 6; 1 8 2 5 4 10 5 10 0 10 3 4; 2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9; 2 9 1 3 4 5 5 4 0 3 3 1; 1 3 3 3 5 9 0 10 4 4 2 1"""
"""The 6x6 job shop of Muth and Thompson (1963): machine and time of each step of six jobs."""
BUILDING = """A2 B4A C10B D6C E4C F5E G7D H9EG I7C J8FI K4J L5J M2H N6KL"""
"""The house of Hillier and Lieberman's chapter on project management: duration and what comes
before."""


def rows(text: str) -> list[str]:
    return [row.strip() for line in text.splitlines() for row in line.split(";") if row.strip()]


def psplib(text: str) -> list[Task]:
    before: dict[str, list[str]] = {}
    found = []
    for row in rows(text):
        head, needs, after = row.split("|")
        name, duration = head.split()
        for later in after.split():
            before.setdefault(later, []).append(name)
        units = {f"R{place}": int(n) for place, n in enumerate(needs.split(), 1) if int(n)}
        found.append((name, int(duration), units))
    return [Task(name, time, units, tuple(before.get(name, ()))) for name, time, units in found]


def job_shop(text: str) -> list[Task]:
    found = []
    for job, row in enumerate(rows(text)):
        numbers = [int(word) for word in row.split()]
        steps = list(zip(numbers[::2], numbers[1::2], strict=True))
        for place, (machine, time) in enumerate(steps):
            after = (f"{job}.{place - 1}",) if place else ()
            found.append(Task(f"{job}.{place}", time, {f"machine {machine}": 1}, after))
    return found


def checked(tasks: list[Task], capacity: dict[str, int], plan: Schedule) -> None:
    """The plan by its own definition: each after what it follows, no resource over its capacity at
    any second, the makespan and the bound as they are said."""
    by_name = {task.name: task for task in tasks}
    assert set(plan.starts) == set(by_name)
    for task in tasks:
        for name in task.after:
            assert plan.starts[task.name] >= plan.starts[name] + by_name[name].duration
    for second in range(plan.makespan):
        for resource, units in capacity.items():
            busy = sum(
                task.needs.get(resource, 0)
                for task in tasks
                if plan.starts[task.name] <= second < plan.starts[task.name] + task.duration
            )
            assert busy <= units
    ends = [plan.starts[task.name] + task.duration for task in tasks]
    assert plan.makespan == max(ends, default=0) >= plan.bound >= 0


@pytest.mark.parametrize("tasks, capacity, optimum, chain", [
    # optimum 43 (PSPLIB j30opt), critical path 38
    (psplib(J301_1), {"R1": 12, "R2": 13, "R3": 4, "R4": 12}, 43, 38),
    # optimum 55 (Muth and Thompson 1963)
    (job_shop(FT06), {f"machine {machine}": 1 for machine in range(6)}, 55, 47),
])  # fmt: skip
def test_published_optima_lie_between_the_bound_and_the_plan(
    tasks: list[Task], capacity: dict[str, int], optimum: int, chain: int
) -> None:
    plan = schedule(tasks, capacity)
    checked(tasks, capacity, plan)
    assert chain <= plan.bound <= optimum <= plan.makespan <= 1.1 * optimum
    assert plan.gap == pytest.approx(plan.makespan / plan.bound - 1)
    unlimited = [Task(task.name, task.duration, {}, task.after) for task in tasks]
    assert schedule(unlimited, {}).makespan == schedule(unlimited, {}).bound


def test_without_limits_the_longest_chain_is_the_plan() -> None:
    """14 activities of building a house take 44 weeks (Hillier and Lieberman, project management;
    from memory, recomputed); those of PSPLIB j301_1 without resources 38."""
    tasks = [
        Task(
            row[0], int("".join(filter(str.isdigit, row))), {}, tuple(filter(str.isalpha, row[1:]))
        )
        for row in BUILDING.split()
    ]
    assert schedule(tasks, {}).makespan == 44
    bare = [Task(task.name, task.duration, {}, task.after) for task in psplib(J301_1)]
    assert schedule(bare, {}).makespan == 38


@st.composite
def networks(draw) -> tuple[list[Task], dict[str, int]]:
    capacity = {name: draw(st.integers(1, 4)) for name in ("people", "zone")}
    tasks: list[Task] = []
    for number in range(draw(st.integers(0, 9))):
        names = [task.name for task in tasks]
        after = draw(st.lists(st.sampled_from(names), unique=True, max_size=2)) if names else []
        needs = {name: draw(st.integers(0, most)) for name, most in capacity.items()}
        tasks.append(Task(str(number), draw(st.integers(0, 6)), needs, tuple(after)))
    return tasks, capacity


@given(networks(), st.integers(0, 3))
@settings(deadline=None)
def test_every_plan_keeps_order_and_limits(
    network: tuple[list[Task], dict[str, int]], seed: int
) -> None:
    tasks, capacity = network
    checked(tasks, capacity, schedule(tasks, capacity, seed, tries=5))


@pytest.mark.parametrize("tasks, said", [
    ([Task("a", 1, {}, ("b",)), Task("b", 1, {}, ("a",))], "each come after the other"),
    ([Task("a", 1, {}, ("x",))], "which is no task"), ([Task("a", -1)], "0 s or more"),
    ([Task("a", 1, {"people": 3})], "needs 3 of people, and there are 2"),
])  # fmt: skip
def test_what_no_plan_can_hold_is_a_sentence(tasks: list[Task], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        schedule(tasks, {"people": 2})
