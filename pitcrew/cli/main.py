"""The command line. Each command is short and calls the floor that does the work; modules are
imported when used."""

import json
from pathlib import Path
from typing import Any

import click

from pitcrew import __version__
from pitcrew.base.errors import BadInput, OutOfRange
from pitcrew.cli.building import blocks, build
from pitcrew.cli.parts import FINDING, FOLDER, JSON, Commands, FigureCommand, example, json_text
from pitcrew.cli.planning import plan_work
from pitcrew.cli.reports import checklists, export, patterns, sheet_season
from pitcrew.cli.rescue import adopt, certificates, recovery, verify


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option("--info", is_flag=True, help="Print versions and places, for a report.")
@click.version_option(__version__, "--version", message="%(version)s")
@click.pass_context
def main(ctx: click.Context, info: bool) -> None:
    """Walk a robot's pit crew through inspections, faults, climb clearance and handoffs between
    matches.

    \b
    Example:
      pitcrew demo
    """
    if info:
        from pitcrew.cli.about import info_lines

        click.echo("\n".join(info_lines()))
    elif ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


@example("pitcrew new our-season")
@main.command()
@FOLDER
@click.option("--team", default="", help="Your team's name or number.")
@click.option(
    "--zone", default="UTC", show_default=True, help="Time zone of the event, such as Europe/Oslo."
)
def new(folder: Path, team: str, zone: str) -> None:
    """Make a pit folder: checklists and an example build sheet. Edit them for your robot."""
    from pitcrew.base.clock import system_clock
    from pitcrew.base.clock import zone as known_zone
    from pitcrew.pit.folder import bundled_lists, bundled_sheets, make_folder
    from pitcrew.pit.recovery import write_recovery

    known_zone(zone)
    text = (
        f"team = {json.dumps(team, ensure_ascii=False)}\nzone = {json.dumps(zone)}\nevent ="
        ' "event"\n'
    )
    make_folder(folder, text, bundled_sheets(), bundled_lists())
    kept = write_recovery(folder, None, system_clock())
    click.echo(
        f"Made {folder}. Edit {folder}/robots/*.toml for your robot, look with `pitcrew mistakes"
        f" {folder}`, then `pitcrew serve {folder}`.\nMove {kept} to a memory stick: with it"
        " another laptop can take over. Refresh it after phones have joined: pitcrew recovery"
        f" {folder} -o FILE"
    )


@example("pitcrew demo --port 8800")
@main.command()
@click.argument("folder", type=click.Path(path_type=Path), default="demo-pit")
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=None,
    help="Port to listen on.  [default: 8765]",
)
@click.option("--no-open", is_flag=True, help="Do not open the browser of this laptop.")
@click.option("--fresh", is_flag=True, help="Throw the demo folder away and start over.")
def demo(folder: Path, port: int | None, no_open: bool, fresh: bool) -> None:
    """Make an invented event and serve it. FOLDER is demo-pit if you name none."""
    from pitcrew.cli.start import Options, start
    from pitcrew.demo import prepare

    click.echo(prepare(folder, fresh=fresh))
    start(folder, Options(port=port, open_browser=not no_open))


@example("pitcrew serve our-season")
@main.command()
@FOLDER
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=None,
    help="Port to listen on.  [default: 8765]",
)
@click.option(
    "--secure-port",
    type=click.IntRange(0, 65535),
    default=None,
    help="Port for https, 0 for none.  [default: 8443]",
)
@click.option("--cert", type=click.Path(path_type=Path), help="Certificate file (PEM), for tests.")
@click.option("--key", type=click.Path(path_type=Path), help="Key file (PEM), for tests.")
@click.option("--store", default=None, help="Where the logbook is kept, if not in the folder.")
@click.option("--hub", default=None, help="Be a copy of the pit laptop at this address.")
@click.option(
    "--hub-token", default=None, envvar="PITCREW_HUB_TOKEN", help="A join code or token of it."
)
def serve(folder: Path, **options: Any) -> None:
    """Serve a pit folder to the phones of the crew."""
    from pitcrew.cli.start import Options, start

    start(folder, Options(**options))


@example("pitcrew mistakes our-season")
@main.command()
@FOLDER
def mistakes(folder: Path) -> None:
    """List what is wrong in the pit folder's files. A line each: file, place, found, wanted,
    nearest name; exit 1 when there is any.

    Notices (what was read, and had better be written otherwise) come after them and leave the exit
    at 0.
    """
    from pitcrew.pit.folder import pit_keys, read_definitions

    pit_keys(folder)
    definitions = read_definitions(folder)
    for mistake in definitions.mistakes:
        click.echo(mistake.row())
    if not definitions.mistakes:
        click.echo("No mistakes.")
    for notice in definitions.notices:
        click.echo("\n".join(line for line in (f"notice: {notice.row()}", notice.shows) if line))
    if definitions.mistakes:
        raise SystemExit(FINDING)


@example("pitcrew limits our-season --json")
@main.command()
@FOLDER
@JSON
def limits(folder: Path, as_json: bool) -> None:
    """Every check with the limit computed for its part, and why."""
    from pitcrew.domain.checks.limits import limit_lines, limit_rows
    from pitcrew.pit.folder import pit_keys, read_definitions

    pit_keys(folder)
    definitions = read_definitions(folder)
    if as_json:
        click.echo(json_text(limit_rows(definitions)))
    else:
        click.echo(
            "\n".join(limit_lines(definitions))
            or f"No check fits a part. See: pitcrew mistakes {folder}"
        )


@example('pitcrew figure chain-slack span="412 mm" duty=shock')
@main.command(cls=FigureCommand)
@click.argument("name", required=False)
@click.argument("arguments", nargs=-1)
@click.option(
    "--list", "listing", is_flag=True, help="List every figure with its parameters and source."
)
@click.option(
    "--units",
    type=click.Choice(["si", "metric", "inch"]),
    default="si",
    show_default=True,
    help="Units of the text answer.",
)
@JSON
def figure(
    name: str | None, arguments: tuple[str, ...], listing: bool, units: str, as_json: bool
) -> None:
    """Compute one figure from its parameters. Quantities carry their unit, as "412 mm"; NAME --help
    shows a worked example."""
    from pitcrew.engineering import catalogue, printing

    if listing:
        found = catalogue.figures()
        click.echo(json_text(printing.list_json(found)) if as_json else printing.list_text(found))
        return
    if name is None:
        raise BadInput("Name a figure, or see them all with: pitcrew figure --list")
    chosen = catalogue.find(name)
    try:
        outcome = chosen.compute_typed(_pairs(arguments))
    except OutOfRange as error:
        raise OutOfRange(printing.refusal_text(chosen, error.sentence), error.field) from None
    click.echo(
        json_text(printing.outcome_json(chosen, outcome))
        if as_json
        else printing.outcome_text(chosen, outcome, units)
    )


@main.group()
def sheet() -> None:
    """Print a sheet as PDF."""


REPORTS = (blocks, build, checklists, plan_work, patterns, export)
for command in (*REPORTS, verify, recovery, adopt, certificates):
    main.add_command(command)
sheet.add_command(sheet_season)


@example("pitcrew sheet handoff our-season -o handoff.pdf")
@sheet.command("handoff")
@FOLDER
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), required=True, help="The PDF file to write."
)
@click.option(
    "--audience",
    type=click.Choice(["shift", "drivers", "captain"]),
    default="shift",
    show_default=True,
)
def sheet_handoff(folder: Path, output: Path, audience: str) -> None:
    """The handoff sheet: readiness, faults, what was done, what is due, batteries, signatures."""
    from pitcrew.cli.dispatch import run_command
    from pitcrew.sheets.handoff import handoff_from_folder
    from pitcrew.sheets.pdf import write_pdf

    html, head = handoff_from_folder(folder, audience)
    write_pdf(html, output)
    run_command(folder, "handoff-made", {"audience": audience, "head": head})
    click.echo(f"Wrote {output}.")


@example("pitcrew import-schedule our-season matches.csv")
@main.command("import-schedule")
@FOLDER
@click.argument("file", type=click.Path(path_type=Path))
def import_schedule(folder: Path, file: Path) -> None:
    """Store a match list (CSV). Its header names match, date, time and each station (red 1 …);
    works beside a running server."""
    from pitcrew.base.units import counted
    from pitcrew.cli.dispatch import run_command
    from pitcrew.pit.textfiles import read_text_file

    answer = run_command(folder, "import-schedule", {"text": read_text_file(file)})
    click.echo(
        f"{counted(answer['read'], 'match', 'matches')} read, {answer['changed']} new or changed."
    )
    for problem in answer["problems"]:
        click.echo(problem)
    if answer["problems"]:
        raise SystemExit(FINDING)


@example("pitcrew import-log our-season match-12.csv --match 12 --battery 4")
@main.command("import-log")
@FOLDER
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--match", default=None, help="The match: its number, or event/match/run.")
@click.option("--battery", required=True, help="The battery that was in the robot.")
@click.option(
    "--columns",
    default="",
    help="Headings not recognised, the clock's unit: time=…:ms,voltage=…,current=…",
)
@JSON
def import_log(
    folder: Path, file: Path, match: str | None, battery: str, columns: str, as_json: bool
) -> None:
    """Read a robot's log (CSV). Sag, brown-outs, charge, resistance; the same file again adds
    nothing, with --columns it corrects."""
    from pitcrew.cli.dispatch import run_command
    from pitcrew.robotlog.sentences import log_lines

    named = _pairs(tuple(filter(None, columns.split(","))))
    answer = run_command(
        folder,
        "import-log",
        {"path": str(file.absolute()), "battery": battery, "match": match, "columns": named},
    )
    click.echo(json_text(answer) if as_json else "\n".join(log_lines(answer)))


@example("pitcrew next-battery our-season --json")
@main.command("next-battery")
@FOLDER
@click.option(
    "--plan", "ahead", is_flag=True, help="A battery for each of the coming matches instead."
)
@JSON
def next_battery(folder: Path, ahead: bool, as_json: bool) -> None:
    """Which battery to carry next, ranked with reasons."""
    from pitcrew.base.clock import system_clock
    from pitcrew.domain.batteries.nextbattery import (
        as_rows,
        candidates,
        plan,
        plan_rows,
        row_lines,
    )
    from pitcrew.domain.now.view import view_of
    from pitcrew.pit.pit import glance

    seen = glance(folder)
    view = view_of(seen.definitions, seen.state, system_clock())
    asked = view.moment, view.fleet
    rows = plan_rows(plan(*asked)) if ahead else as_rows(candidates(*asked))
    nothing = "No match is ahead." if ahead else "The build sheet has no batteries."
    click.echo(json_text(rows) if as_json else "\n".join(row_lines(rows)) or nothing)


@example("pitcrew code our-season --role captain")
@main.command()
@FOLDER
@click.option("--role", default="crew", show_default=True, help="crew, captain, mentor or lead.")
def code(folder: Path, role: str) -> None:
    """A fresh join code. Works beside a running server."""
    from pitcrew.cli.dispatch import run_command

    answer = run_command(folder, "code", {"role": role})
    click.echo(f"{answer['code']}  (joins as {answer['role']}, good for {answer['minutes']} min)")


@example("pitcrew clearance our-season --json")
@main.command()
@FOLDER
@JSON
def clearance(folder: Path, as_json: bool) -> None:
    """Whether the robot may climb. Who signed, what voided it, what is missing, and the hold
    path."""
    from pitcrew.base.clock import system_clock
    from pitcrew.domain.climb.report import clearance_lines, clearance_report
    from pitcrew.domain.logbook.moment import moment_now
    from pitcrew.pit.pit import glance

    seen = glance(folder)
    moment = moment_now(seen.definitions, seen.state, system_clock())
    if as_json:
        click.echo(json_text(clearance_report(moment)))
    else:
        click.echo("\n".join(clearance_lines(moment)))


@example("pitcrew people our-season")
@main.command()
@FOLDER
@JSON
def people(folder: Path, as_json: bool) -> None:
    """Who has joined, and when each device was last heard."""
    from pitcrew.pit.people_report import roll_call

    found = roll_call(folder)
    lines = "\n".join(item.line() for item in found) or "Nobody has joined."
    click.echo(json_text([item.as_dict() for item in found]) if as_json else lines)


@example("pitcrew schema entries")
@main.command()
@click.argument("what", type=click.Choice(["entries", "settings", "robot", "checklist", "spares"]))
def schema(what: str) -> None:
    """Print a JSON Schema of entries or of a file. With the schema of a pit
    file, an editor completes and checks it."""
    if what == "entries":
        from pitcrew.base.entries import schemas

        click.echo(json_text(schemas()))
    else:
        from pitcrew.domain.checks.schema import schemas as file_schemas

        click.echo(json_text(file_schemas()[what]))


def _pairs(arguments: tuple[str, ...]) -> dict[str, str]:
    pairs = {}
    for argument in arguments:
        name, mark, value = argument.partition("=")
        if not mark or not name:
            raise BadInput(f'{argument!r} is not name=value. Write for example span="412 mm".')
        if name in pairs:
            raise BadInput(f"{name} is given twice. Give it once.", name)
        pairs[name] = value
    return pairs
