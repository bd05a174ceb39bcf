"""What the Climb screen shows, on the laptop's page and on a phone on its own."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from flask import url_for

from pitcrew.base.seal import head_text
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.basis import Blocker, climb_checks, critical_parts
from pitcrew.domain.climb.clearance import (
    ClimbClearance,
    second_names_wanted,
)
from pitcrew.domain.climb.endings import Doubt, doubts
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.picture import PathPicture, picture_now
from pitcrew.domain.climb.proposals import definitions_wanted
from pitcrew.domain.climb.validity import ENDS, lasts
from pitcrew.domain.climb.withdrawn import WithdrawnStop, withdrawn_stops
from pitcrew.domain.climb.witness import Unwitnessed, unwitnessed
from pitcrew.domain.holding.asking import LOOK
from pitcrew.domain.logbook.facts import Fact, ReadingFact
from pitcrew.domain.logbook.faults import Fault
from pitcrew.domain.logbook.moment import Moment
from pitcrew.domain.logbook.runs import Run
from pitcrew.domain.logbook.secondnames import Wanted, failure_before
from pitcrew.domain.logbook.temporaries import TemporaryState
from pitcrew.domain.now.snapshot import href
from pitcrew.domain.now.view import PitView
from pitcrew.domain.robot.buildsheet import Part
from pitcrew.web.request_context import the_photos


@dataclass(frozen=True)
class PartFacts:
    """A climb-critical part with the last reading of each of its checks; None where a check was
    never done."""

    part: Part
    checks: tuple[tuple[PartCheck, ReadingFact | None], ...]


@dataclass(frozen=True)
class ClimbFacts:
    """All that the captain decides on, as of entry `head`; `missing` are (text, address), `since`
    is the work after the last signature; `photo`: the note of the path's photo at this event, the
    photo, and whether it has come over."""

    clearance: ClimbClearance
    missing: tuple[tuple[str, str], ...]
    parts: tuple[PartFacts, ...]
    faults: tuple[Fault, ...]
    temporaries: tuple[TemporaryState, ...]
    since: tuple[Fact, ...]
    picture: PathPicture
    photo: tuple[Fact, str, bool] | None
    lasts: str
    ends: str
    done: int
    asked: int
    signatures: int
    wanted: tuple[Wanted, ...]
    unwitnessed: tuple[Unwitnessed, ...]
    doubts: tuple[Doubt, ...]
    withdrawn: tuple[WithdrawnStop, ...]
    failure: str
    run: Run | None
    planned: bool
    head: int
    seal: str


def climb_facts(view: PitView) -> ClimbFacts:
    """The climb-critical facts for the run that is next."""
    moment, state, definitions = view.moment, view.state, view.definitions
    critical = critical_parts(moment)
    missing, asked = missing_for_climb(moment), climb_checks(definitions)
    last = next(
        (fact for fact in reversed(state.clearances) if fact.body.decision == "cleared"), None
    )
    since = [
        fact
        for part in critical
        for fact in _work_on(moment, part)
        if last is None or fact.seq > last.seq
    ]
    return ClimbFacts(
        clearance=view.clearance,
        missing=_missing_rows(missing),
        parts=_part_facts(moment),
        faults=tuple(
            fault for fault in moment.faults if fault.part in critical and not fault.closed
        ),
        temporaries=tuple(
            item for item in state.temporaries.values() if item.open and item.part in critical
        ),
        since=tuple(sorted(since, key=lambda fact: fact.seq)),
        picture=picture_now(moment),
        photo=_path_photo(moment),
        lasts=lasts(moment.run, definitions.settings["clearance_runs"]),
        ends=ENDS,
        done=len(asked) - len({item.key for item in missing} & {item.key for item in asked}),
        asked=len(asked),
        signatures=len(state.clearances),
        unwitnessed=tuple(unwitnessed(moment)),
        doubts=tuple(doubts(moment)),
        withdrawn=tuple(withdrawn_stops(moment)),
        wanted=(*second_names_wanted(moment), *definitions_wanted(moment)),
        failure=failure_before(moment, critical, None),
        run=moment.run,
        planned=moment.climb_planned(),
        head=state.head,
        seal=head_text(state.head, state.seal),
    )


def _path_photo(moment: Moment) -> tuple[Fact, str, bool] | None:
    critical, since = critical_parts(moment), moment.arrival
    for note in reversed(moment.mine(moment.state.notes)):
        if since is not None and note.at < since:
            return None
        if note.body.photos and note.body.part in critical:
            photo = note.body.photos[-1]
            return note, photo, the_photos().has(photo)
    return None


def _missing_rows(missing: Sequence[Blocker]) -> tuple[tuple[str, str], ...]:
    """What is missing with the page that it leads to; the rows of the inspection card stand
    together."""
    looks = [item for item in missing if item.key.startswith(f"{LOOK}@")]
    rest = [
        (item.text, href(item.kind, item.ref))
        for item in missing
        if len(looks) < 2 or item not in looks
    ]
    if len(looks) > 1:
        names = ", ".join(item.text.partition(", not computed")[0] for item in looks)
        rest.insert(
            0,
            (f"Look at {len(looks)} links, on one card: {names}.", url_for("walk.page", card=LOOK)),
        )
    return tuple(rest)


def _part_facts(moment: Moment) -> tuple[PartFacts, ...]:
    by_part: dict[str, list[tuple[PartCheck, ReadingFact | None]]] = defaultdict(list)
    for item in climb_checks(moment.definitions):
        by_part[item.part.id].append((item, moment.last_reading(item.key)))
    parts = moment.definitions.robot.parts.values() if moment.definitions.robot else ()
    return tuple(
        PartFacts(part, tuple(by_part[part.id]))
        for part in parts
        if part.climb_critical or part.id in by_part
    )


def _work_on(moment: Moment, part: str) -> list[Fact]:
    """The changes and repairs of a part."""
    repairs = [move for fault in moment.faults if fault.part == part for move in fault.repairs]
    return [*moment.mine(moment.state.part_changes.get(part, [])), *repairs]
