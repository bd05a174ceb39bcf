"""The season report on paper: everything that Patterns says, with its counts, for mentors and for
the talk about next year's robot."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pitcrew.base.clock import Clock, system_clock, zone
from pitcrew.base.seal import head_text
from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.report import Report, report
from pitcrew.pit.pit import glance
from pitcrew.sheets.templates import printed

if TYPE_CHECKING:
    from jinja2 import Environment


@dataclass(frozen=True)
class SeasonFacts:
    """Everything that one report says. `looked_at`: the filters in words; `head` ties it to the
    logbook."""

    team: str
    robot: str
    looked_at: str
    made: str
    paper: str
    head: str
    report: Report


def season_facts(record: Record, scope: Scope) -> SeasonFacts:
    """What the report says of what is looked at."""
    definitions, state, settings = record.definitions, record.state, record.definitions.settings
    words = [
        scope.event and f"event {scope.event}",
        scope.season and f"season {scope.season}",
        scope.robot and f"robot {scope.robot}",
        scope.part and f"part {record.label(scope.part)}",
    ]
    local = record.now.astimezone(zone(state.zone))
    return SeasonFacts(
        team=settings["team"],
        robot=definitions.robot.label if definitions.robot else "",
        paper=settings["paper"],
        looked_at=", ".join(filter(None, words)) or "everything in the logbook",
        made=f"{local.date().isoformat()}, {local:%H:%M}",
        head=head_text(state.head, state.seal),
        report=report(record, scope),
    )


def season_html(
    facts: SeasonFacts, stylesheet: str = "", environment: "Environment | None" = None
) -> str:
    """The report as a page of its own (`templates.printed`)."""
    return printed("season", stylesheet, environment, facts=facts)


def season_from_folder(folder: Path, scope: Scope, clock: Clock = system_clock) -> str:
    """The page of a pit folder's report, read beside a running server. Raises Missing and
    Damaged."""
    seen = glance(folder)
    return season_html(season_facts(Record(seen.definitions, seen.state, clock()), scope))
