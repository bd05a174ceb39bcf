"""What a phone needs to work on its own: checks with their limits, faults, schedule, people and the
head, as plain data."""

from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.base.units import screen_name, show
from pitcrew.domain.batteries.fleet import Battery
from pitcrew.domain.checks.checklists import Input
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.checks.limits import PartCheck, limit_as_dict
from pitcrew.domain.checks.limitshape import range_text
from pitcrew.domain.checks.typedwindow import typed_limit
from pitcrew.domain.climb.compared import as_asked
from pitcrew.domain.climb.validity import lasts
from pitcrew.domain.event.debriefs import CLIMB_ROW, QUESTIONS, Question
from pitcrew.domain.logbook.climbs import HITS
from pitcrew.domain.logbook.facts import ReadingFact
from pitcrew.domain.logbook.faults import is_expired
from pitcrew.domain.logbook.state import State
from pitcrew.domain.now.due import DueCheck
from pitcrew.domain.now.readiness import Reason
from pitcrew.domain.now.snapshot_shape import (
    BatteryRow,
    CarriedBattery,
    CheckRow,
    ClearanceRow,
    DebriefRow,
    EventRow,
    FaultRow,
    InputRow,
    NextRun,
    PartRow,
    PersonRow,
    QuestionRow,
    ReadingRow,
    ReasonRow,
    RobotRow,
    Snapshot,
    TemporaryRow,
)
from pitcrew.domain.now.turnaround import Turnaround
from pitcrew.domain.now.view import PitView

Draw = Callable[[PartCheck], str]


def snapshot(
    view: PitView,
    *,
    log: str,
    person: tuple[str, str],
    people: list[PersonRow],
    draw: Draw,
) -> Snapshot:
    """The snapshot for one person (`name, role`). `draw` makes the SVG text of a check's
    drawing."""
    definitions, state = view.definitions, view.state
    due = {item.key: item for item in view.due}
    return {
        "log": log,
        "head": view.head,
        "now": format_instant(view.now),
        "event": _event(definitions),
        "units": definitions.settings["units"],
        "robot": _robot(view),
        "person": {"name": person[0], "role": person[1]},
        "next": _next(view.turnaround),
        "played": next((run.id for run, _ in reversed(view.moment.played)), None),
        "debrief": _debrief(definitions),
        "readiness": {
            "word": view.readiness.word,
            "reasons": [reason_as_dict(reason) for reason in view.readiness.reasons],
        },
        "checks": [
            _check(as_asked(view.moment, item), due.get(key), state, draw)
            for key, item in definitions.part_checks.items()
        ],
        "parts": _parts(definitions),
        "climb": _climb(view),
        "faults": list(_faults(view)),
        "temporaries": _temporaries(state),
        "batteries": [_battery(battery) for battery in view.fleet],
        "battery": _chosen(view.battery),
        "schedule": [
            {"run": run.id, "label": run.name, "planned": _instant(run.planned), "ours": run.ours}
            for run in state.runs_in_order()
        ],
        "people": people,
    }


def _temporaries(state: State) -> list[TemporaryRow]:
    """What is not undone yet."""
    return [
        {
            "id": item.id,
            "part": item.part,
            "what": item.what,
            "blocks": item.blocks,
            "person": item.person,
        }
        for item in state.temporaries.values()
        if item.open
    ]


def _event(definitions: Definitions) -> EventRow:
    settings = definitions.settings
    return {
        "name": settings["event"],
        "label": settings["event_label"] or settings["event"],
        "zone": settings["zone"],
    }


def _battery(battery: Battery) -> BatteryRow:
    return {
        "name": battery.name,
        "part": battery.part.id,
        "label": battery.part.label,
        "place": battery.place,
        "where": battery.where,
        "offered": battery.offered,
        "why": battery.why,
        "state": battery.state,
        "condition": battery.condition,
        "health": battery.health.word if battery.health else "",
        "evidence": battery.health.evidence if battery.health else "",
    }


def _chosen(battery: Battery | None) -> CarriedBattery | None:
    """The battery to carry next, or the one that the robot has already."""
    if battery is None:
        return None
    return {
        "name": battery.name,
        "label": battery.part.label,
        "offered": battery.offered,
        "says": battery.says,
    }


HREF = {
    "fault": "/faults/{}",
    "deferral": "/faults/{}",
    "check": "/walk?check={}",
    "zone": "/walk?zone={}",
    "temporary": "/temporary#{}",
    "battery": "/batteries#{}",
    "climb": "/climb",
    "mistake": "/mistakes",
    "schedule": "/schedule",
    "witness": "/witness#{}",
}


def href(kind: str, ref: str) -> str:
    """The page that a reason or a missing thing leads to."""
    from urllib.parse import quote

    return HREF.get(kind, "/now").format(quote(ref, safe=""))


def reason_as_dict(reason: Reason) -> ReasonRow:
    """A readiness reason with its link."""
    return {
        "text": reason.text,
        "kind": reason.kind,
        "ref": reason.ref,
        "href": href(reason.kind, reason.ref),
    }


def _robot(view: PitView) -> RobotRow | None:
    robot = view.definitions.robot
    if robot is None:
        return None
    return {
        "name": robot.name,
        "label": robot.label,
        "length": robot.length,
        "width": robot.width,
        "mass": robot.mass,
        "zones": view.map_zones,
    }


def _next(plan: Turnaround) -> NextRun | None:
    if plan.run is None:
        return None
    return {
        "run": plan.run.id,
        "label": plan.run.name,
        "planned": _instant(plan.run.planned),
        "expected": _instant(plan.expected),
        "leave_at": _instant(plan.leave_at),
        "back_at": _instant(plan.back_at),
    }


def _check(item: PartCheck, due: DueCheck | None, state: State, draw: Draw) -> CheckRow:
    check, part = item.check, item.part
    readings = state.readings.get(item.key, [])
    return {
        "key": item.key,
        "check": check.id,
        "part": part.id,
        "part_label": part.label,
        "zone": part.zone,
        "checklist": check.checklist,
        "label": check.label,
        "ask": check.ask,
        "how": check.how,
        "drawing": draw(item),
        "minutes": check.minutes,
        "hands": check.hands,
        "power": check.power,
        "cautions": list(check.cautions),
        "must": check.must,
        "climb_critical": part.climb_critical,
        "witness": check.witness,
        "accept": _accept(item),
        "inputs": [_input(field) for field in check.inputs],
        "limit": _limit(item),
        "unjudged_because": item.unjudged_because,
        "due": due is not None,
        "why": due.why if due else "",
        "last": _last(readings[-1]) if readings else None,
    }


def _last(reading: ReadingFact) -> ReadingRow:
    return {
        "verdict": reading.verdict,
        "sentence": reading.sentence,
        "at": format_instant(reading.at),
        "person": reading.person,
        "marks": list(reading.marks),
    }


def _limit(item: PartCheck) -> dict[str, Any] | None:
    """A check's limit without what its sentences hold already, and without sentences for verdicts
    that no answer of it has: a page is kept light."""
    if item.limit is None:
        return None
    plain = {
        name: value
        for name, value in limit_as_dict(item.limit).items()
        if name != "say" and value not in (None, "", [])
    }
    spoken = {verdict for answers in item.limit.answers.values() for verdict in answers.values()}
    kept = {f"answer_{verdict}" for verdict in (*spoken, *(["unjudged"] if spoken else []))}
    plain["guards"] = {name: guard for name, guard in plain["guards"].items() if guard}
    plain["sentences"] = {
        name: text
        for name, text in plain["sentences"].items()
        if name in kept or not name.startswith("answer_")
    }
    return plain


def _debrief(definitions: Definitions) -> DebriefRow:
    """What the drive team is asked, about the climb only where the robot is one that climbs; and
    which answers report a hit."""
    climb = CLIMB_ROW if definitions.settings["climb_planned"] else ()
    return {
        "questions": [_question(item) for item in QUESTIONS],
        "climb": [_question(item) for item in climb],
        "hits": [
            {"name": name, "given": given, "says": says} for name, (given, says) in HITS.items()
        ],
    }


def _question(asked: Question) -> QuestionRow:
    return {
        "name": asked.name,
        "ask": asked.ask,
        "kind": asked.kind,
        "options": asked.options,
    }


def _accept(item: PartCheck) -> str:
    """For which numbers a check is really ok; empty where what is judged is not typed itself."""
    numbers = {field.name: field for field in item.check.inputs if field.kind == "number"}
    limit = item.limit
    if limit is not None and (typed := typed_limit(limit)):
        return range_text(typed)
    if limit is None or not isinstance(limit.result, str) or limit.result not in numbers:
        return ""
    words = range_text(limit)
    if len(numbers) == 1 or not words:
        return words
    most: dict[str, float] = {}
    for name, sign, bound, _ in limit.stop_when:
        if isinstance(name, str) and name in numbers and sign == ">" and name != limit.result:
            most[name] = min(bound, most.get(name, bound))
    others = [
        f"{numbers[name].label}: at most {show(bound, numbers[name].unit)}"
        for name, bound in most.items()
    ]
    return "; ".join([f"{numbers[limit.result].label}: {words}", *others])


def _input(field: Input) -> InputRow:
    return {
        "name": field.name,
        "label": field.label,
        "kind": field.kind,
        "unit": field.unit,
        "unit_label": screen_name(field.unit) if field.unit else "",
        "least": field.least,
        "most": field.most,
        "options": list(field.options),
        "required": field.required,
    }


def _parts(definitions: Definitions) -> list[PartRow]:
    """Every part that a fault can be logged on."""
    parts = definitions.robot.parts.values() if definitions.robot else ()
    return [
        {
            "id": part.id,
            "label": part.label,
            "zone": part.zone,
            "climb_critical": part.climb_critical,
        }
        for part in parts
    ]


def _climb(view: PitView) -> ClearanceRow:
    """The climb clearance as it stands, to be read only."""
    found, runs = view.clearance, view.definitions.settings["clearance_runs"]
    return {
        "planned": bool(view.definitions.settings["climb_planned"]),
        "state": found.state,
        "why": found.why,
        "lasts": lasts(view.run, runs) if found.cleared else "",
        "person": found.fact.person if found.fact else "",
        "at": _instant(found.fact.at) if found.fact else None,
        "missing": [item.text for item in found.missing],
    }


def _faults(view: PitView) -> Iterable[FaultRow]:
    robot = view.definitions.robot
    parts = robot.parts if robot else {}
    for fault in view.state.faults.values():
        if fault.state in ("open", "deferred", "repaired"):
            label = parts[fault.part].label if fault.part in parts else fault.part
            deferral = fault.deferral
            yield {
                "id": fault.id,
                "part": fault.part,
                "part_label": label,
                "symptom": fault.symptom,
                "grade": fault.grade,
                "state": fault.state,
                "expired": is_expired(fault, view.state, view.run),
                "match": fault.match,
                "at": _instant(fault.at),
                "person": fault.person,
                "marks": list(fault.marks),
                "until": deferral.until if deferral else None,
                "restriction": deferral.restriction if deferral else "",
            }


def _instant(moment: datetime | None) -> str | None:
    return format_instant(moment) if moment else None
