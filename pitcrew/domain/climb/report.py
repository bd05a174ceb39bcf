"""The climb clearance as plain data and as lines of text, for `pitcrew clearance`."""

from datetime import datetime
from typing import Any

from pitcrew.base.entries import Entry
from pitcrew.base.units import number_text, render, screen_unit, show
from pitcrew.domain.checks.definitions import Definitions
from pitcrew.domain.climb.clearance import climb_clearance
from pitcrew.domain.climb.holdchain import HoldChain, Link, hold_chain
from pitcrew.domain.logbook.schedule import next_run
from pitcrew.domain.logbook.state import State


def clearance_report(definitions: Definitions, state: State, now: datetime) -> dict[str, Any]:
    """State, signature, what voided it, what is missing, and the hold chain; loads and strengths in SI."""
    found = climb_clearance(definitions, state, now, next_run(state, now))
    chain = hold_chain(definitions.robot, definitions.settings)
    return {
        "state": found.state, "why": found.why,
        "signed_by": found.fact.person if found.fact else None, "signed_seq": found.fact.seq if found.fact else None,
        "voided_by": _entry(found.voided_by) if found.voided_by else None,
        "missing": [{"text": item.text, "key": item.key, "kind": item.kind, "ref": item.ref} for item in found.missing],
        "chain": [link_as_dict(link, definitions.settings["units"]) for link in chain.links],
        "weakest": chain.weakest.name if chain.weakest else None,
        "loads": _loads(chain),
    }


def clearance_lines(definitions: Definitions, state: State, now: datetime) -> list[str]:
    """The same for a terminal."""
    report, units = clearance_report(definitions, state, now), definitions.settings["units"]
    signed = f" Decided by {report['signed_by']}, entry {report['signed_seq']}." if report["signed_by"] else ""
    lines = [f"{report['state']}. {report['why']}{signed}".replace(". .", ".")]
    lines += [f"  missing: {item['text']}" for item in report["missing"]]
    chain = hold_chain(definitions.robot, definitions.settings)
    lines += [f"  {_link_text(link, units)}" for link in chain.links]
    return [*lines, f"Weakest computed link: {report['weakest'] or chain.why or 'none'}"]


def link_as_dict(link: Link, units: str) -> dict[str, Any]:
    """One link: load and strength in `unit`, factor and the wanted factor, null where nothing is computed."""
    return {
        "name": link.name, "part": link.part, "load": link.load, "strength": link.strength, "factor": link.factor,
        "required": link.required, "unit": link.unit, "computed": link.computed, "because": render(link.because, units),
    }


def _link_text(link: Link, units: str) -> str:
    if not link.computed:
        return f"{link.name}: {render(link.because, units)}"
    unit = screen_unit("force" if link.unit == "N" else "torque", units)
    return (
        f"{link.name}: {show(link.load or 0, unit)} of {show(link.strength or 0, unit)}, factor {number_text(link.factor or 0)}, "
        f"wanted {number_text(link.required or 0)}"
    )


def _loads(chain: HoldChain) -> dict[str, Any] | None:
    if chain.loads is None:
        return None
    return {name: value for name, value in vars(chain.loads).items() if name != "because"}


def _entry(entry: Entry) -> dict[str, Any]:
    return {"seq": entry.seq, "id": entry.id, "kind": entry.kind, "part": entry.body.get("part"), "person": entry.person}
