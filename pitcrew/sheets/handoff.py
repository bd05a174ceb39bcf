"""The handoff sheet: one or two pages for the next shift, the drive team or the safety captain,
from one moment of the pit.

The facts are the same for all three; their order and how many of them are printed differ.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pitcrew.base.clock import Clock, system_clock
from pitcrew.base.errors import UnknownName
from pitcrew.base.seal import head_text
from pitcrew.domain.climb.lowering import LoweringCard, lowering_now
from pitcrew.domain.climb.picture import PathPicture, picture_now
from pitcrew.domain.climb.validity import ENDS, lasts
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.now.history import last_handoff_seq
from pitcrew.domain.now.turnaround import Turnaround
from pitcrew.domain.now.view import PitView, view_of
from pitcrew.domain.robot.buildsheet import Robot
from pitcrew.pit.pit import glance
from pitcrew.sheets.fitting import fitted, lowering_height, path_height
from pitcrew.sheets.sections import Section, Sheet, clipped, section, when
from pitcrew.sheets.templates import printed

if TYPE_CHECKING:
    from jinja2 import Environment

MOST_REASONS = 6
BESIDE = "climb"
"""The section that is beside the hold path, where there is one."""


@dataclass(frozen=True)
class Audience:
    """Who reads the sheet: its title, its sections in order with the most rows of each, who signs,
    whether it shows the hold path instead of the robot map, and whether the lowering card stands on
    it."""

    title: str
    sections: tuple[tuple[str, int], ...]
    signatures: tuple[str, ...]
    path: bool = False
    lowering: bool = False


AUDIENCES: Mapping[str, Audience] = {
    "shift": Audience(
        "For the next shift",
        (
            ("open", 5),
            ("deferred", 4),
            ("unproven", 3),
            ("temporary", 4),
            ("climb", 5),
            ("batteries", 8),
            ("done", 8),
            ("near", 6),
            ("due", 18),
        ),
        ("Handed over by", "Taken over by"),
    ),
    "drivers": Audience(
        "For the drive team",
        (
            ("deferred", 5),
            ("open", 4),
            ("temporary", 4),
            ("climb", 2),
            ("batteries", 2),
            ("done", 4),
            ("due", 6),
        ),
        ("Crew", "Drive team"),
        lowering=True,
    ),
    "captain": Audience(
        "For the safety captain",
        (
            ("climb", 5),
            ("climb-readings", 99),
            ("open", 5),
            ("deferred", 4),
            ("unproven", 3),
            ("temporary", 4),
            ("done", 4),
        ),
        ("Pit lead", "Safety captain"),
        path=True,
    ),
}
CAUTIONS = (
    (
        "Hands in only with the breaker off, the battery unplugged and covered, the lift down or"
        " pinned, the air dumped, springs at rest."
    ),
    (
        'Eye protection on. Say "safe to enable" and wait for the answer; one person holds the'
        " disable key."
    ),
    (
        "pitcrew records and computes. Event rules, the makers' instructions and the adult in"
        " charge decide."
    ),
)


@dataclass(frozen=True)
class NextMatch:
    """The match that comes next, in the event's time: its label, likely start, when to leave, and
    how late the field is."""

    label: str
    start: str
    leave: str
    late_minutes: int


@dataclass(frozen=True)
class HandoffFacts:
    """Everything that one sheet says. `more_reasons` were left out; `head` ties the sheet to the
    logbook."""

    audience: str
    title: str
    team: str
    event: str
    made: str
    since: str
    paper: str
    readiness: str
    reasons: tuple[str, ...]
    more_reasons: int
    match: NextMatch | None
    robot: Robot | None
    zones: Sequence[Mapping[str, Any]]
    sections: tuple[Section, ...]
    signatures: tuple[str, ...]
    head: str
    picture: PathPicture | None = None
    lowering: LoweringCard | None = None
    validity: str = ""
    cautions: tuple[str, ...] = CAUTIONS


def handoff_facts(view: PitView, audience: str) -> HandoffFacts:
    """What a sheet says to an audience (`shift`, `drivers`, `captain`) now. Raises UnknownName."""
    if audience not in AUDIENCES:
        raise UnknownName("The audience", audience, AUDIENCES, "audience")
    reader, settings = AUDIENCES[audience], view.definitions.settings
    moment, state = view.moment, view.state
    sheet = Sheet(view, last_handoff_seq(state, audience))
    reasons = tuple(clipped(reason.text, 130) for reason in view.readiness.reasons)
    picture = picture_now(moment) if reader.path else None
    card = lowering_now(moment) if reader.lowering and moment.climb_planned() else None
    taken = (path_height(picture) if picture else 0.0) + (lowering_height(card) if card else 0.0)
    return HandoffFacts(
        audience=audience,
        title=reader.title,
        team=settings["team"],
        event=settings["event_label"] or settings["event"],
        made=_long_time(moment, view.now),
        since=_since(sheet),
        paper=settings["paper"],
        readiness=view.readiness.word,
        reasons=reasons[:MOST_REASONS],
        more_reasons=max(0, len(reasons) - MOST_REASONS),
        match=_next_match(moment, view.turnaround),
        robot=view.definitions.robot,
        zones=view.map_zones,
        sections=fitted(
            [section(name, sheet, most) for name, most in reader.sections],
            settings["paper"],
            taken,
            BESIDE if picture else "",
        ),
        signatures=reader.signatures,
        head=head_text(state.head, state.seal),
        picture=picture,
        lowering=card,
        validity=f"{lasts(moment.run, settings['clearance_runs'])} {ENDS}" if picture else "",
    )


def handoff_html(
    facts: HandoffFacts, stylesheet: str = "", environment: "Environment | None" = None
) -> str:
    """The sheet as a page of its own (`templates.printed`)."""
    return printed("handoff", stylesheet, environment, facts=facts)


def handoff_from_folder(
    folder: Path, audience: str, clock: Clock = system_clock
) -> tuple[str, str]:
    """The page and the head of a pit folder's sheet, read beside a running server. Raises Missing,
    Damaged and UnknownName."""
    seen = glance(folder)
    facts = handoff_facts(view_of(seen.definitions, seen.state, clock()), audience)
    return handoff_html(facts), facts.head


def _next_match(moment: Moment, plan: Turnaround) -> NextMatch | None:
    run = plan.run
    if run is None:
        return None
    late = (
        (plan.expected - run.planned).total_seconds() / 60 if plan.expected and run.planned else 0.0
    )
    start = when(moment, plan.expected) if plan.expected else ""
    return NextMatch(
        run.label, start, when(moment, plan.leave_at) if plan.leave_at else "", round(late)
    )


def _since(sheet: Sheet) -> str:
    """When the last sheet for these readers was made; empty before the first."""
    earlier = [fact for fact in sheet.view.state.handoffs if fact.seq == sheet.known]
    return when(sheet.view.moment, earlier[-1].at) if earlier else ""


def _long_time(moment: Moment, instant: datetime) -> str:
    """`Sat 2026-03-07, 14:52` in the event's zone."""
    from pitcrew.base.clock import zone

    local = instant.astimezone(zone(moment.state.zone))
    return f"{local:%a} {local.date().isoformat()}, {local:%H:%M}"
