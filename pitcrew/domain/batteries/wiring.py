"""Battery and wiring by the robot's logs: what the wiring adds to a battery, and since which match
more than before."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from pitcrew.domain.logbook.facts import Fact

_FEWEST_BEFORE = 3
_RISE, _SPREADS = 0.08, 3.0
"""A rise that counts: over 8 % and over three spreads of the logs before."""


@dataclass(frozen=True)
class Rise:
    """The log since which battery and wiring stand higher, and what was usual in ohm `before` and
    is `after`."""

    since: Fact
    before: float
    after: float


def logs_that_count(logs: Sequence[Fact], rose: Rise | None) -> list[Fact]:
    """The logs that show the wiring as it is now: those since it rose, if it did."""
    known = [fact for fact in logs if fact.body.resistance is not None]
    return known[known.index(rose.since) :] if rose else known


def added_by_wiring(logs: Sequence[Fact], measured: Mapping[str, float]) -> float:
    """What the wiring adds in ohm: the middle difference between the logs' resistance and that of
    the battery by its tester."""
    found = [
        fact.body.resistance - measured[fact.body.battery]
        for fact in logs
        if fact.body.battery in measured
    ]
    return max(0.0, float(median(found))) if found else 0.0


def resistance_rose(logs: Sequence[Fact], measured: Mapping[str, float]) -> Rise | None:
    """The rise beyond the spread of the logs before it, if it lasts until now; None where none
    does. `measured`: the batteries' resistance by their tester in ohm, so that a poorer battery
    does not pass for a loose lug."""
    known = [fact for fact in logs if fact.body.resistance is not None]
    usual = median(measured.values()) if measured else 0.0
    values = [
        float(fact.body.resistance) - measured.get(fact.body.battery, usual) + usual
        for fact in known
    ]
    for at in range(_FEWEST_BEFORE, len(values)):
        middle = median(values[:at])
        spread = 1.4826 * median(abs(value - middle) for value in values[:at])
        if min(values[at:]) > middle + max(_SPREADS * spread, _RISE * middle):
            return Rise(known[at], middle, median(values[at:]))
    return None
