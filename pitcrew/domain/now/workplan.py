"""Who does which of the due checks when, in the time that is left.

Power goes off, on, enabled, each once: while it is enabled one check runs and no other hands are
in. At most two people work at a zone. Checks are chosen in the order of their hazard as long as
they fit; what is left out is named, with why. Repairs are not in it yet.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random

from pitcrew.base.errors import BadInput
from pitcrew.base.units import counted
from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.scheduling import METHOD, Schedule, Task, schedule
from pitcrew.domain.now.turnaround import POWERS

AT_A_ZONE = 2
"""How many people work at one zone (common practice of pit crews)."""
SLOW = 2.0
"""One check in ten takes so many times its usual minutes, or longer (common practice)."""
TENTH = 1.2816
"""The 90 % point of a normal distribution."""
DRAWS = 400
CLOSED = 300.0
"""s before leaving when the robot is closed: hands out, tools counted (common practice)."""
PEOPLE, ENABLED = "people", "enabled"


@dataclass(frozen=True)
class Piece:
    """One check, by whom, from and to which second from now."""

    item: DueCheck
    people: tuple[str, ...]
    start: int
    end: int

    @property
    def power(self) -> str:
        """`off`, `on` or `enabled`."""
        return self.item.part_check.check.power

    @property
    def zone(self) -> str:
        """The zone of its part."""
        return self.item.part_check.part.zone


@dataclass(frozen=True)
class WorkPlan:
    """The plan: `bound` is a makespan in s that no plan of these checks beats; `chance` that all of
    it is done in time, None where no time is known; `left_out` with the reason of each."""

    makespan: int
    bound: int
    chance: float | None
    pieces: tuple[Piece, ...]
    left_out: tuple[tuple[DueCheck, str], ...]

    @property
    def gap(self) -> float:
        """How much longer than the bound it is at most, as a fraction of the bound."""
        return (self.makespan - self.bound) / self.bound if self.bound else 0.0


def work_plan(
    due: Sequence[DueCheck], people: Sequence[str], seconds: float | None, seed: int = 1
) -> WorkPlan:
    """The plan of the due checks, the most dangerous first, for the people present.

    `seconds`: the time for it; None where none is known, so that all fit. Raises BadInput for a
    person named twice or not at all.
    """
    if len(set(people)) != len(people) or not all(name.strip() for name in people):
        raise BadInput("Each person is named once: --people Ada,Bo,Tove.", "people")
    chosen: list[DueCheck] = []
    left: list[tuple[DueCheck, str]] = []
    for item in due:
        if why := _why_left(chosen, item, len(people), seconds):
            left.append((item, why))
        else:
            chosen.append(item)
    begin, bound, pieces = 0, 0, []
    for power in POWERS:
        mine = _in(power, chosen)
        found = _phase(mine, len(people), seed)
        pieces += _given_out(mine, found, people, begin)
        begin, bound = begin + found.makespan, bound + found.bound
    chance = None if seconds is None else chance_of(pieces, seconds, seed)
    return WorkPlan(begin, bound, chance, tuple(pieces), tuple(left))


def _why_left(
    chosen: Sequence[DueCheck], item: DueCheck, people: int, seconds: float | None
) -> str:
    """Why a check does not come into the plan beside those chosen; empty where it does."""
    hands = item.part_check.check.hands
    if hands > people:
        there = "nobody is" if not people else f"{people} {'is' if people == 1 else 'are'}"
        return f"needs {counted(hands, 'person', 'people')}, {there} present"
    if seconds is None:
        return ""
    with_it = [*chosen, item]
    wanted = sum(_phase(_in(power, with_it), people, 0, 0).makespan for power in POWERS)
    if wanted <= seconds:
        return ""
    return f"no time: it would be done {math.ceil((wanted - seconds) / 60)} min too late"


def _in(power: str, items: Sequence[DueCheck]) -> list[DueCheck]:
    return [item for item in items if item.part_check.check.power == power]


def _phase(items: Sequence[DueCheck], people: int, seed: int, tries: int = 60) -> Schedule:
    """When each check of one power state starts, counted from its beginning."""
    tasks = []
    capacity = {PEOPLE: people, ENABLED: 1}
    for item in items:
        check, zone = item.part_check.check, f"zone {item.part_check.part.zone}"
        capacity[zone] = AT_A_ZONE
        needs = {PEOPLE: check.hands, zone: min(check.hands, AT_A_ZONE)}
        alone = {ENABLED: 1} if check.power == "enabled" else {}
        tasks.append(Task(item.key, math.ceil(check.minutes * 60), {**needs, **alone}))
    return schedule(tasks, capacity, seed, tries)


def _given_out(
    items: Sequence[DueCheck], found: Schedule, people: Sequence[str], begin: int
) -> list[Piece]:
    """The checks with the people who make them: who is free, best whoever stands there already."""
    free_at = dict.fromkeys(people, 0)
    stands = dict.fromkeys(people, "")
    pieces = []
    for item in sorted(items, key=lambda one: found.starts[one.key]):
        check, zone = item.part_check.check, item.part_check.part.zone
        start = found.starts[item.key]
        end = start + math.ceil(check.minutes * 60)
        free = sorted(
            (name for name in people if free_at[name] <= start),
            key=lambda name: (stands[name] != zone, free_at[name]),
        )
        mine = tuple(free[: check.hands])
        free_at |= dict.fromkeys(mine, end)
        stands |= dict.fromkeys(mine, zone)
        pieces.append(Piece(item, mine, begin + start, begin + end))
    return pieces


def chance_of(pieces: Sequence[Piece], seconds: float, seed: int = 1) -> float:
    """The chance that a plan is done in `seconds`, each check scattering about its usual minutes
    (log-normal, one in ten takes `SLOW` times as long), counted in `DRAWS` draws."""
    chance, spread, done = Random(seed), math.log(SLOW) / TENTH, 0
    before = [_before(piece, pieces) for piece in pieces]
    for _ in range(DRAWS):
        ends: dict[int, float] = {}
        for place, piece in enumerate(pieces):
            start = max((ends[other] for other in before[place]), default=0.0)
            usual = piece.end - piece.start
            ends[place] = start + usual * math.exp(chance.gauss(0.0, spread))
        done += max(ends.values(), default=0.0) <= seconds
    return done / DRAWS


def _before(piece: Piece, pieces: Sequence[Piece]) -> list[int]:
    """What must be over before a piece begins: all of the power state before, and what its people
    or its zone are busy with till then."""
    return [
        place
        for place, other in enumerate(pieces)
        if other is not piece
        and other.end <= piece.start
        and (
            other.power != piece.power
            or other.zone == piece.zone
            or set(other.people) & set(piece.people)
            or piece.power == ENABLED
        )
    ]


def plan_as_dict(plan: WorkPlan) -> Mapping[str, object]:
    """The plan as commands answer it; times in s from now."""
    return {
        "method": METHOD,
        "makespan": plan.makespan,
        "bound": plan.bound,
        "gap": plan.gap,
        "chance": plan.chance,
        "tasks": [
            {
                "key": piece.item.key,
                "part": piece.item.part_check.part.id,
                "people": list(piece.people),
                "start": piece.start,
                "end": piece.end,
                "power": piece.power,
                "zone": piece.zone,
            }
            for piece in plan.pieces
        ],
        "left_out": [
            {"key": item.key, "part": item.part_check.part.id, "why": why}
            for item, why in plan.left_out
        ],
    }


def plan_lines(plan: WorkPlan) -> list[str]:
    """The plan as the terminal prints it."""
    lines = [
        f"{_clock(piece.start)} to {_clock(piece.end)}  {', '.join(piece.people)}: "
        f"{piece.item.part_check.check.label}, {piece.item.part_check.part.label} ({piece.power})"
        for piece in plan.pieces
    ]
    total = counted(len(plan.pieces) + len(plan.left_out), "check")
    best = f"at most {plan.gap:.0%} longer than the best" if plan.gap else "no plan is shorter"
    lines.append(f"{len(plan.pieces)} of {total} in {_clock(plan.makespan)} min; {best}.")
    if plan.chance is not None:
        lines.append(f"All of it is done in time in {plan.chance:.0%} of cases.")
    for item, why in plan.left_out:
        check = item.part_check
        lines.append(f"left out: {check.check.label}, {check.part.label}: {why}")
    return lines


def _clock(seconds: int) -> str:
    return f"{seconds // 60}:{seconds % 60:02}"
