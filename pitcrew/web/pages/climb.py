"""Climb: whether the climb is cleared, what voided it, what is missing, the hold path, and every
climb-critical fact on one screen."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, render_template, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from pitcrew.base.entries import Entry
from pitcrew.base.seal import head_text
from pitcrew.domain.checks.limits import PartCheck
from pitcrew.domain.climb.basis import Blocker, climb_checks, critical_parts
from pitcrew.domain.climb.clearance import (
    ClimbClearance,
    past_clearances,
    second_names_wanted,
)
from pitcrew.domain.climb.endings import Doubt, doubts
from pitcrew.domain.climb.lowering import lowering_now
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
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.pinning import pin_may_travel
from pitcrew.web.request_context import device, looking, the_pit
from pitcrew.web.sign_forms import RefuseForm, SecondNameForm, SignForm

blueprint = Blueprint("climb", __name__, url_prefix="/climb")


@dataclass(frozen=True)
class PartFacts:
    """A climb-critical part with the last reading of each of its checks; None where a check was
    never done."""

    part: Part
    checks: tuple[tuple[PartCheck, ReadingFact | None], ...]


@dataclass(frozen=True)
class ClimbFacts:
    """All that the captain decides on, as of entry `head`; `missing` are (text, address), `since`
    is the work after the last signature."""

    clearance: ClimbClearance
    missing: tuple[tuple[str, str], ...]
    parts: tuple[PartFacts, ...]
    faults: tuple[Fault, ...]
    temporaries: tuple[TemporaryState, ...]
    since: tuple[Fact, ...]
    picture: PathPicture
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


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The facts, for everybody to read; for the captain also the signature."""
    return show()


@blueprint.get("/lowering")
@needs(*MEMBERS)
def lowering() -> ResponseReturnValue:
    """The lowering card: how a hanging robot comes down unpowered."""
    the_pit().reload()
    with looking() as view:
        card = lowering_now(view.moment)
    return render_template("climb/lowering.html", card=card)


@blueprint.get("/signatures")
@needs(*MEMBERS)
def signatures() -> ResponseReturnValue:
    """Every decision of the captain and how it ended."""
    the_pit().reload()
    with looking() as view:
        past = past_clearances(view.moment)
    return render_template("climb/signatures.html", past=past)


def show(
    forms: Mapping[str, FlaskForm] | None = None, arrived: tuple[Entry, ...] = (), status: int = 200
) -> ResponseReturnValue:
    """The page; `forms` are those that came back with something wrong, `arrived` is what came while
    the captain looked."""
    pit = the_pit()
    definitions = pit.reload()
    with looking() as view:
        facts = climb_facts(view)
    ready = {
        "sign": SignForm(prefix="sign-"),
        "refuse": RefuseForm(prefix="refuse-"),
        "second": SecondNameForm(prefix="second-"),
    }
    tried: dict[str, Any] = ready | dict(forms or {})
    for name in ("sign", "refuse"):
        tried[name].seen_seq.data = facts.head
        tried[name].seen_seq.raw_data = None
    return (
        render_template(
            "climb/climb.html",
            facts=facts,
            robot=definitions.robot,
            forms=tried,
            tried=forms or {},
            arrived=arrived,
            pin_safe=pin_may_travel(),
            has_pin=pit.pins.has(device().person),
        ),
        status,
    )


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
