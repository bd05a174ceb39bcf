"""The plan of the turnaround, asked from the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pitcrew.base.errors import OutOfRange
from pitcrew.cli.parts import FOLDER, JSON, example, json_text

if TYPE_CHECKING:
    from pitcrew.domain.now.workplan import WorkPlan

MOST_MINUTES = 24 * 60


def plan_of(folder: Path, at: str, minutes: float | None, people: str) -> WorkPlan:
    """The plan as at a time (empty: now). Without `minutes` the time until the robot is closed,
    five minutes before leaving. Raises BadInput and OutOfRange."""
    from pitcrew.base.clock import read_time, system_clock
    from pitcrew.domain.now.view import view_of
    from pitcrew.domain.now.workplan import CLOSED, work_plan
    from pitcrew.pit.pit import glance

    if minutes is not None and not 0 <= minutes <= MOST_MINUTES:
        raise OutOfRange(f"{minutes:g} min arrived; wanted 0 to {MOST_MINUTES} min.", "minutes")
    seen = glance(folder)
    view = view_of(seen.definitions, seen.state, read_time(at) if at else system_clock())
    left = view.turnaround.seconds_left
    seconds = None if left is None else max(0.0, left - CLOSED)
    if minutes is not None:
        seconds = 60 * minutes
    crew = seen.definitions.settings["crew"]
    names = [name.strip() for name in people.split(",")] if people else []
    return work_plan(view.due, names or [f"Person {n + 1}" for n in range(crew)], seconds)


@example("pitcrew plan our-season --minutes 12 --people Ada,Bo,Tove")
@click.command("plan")
@FOLDER
@click.option("--at", default="", help="As at that time: 2026-03-07T10:31Z. Else now.")
@click.option("--minutes", type=float, default=None, help="Minutes for it; else until leaving.")
@click.option("--people", default="", help="Who is present: Ada,Bo,Tove. Else the crew.")
@JSON
def plan_work(folder: Path, at: str, minutes: float | None, people: str, as_json: bool) -> None:
    """Who makes which due check when, and what is left out."""
    from pitcrew.domain.now.workplan import plan_as_dict, plan_lines

    found = plan_of(folder, at, minutes, people)
    click.echo(json_text(plan_as_dict(found)) if as_json else "\n".join(plan_lines(found)))
