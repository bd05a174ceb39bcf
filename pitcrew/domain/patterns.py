"""What the history says of faults: in how many matches each part and subsystem had one, and how sure that is.

A fault that belongs to no match (practice, at home) counts as a fault, with an exposure that nobody knows: it stays out of
the share of matches.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from pitcrew.domain.faults import Fault
from pitcrew.domain.moment import Moment
from pitcrew.engineering.catalogue import find

FEW = 20
"""Below this many matches the page says aloud that the data are few (common practice: no rate from fewer than 20 trials)."""


@dataclass(frozen=True)
class Share:
    """Matches with a fault out of those played: `low` and `high` bound the true share at 95 %, exact (Clopper-Pearson)."""

    hits: int
    tries: int
    low: float
    high: float

    @property
    def sentence(self) -> str:
        """The share in words, with how sure it is."""
        if not self.tries:
            return "No match has been played, so no share can be said."
        if not self.hits:
            return f"In none of {self.tries} matches; as often as {percent(self.high)} of matches is still possible."
        sure = f"the true share lies between {percent(self.low)} and {percent(self.high)} (95 sure in 100)"
        return f"In {self.hits} of {self.tries} matches, {percent(self.hits / self.tries)}; {sure}."


@dataclass(frozen=True)
class FaultCount:
    """The faults of one part or subsystem: all of them, those outside any match, and the share of matches that had one."""

    name: str
    faults: tuple[Fault, ...]
    outside: int
    share: Share

    @property
    def again(self) -> bool:
        """Whether it came back."""
        return len(self.faults) > 1


def share_of(hits: int, tries: int) -> Share:
    """A share with its exact interval at 95 %: two-sided, or the one-sided upper bound where nothing was hit."""
    if not tries:
        return Share(0, 0, 0.0, 1.0)
    extras = find("share-interval").compute({"hits": hits, "tries": tries}).extras
    return Share(hits, tries, extras["low"], extras["high"] if hits else extras["upper_one_sided"])


def faults_by_part(moment: Moment) -> list[FaultCount]:
    """The faults of each part that had any, the most frequent first."""
    return _counted(moment, lambda fault: fault.part)


def faults_by_subsystem(moment: Moment) -> list[FaultCount]:
    """The same for subsystems, the first words of the part ids."""
    return _counted(moment, lambda fault: fault.part.partition(".")[0])


def _counted(moment: Moment, name_of: Callable[[Fault], str]) -> list[FaultCount]:
    played = {run.id for run, _ in moment.played}
    groups: dict[str, list[Fault]] = defaultdict(list)
    for fault in moment.faults:
        groups[name_of(fault)].append(fault)
    found = [
        FaultCount(name, tuple(faults), sum(fault.match not in played for fault in faults),
                   share_of(len({fault.match for fault in faults} & played), len(played)))
        for name, faults in groups.items()
    ]
    return sorted(found, key=lambda count: (-len(count.faults), count.name))


def percent(share: float) -> str:
    """`8 %`: a share as whole percent, one decimal below 10."""
    return f"{share * 100:.0f} %" if share >= 0.0995 or share == 0 else f"{share * 100:.1f} %"
