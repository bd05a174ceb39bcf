"""Everything that the Patterns page says, in one value and as plain data: each number with its
count, exposure and entries."""

from dataclasses import dataclass, fields, is_dataclass
from datetime import datetime
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.domain.checks.limits import Limit, PartCheck, limit_as_dict
from pitcrew.domain.logbook.facts import Fact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.patterns.betterment import Betterment, betterment
from pitcrew.domain.patterns.checkyield import Uncovered, Worth, checkworth, uncovered
from pitcrew.domain.patterns.compare import Side, sides
from pitcrew.domain.patterns.exposure import MEANINGS, Exposure, exposure_of
from pitcrew.domain.patterns.fixes import Comparison, Holding, comparisons, holdings
from pitcrew.domain.patterns.frequency import FEW, exposure_text
from pitcrew.domain.patterns.ranking import BY, Ranking, ranking
from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.repeats import (
    Decision,
    Repeat,
    Suggestion,
    decisions,
    repeats,
    suggestions,
)
from pitcrew.domain.patterns.stock import AHEAD, Carry, carry
from pitcrew.domain.patterns.together import Together, together
from pitcrew.domain.patterns.wear import wear
from pitcrew.domain.patterns.wearline import Wear


@dataclass(frozen=True)
class Report:
    """All patterns of what is looked at."""

    scope: Scope
    exposures: tuple[Exposure, ...]
    rankings: dict[str, Ranking]
    betterment: Betterment
    repeats: tuple[Repeat, ...]
    suggestions: tuple[Suggestion, ...]
    decisions: tuple[Decision, ...]
    together: tuple[Together, ...]
    holdings: tuple[Holding, ...]
    comparisons: tuple[Comparison, ...]
    wear: tuple[Wear, ...]
    carry: Carry
    checks: tuple[Worth, ...]
    uncovered: tuple[Uncovered, ...]
    sides: dict[str, list[Side]]

    @property
    def few(self) -> str:
        """What has to be said aloud where the data are few; empty where they are not."""
        matches = self.exposures[0].amount
        few = f"{exposure_text(matches, 'match')} {'is' if matches == 1 else 'are'} few"
        return (
            f"{few}: take every number as a hint, and look at the range beside it."
            if matches < FEW
            else ""
        )


def report(record: Record, scope: Scope, ahead: int = AHEAD) -> Report:
    """Everything at once, for the command line, the season report and tests; pages ask for the
    parts that they show."""
    return Report(
        scope=scope,
        exposures=tuple(exposure_of(record, scope, unit) for unit in ("match", "climb", "hour")),
        rankings={by: ranking(record, scope, by) for by in BY},
        betterment=betterment(record, scope),
        repeats=tuple(repeats(record, scope)),
        suggestions=tuple(suggestions(record, scope)),
        decisions=tuple(decisions(record, scope)),
        together=tuple(together(record, scope)),
        holdings=tuple(holdings(record, scope)),
        comparisons=tuple(comparisons(record, scope)),
        wear=tuple(wear(record, scope)),
        carry=carry(record, scope, ahead),
        checks=tuple(checkworth(record, scope)),
        uncovered=tuple(uncovered(record, scope)),
        sides=sides(record, scope),
    )


def as_data(found: Report) -> dict[str, Any]:
    """The report for other programs: SI numbers, entry ids behind each, sentences as on screen."""
    return {**plain(found), "few": found.few, "exposure_means": MEANINGS}


SAID = (
    "sentence",
    "growth_sentence",
    "arrangement_sentence",
    "advice",
    "stands_out",
    "raised",
    "few",
    "value",
    "reorder",
    "drifts",
    "tells",
    "words",
    "counts",
    "alarm",
    "differ",
    "differs",
    "failed",
    "outside",
)
"""Properties that are beside the fields of a value."""


def plain(value: Any) -> Any:
    """Any value of a report as JSON can hold it; faults and facts by what names them."""
    if isinstance(value, Fault):
        return {"entry": value.id} | {
            name: getattr(value, name) for name in ("part", "symptom", "grade", "match", "state")
        }
    if isinstance(value, Fact):
        return {
            "entry": value.id,
            "kind": value.entry.kind,
            "match": value.match,
            "at": format_instant(value.at),
        }
    if isinstance(value, PartCheck):
        return value.key
    if isinstance(value, Run):
        return value.id
    if isinstance(value, Limit):
        return limit_as_dict(value)
    if isinstance(value, datetime):
        return format_instant(value)
    if is_dataclass(value) and not isinstance(value, type):
        said = {
            name: getattr(value, name)
            for name in SAID
            if isinstance(getattr(type(value), name, None), property)
        }
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)} | said
    if isinstance(value, dict):
        return {str(name): plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return value.item() if hasattr(value, "item") else value
