"""The climb clearance as plain data and as lines of text, for `pitcrew clearance`."""

from typing import Any

from pitcrew.base.entries import Entry
from pitcrew.base.units import number_text, render, screen_unit, show
from pitcrew.base.unittable import SI_UNIT
from pitcrew.domain.climb.clearance import climb_clearance
from pitcrew.domain.climb.hold import Inspection, hold_path_of, inspection_of
from pitcrew.domain.climb.withdrawn import withdrawn_stops
from pitcrew.domain.holding.links import HoldPath, Link, PathInput
from pitcrew.domain.logbook.moment import Moment

DIMENSION = {
    unit: dimension
    for dimension, unit in SI_UNIT.items()
    if dimension in ("force", "torque", "length")
}


def clearance_report(moment: Moment) -> dict[str, Any]:
    """State, signature, what voided it, what is missing, and the hold path; loads and strengths in
    SI."""
    found, path = climb_clearance(moment), hold_path_of(moment)
    units = moment.definitions.settings["units"]
    return {
        "state": found.state,
        "why": found.why,
        "signed_by": found.fact.person if found.fact else None,
        "signed_seq": found.fact.seq if found.fact else None,
        "voided_by": _entry(found.voided_by) if found.voided_by else None,
        "missing": [
            {"text": item.text, "key": item.key, "kind": item.kind, "ref": item.ref}
            for item in found.missing
        ],
        "withdrawn": [
            {"text": stop.sentence, "part": stop.part, "seq": stop.correction.seq}
            for stop in withdrawn_stops(moment)
        ],
        "device": path.device or None,
        "sinks": path.sinks or None,
        "links": [link_as_dict(link, inspection_of(moment, link), units) for link in path.links],
        "not_stated": list(path.not_stated),
        "weakest": path.weakest.name if path.weakest else None,
        "loads": vars(path.loads) if path.loads else None,
    }


def clearance_lines(moment: Moment) -> list[str]:
    """The same for a terminal."""
    report, units = clearance_report(moment), moment.definitions.settings["units"]
    signed = (
        f" Decided by {report['signed_by']}, entry {report['signed_seq']}."
        if report["signed_by"]
        else ""
    )
    lines = [f"{report['state']}. {report['why']}{signed}".replace(". .", ".")]
    lines += [f"  missing: {item['text']}" for item in report["missing"]]
    path = hold_path_of(moment)
    lines += [f"  {link_text(link, inspection_of(moment, link), units)}" for link in path.links]
    lines += [f"  not stated: {name}" for name in path.not_stated]
    return [*lines, _weakest_text(path), *([path.sinks] if path.sinks else [])]


def link_as_dict(link: Link, inspection: Inspection | None, units: str) -> dict[str, Any]:
    """One link: load and strength in `unit`, factor and the one that it needs, null where nothing
    is computed."""
    return {
        "name": link.name,
        "part": link.part,
        "kind": link.kind,
        "load": link.load,
        "strength": link.strength,
        "factor": link.factor,
        "required": link.required,
        "rule": link.rule,
        "unit": link.unit,
        "computed": link.computed,
        "holds": link.holds,
        "because": render(link.because, units),
        "needs": list(link.needs),
        "inspection_key": link.inspection_key or None,
        "inspection": _inspection(inspection),
        "inputs": [_input(item) for item in link.inputs],
    }


def _input(item: PathInput) -> dict[str, Any]:
    return {
        "name": item.name,
        "label": item.label,
        "value": item.value,
        "unit": item.unit,
        "origin": item.origin,
        "when": item.when.isoformat() if item.when else None,
        "by": item.by or None,
        "stated": item.stated,
    }


def _inspection(seen: Inspection | None) -> dict[str, Any] | None:
    return (
        None
        if seen is None
        else {"key": seen.key, "verdict": seen.verdict, "at": seen.at.isoformat(), "by": seen.by}
    )


def link_text(link: Link, seen: Inspection | None, units: str) -> str:
    """A link in one line: its numbers, or who looked at it."""
    lacks = f"; not stated: {'; '.join(link.needs)}" if link.needs else ""
    if not link.computed:
        looked = f" Looked at by {seen.by}: {seen.verdict}." if seen else ""
        return f"{link.name}: {render(link.because, units)}{looked}{lacks}"
    unit = screen_unit(DIMENSION[link.unit], units)
    return (
        f"{link.name}: {show(link.load or 0, unit)} of {show(link.strength or 0, unit)}, "
        f"factor {number_text(link.factor or 0)}, needs {number_text(link.required or 0)}{lacks}"
    )


def _weakest_text(path: HoldPath) -> str:
    if path.weakest is None:
        return path.why or "No link is computed."
    link = path.weakest
    factor, needs = number_text(link.factor or 0), number_text(link.required or 0)
    return f"Weakest link: {link.name}, factor {factor}, needs {needs}."


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "seq": entry.seq,
        "id": entry.id,
        "kind": entry.kind,
        "part": entry.body.get("part"),
        "person": entry.person,
    }
