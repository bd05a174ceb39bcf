"""What goes wrong most: faults by subsystem, part and symptom, each with its counts, exposure and
exact interval.

Whoever looks at forty parts finds one that stands out by chance alone. So each count is held
against what it would be if every part failed alike, and the false discovery rate (Benjamini and
Hochberg 1995) says which of them really stand out.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.exposure import exposure_of, unit_of
from pitcrew.domain.patterns.figured import figured
from pitcrew.domain.patterns.frequency import Frequency, percent, rate_of, share_of
from pitcrew.domain.patterns.record import Record, Scope, kept
from pitcrew.domain.robot.wording import in_their_words, symptom_key

BY = ("subsystem", "part", "symptom")
FALSE_FINDINGS = 0.10
"""Of the rows said to stand out, at most this share is expected to do so by chance (common
practice)."""
GRADES = ("stop", "degraded", "watch")


@dataclass(frozen=True)
class Counted:
    """The faults of one part, subsystem or symptom. `outside`: those of no match that was played,
    left out of `often`.

    `p`: the chance of so many if all failed alike; `adjusted`: the same for so many looks; None for
    symptoms.
    """

    name: str
    label: str
    faults: tuple[Fault, ...]
    outside: tuple[Fault, ...]
    grades: dict[str, int]
    often: Frequency
    p: float | None = None
    adjusted: float | None = None

    @property
    def stands_out(self) -> bool:
        """Whether it fails more than its like, chance and the many looks allowed for."""
        return self.adjusted is not None and self.adjusted <= FALSE_FINDINGS


@dataclass(frozen=True)
class Ranking:
    """The rows, the most faults first. `looks`: how many parts or subsystems were held against the
    others."""

    by: str
    rows: tuple[Counted, ...]
    looks: int
    clean: Frequency

    @property
    def outside(self) -> int:
        """How many faults belong to no match that was played."""
        return sum(len(row.outside) for row in self.rows)

    @property
    def sentence(self) -> str:
        """What the many looks mean for the list."""
        if self.by == "symptom" or not self.rows or self.looks < 2:
            return ""
        found = sum(row.stands_out for row in self.rows)
        which = f"{found} of them stand out" if found else "none of them stands out"
        if found == 1:
            which = "1 of them stands out"
        return (
            f"{self.looks} {self.by}s were compared with each other; {which} from what chance alone"
            f" would give (false discovery rate at most {percent(FALSE_FINDINGS)},"
            " Benjamini-Hochberg on exact tests)."
        )


@kept
def ranking(record: Record, scope: Scope, by: str = "part") -> Ranking:
    """The faults that are looked at, counted by `subsystem`, `part` or `symptom`."""
    names: dict[str, Callable[[Fault], str]] = {
        "part": lambda fault: fault.part,
        "subsystem": lambda fault: subsystem(fault.part),
        "symptom": lambda fault: symptom_key(fault.symptom),
    }
    groups: dict[str, list[Fault]] = defaultdict(list)
    for fault in record.faults_in(scope):
        groups[names[by](fault)].append(fault)
    matches = {item.run.id for item in record.played_in(scope)}
    rows = [_counted(record, scope, by, name, faults, matches) for name, faults in groups.items()]
    looks = len(_looked_at(record, scope, by) | set(groups)) if by != "symptom" else len(rows)
    if by != "symptom":
        rows = _compared(rows, looks, len(matches))
    rows.sort(key=lambda row: (-len(row.faults), row.name))
    return Ranking(by, tuple(rows), looks, share_of(0, len(matches)))


def subsystem(part: str) -> str:
    """The first word of a part's id."""
    return part.partition(".")[0]


def grades_of(faults: Sequence[Fault]) -> dict[str, int]:
    """How many stopped it, how many only made it worse, how many are watched."""
    counts = Counter(fault.grade for fault in faults)
    return {grade: counts[grade] for grade in GRADES}


def _counted(
    record: Record, scope: Scope, by: str, name: str, faults: list[Fault], matches: set[str]
) -> Counted:
    inside = [fault for fault in faults if fault.match in matches]
    outside = tuple(fault for fault in faults if fault.match not in matches)
    unit = unit_of(record, name) if by == "part" else "match"
    exposure = exposure_of(record, scope, unit, name)
    if unit == "match" or not exposure.amount:
        often = share_of(len({fault.match for fault in inside}), len(matches))
    else:
        often = rate_of(len(inside), exposure.amount, unit)
    said = in_their_words(fault.symptom for fault in faults)
    label = {"part": record.label(name), "symptom": said}.get(by, name)
    return Counted(name, label, tuple(faults), outside, grades_of(faults), often)


def _looked_at(record: Record, scope: Scope, by: str) -> set[str]:
    """The parts or subsystems of the robots that are looked at."""
    parts = {
        part
        for name, robot in record.definitions.robots.items()
        if scope.has_robot(name)
        for part in robot.parts
        if scope.has_part(part)
    }
    return parts if by == "part" else {subsystem(part) for part in parts}


def _compared(rows: list[Counted], looks: int, matches: int) -> list[Counted]:
    """Each row against all the others together, which had `looks - 1` times its exposure."""
    from scipy.stats import false_discovery_control

    counts = [len(row.faults) - len(row.outside) for row in rows]
    total, mine, others = sum(counts), float(matches), float(matches * (looks - 1))
    if looks < 2 or not matches or not total:
        return rows
    p = [
        figured(
            "rate-compare", events1=count, exposure1=mine, events2=total - count, exposure2=others
        ).extras["p_higher"]
        for count in counts
    ]
    adjusted = false_discovery_control(p + [1.0] * (looks - len(p)))
    return [
        replace(row, p=one, adjusted=float(all_))
        for row, one, all_ in zip(rows, p, adjusted, strict=False)
    ]
