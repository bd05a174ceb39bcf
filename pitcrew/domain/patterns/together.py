"""What came back, one part at a time: all its faults in whatever words, and the fixes that did not
hold.

Five rows with five wordings of one bad camera look like five small things; together they are one
big one.
"""

from collections import defaultdict
from dataclasses import dataclass

from pitcrew.base.units import counted
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.patterns.fixes import fixes
from pitcrew.domain.patterns.record import Record, Scope, kept
from pitcrew.domain.patterns.repeats import Repeat, repeats
from pitcrew.domain.robot.wording import wordings


@dataclass(frozen=True)
class Together:
    """One part: what came back of it, all its faults in order of time, their wordings with the most
    used first, and how many fixes the same failure ended."""

    part: str
    label: str
    repeats: tuple[Repeat, ...]
    faults: tuple[Fault, ...]
    wordings: tuple[tuple[str, int], ...]
    failed: int

    @property
    def words(self) -> str:
        """What the crew called it most."""
        return self.wordings[0][0]

    @property
    def raised(self) -> bool:
        """Whether `no fault found` was logged twice for what keeps coming back."""
        return any(item.raised for item in self.repeats)

    @property
    def counts(self) -> str:
        """`21 faults, 8 wordings, 13 fixes failed`."""
        failed = (
            f"{counted(self.failed, 'fix', 'fixes')} failed" if self.failed else "no fix failed"
        )
        return (
            f"{counted(len(self.faults), 'fault')}, {counted(len(self.wordings), 'wording')},"
            f" {failed}"
        )

    @property
    def sentence(self) -> str:
        """The counts, and how often each thing came back."""
        if len(self.repeats) == 1:
            return f"{self.counts}. {self.repeats[0].sentence}"
        each = " ".join(
            f"{item.group.words}: {item.sentence[0].lower()}{item.sentence[1:]}"
            for item in self.repeats
        )
        return f"{self.counts}. {each}"


@kept
def together(record: Record, scope: Scope) -> list[Together]:
    """What came back, by part, the most faults first."""
    came_back: dict[str, list[Repeat]] = defaultdict(list)
    for item in repeats(record, scope):
        came_back[item.group.part].append(item)
    faults: dict[str, list[Fault]] = defaultdict(list)
    for fault in record.faults_in(scope):
        faults[fault.part].append(fault)
    failed: dict[str, int] = defaultdict(int)
    for fix in fixes(record, scope):
        failed[fix.fault.part] += fix.failed
    found = [
        Together(
            part,
            record.label(part),
            tuple(items),
            tuple(sorted(faults[part], key=lambda fault: (fault.at, fault.id))),
            tuple(wordings(fault.symptom for fault in faults[part])),
            failed[part],
        )
        for part, items in came_back.items()
    ]
    return sorted(found, key=lambda item: (-len(item.faults), item.part))
