"""Scheduling under limited resources: tasks with whole-second durations, each needing some units of
some resources, some after others. A priority rule with random tries, and a lower bound.

The method is the serial schedule generation scheme with longest tail first, and tries around it
(Kolisch and Hartmann 1999): always a plan, quickly, and never further from the best than the bound
says.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise
from random import Random

from pitcrew.base.errors import BadInput

TRIES = 120
"""Orders that are tried; 60 tasks of 6 people take well under a second."""
METHOD = "priority rule, longest tail first"


@dataclass(frozen=True)
class Task:
    """Something to do: `duration` in s, `needs` resource -> units, `after` the tasks that come
    first."""

    name: str
    duration: int
    needs: Mapping[str, int] = field(default_factory=dict)
    after: tuple[str, ...] = ()


@dataclass(frozen=True)
class Schedule:
    """When each task starts, in s; `bound` is a makespan that no schedule can beat."""

    starts: Mapping[str, int]
    makespan: int
    bound: int

    @property
    def gap(self) -> float:
        """How much longer than the bound, at most, as a fraction of it."""
        return (self.makespan - self.bound) / self.bound if self.bound else 0.0


def schedule(
    tasks: Sequence[Task], capacity: Mapping[str, int], seed: int = 1, tries: int = TRIES
) -> Schedule:
    """A short schedule of tasks under the capacities of their resources.

    Raises BadInput for a circle, an unknown task, a negative duration, and a task that needs more
    of a resource than there is.
    """
    network = _Network(tasks, capacity)
    bound, chance = network.bound, Random(seed)
    best = network.placed(network.tails)
    for _ in range(tries):
        if best[1] <= bound:
            break
        weights = {
            name: tail * chance.uniform(0.6, 1.4) + chance.random()
            for name, tail in network.tails.items()
        }
        found = network.placed(weights)
        best = found if found[1] < best[1] else best
    return Schedule(best[0], best[1], bound)


class _Network:
    """The tasks with what comes before and after each."""

    def __init__(self, tasks: Sequence[Task], capacity: Mapping[str, int]) -> None:
        self.tasks = {task.name: task for task in tasks}
        self.capacity = capacity
        for task in tasks:
            self._check(task)
        self.order = self._in_order()

    def _check(self, task: Task) -> None:
        if task.duration < 0:
            raise BadInput(f"{task.name} lasts {task.duration} s; wanted 0 s or more.")
        for name in task.after:
            if name not in self.tasks:
                raise BadInput(f"{task.name} comes after {name}, which is no task.")
        for resource, units in task.needs.items():
            if units > self.capacity.get(resource, 0):
                there = self.capacity.get(resource, 0)
                raise BadInput(f"{task.name} needs {units} of {resource}, and there are {there}.")

    def _in_order(self) -> list[str]:
        """The names so that each comes after what it follows. Raises BadInput for a circle."""
        order: list[str] = []
        seen: dict[str, bool] = {}
        for name in self.tasks:
            stack = [(name, iter(self.tasks[name].after))] if name not in seen else []
            seen.setdefault(name, False)
            while stack:
                here, rest = stack[-1]
                before = next(rest, None)
                if before is None:
                    seen[here] = True
                    order.append(here)
                    stack.pop()
                elif before not in seen:
                    seen[before] = False
                    stack.append((before, iter(self.tasks[before].after)))
                elif not seen[before]:
                    raise BadInput(f"{here} and {before} each come after the other.")
        return order

    @cached_property
    def tails(self) -> dict[str, int]:
        """How long it takes from the start of each task to the end of all that must follow."""
        tails = {name: task.duration for name, task in self.tasks.items()}
        for name in reversed(self.order):
            task = self.tasks[name]
            for before in task.after:
                needed = self.tasks[before].duration + tails[name]
                tails[before] = max(tails[before], needed)
        return tails

    @property
    def bound(self) -> int:
        """The longest chain, or the work on a resource shared out evenly, whichever is more."""
        bounds = [max(self.tails.values(), default=0)]
        for resource, units in self.capacity.items():
            work = sum(task.duration * task.needs.get(resource, 0) for task in self.tasks.values())
            bounds.append(-(-work // units) if units else 0)
        return max(bounds)

    def placed(self, weights: Mapping[str, float]) -> tuple[dict[str, int], int]:
        """The tasks placed one by one, the heaviest of those that may start first, each as early
        as it fits."""
        starts: dict[str, int] = {}
        use: dict[str, dict[int, int]] = {name: {} for name in self.capacity}
        left = list(self.order)
        while left:
            ready = [name for name in left if all(b in starts for b in self.tasks[name].after)]
            name = max(ready, key=lambda one: weights[one])
            left.remove(name)
            starts[name] = self._earliest(self.tasks[name], starts, use)
            self._occupy(self.tasks[name], starts[name], use)
        ends = (starts[name] + task.duration for name, task in self.tasks.items())
        return starts, max(ends, default=0)

    def _earliest(
        self, task: Task, starts: Mapping[str, int], use: Mapping[str, dict[int, int]]
    ) -> int:
        """The first time from which the task fits into what is free all along."""
        begin = max((starts[b] + self.tasks[b].duration for b in task.after), default=0)
        times = {begin}
        for resource in task.needs:
            times.update(time for time in use[resource] if time > begin)
        return next(time for time in sorted(times) if self._fits(task, time, use))

    def _fits(self, task: Task, time: int, use: Mapping[str, dict[int, int]]) -> bool:
        if not task.duration:
            return True
        end = time + task.duration
        for resource, units in task.needs.items():
            busy, levels = 0, [*sorted(use[resource].items()), (end, 0)]
            for (at, change), (until, _) in pairwise(levels):
                busy += change
                if until > time and at < end and busy + units > self.capacity[resource]:
                    return False
        return True

    def _occupy(self, task: Task, start: int, use: Mapping[str, dict[int, int]]) -> None:
        for resource, units in task.needs.items():
            for at, change in ((start, units), (start + task.duration, -units)):
                use[resource][at] = use[resource].get(at, 0) + change
