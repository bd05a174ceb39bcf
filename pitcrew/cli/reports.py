"""The commands that report on a season: patterns, the export of the entries, and the season
report."""

from pathlib import Path

import click

from pitcrew.cli.parts import FOLDER, JSON, example, json_text

EVENT = click.option("--event", default="", help="One event: the first part of its match runs.")
PART = click.option(
    "--part", default="", help="One part, or the first words of its id, such as lift."
)


@example("pitcrew patterns our-season --event fjord --json")
@click.command()
@click.argument(
    "folders", metavar="FOLDER...", type=click.Path(path_type=Path), nargs=-1, required=True
)
@EVENT
@PART
@click.option(
    "--ahead",
    type=click.IntRange(1, 60),
    default=6,
    show_default=True,
    help="Forecasts for so many matches.",
)
@JSON
def patterns(folders: tuple[Path, ...], event: str, part: str, ahead: int, as_json: bool) -> None:
    """What comes back, which fix held, what wears. Each with its count and how sure it is; several
    FOLDERs are compared."""
    from pitcrew.base.clock import system_clock
    from pitcrew.domain.patterns.record import Record, Scope, unknown_names
    from pitcrew.domain.patterns.telling import folders_data, folders_lines
    from pitcrew.pit.pit import glance

    records = {}
    for folder in folders:
        seen = glance(folder)
        records[str(folder)] = Record(seen.definitions, seen.state, system_clock())
    scope = Scope(event=event, part=part)
    for sentence in unknown_names(records.values(), scope):
        click.echo(sentence, err=True)
    answer = (folders_data if as_json else folders_lines)(records, scope, ahead)
    click.echo(json_text(answer) if as_json else "\n".join(answer))


@example("pitcrew checklists our-season --update")
@click.command()
@FOLDER
@click.option(
    "--update", is_flag=True, help="Replace the copies that nobody changed by this program's lists."
)
@JSON
def checklists(folder: Path, update: bool, as_json: bool) -> None:
    """Your copies of checklists beside this program's.

    What you edited stays and is shown side by side. What the climb hangs on then waits for two
    people, as after every change of a file.
    """
    from pitcrew.pit.shipped import copies, copies_data, copies_lines, replace_older

    for name in replace_older(folder) if update else ():
        click.echo(f"Replaced checklists/{name}.", err=as_json)
    found = copies(folder)
    click.echo(json_text(copies_data(found)) if as_json else "\n".join(copies_lines(found, folder)))


@example("pitcrew export our-season season.csv")
@click.command()
@FOLDER
@click.argument("file", type=click.Path(path_type=Path))
def export(folder: Path, file: Path) -> None:
    """Write all entries as CSV or JSON Lines. What the columns mean goes beside it, to
    season.dictionary.md in the example."""
    from pitcrew.pit.export import export_folder

    for path in export_folder(folder, file):
        click.echo(f"Wrote {path}.")


@example("pitcrew sheet season our-season -o season.pdf")
@click.command("season")
@FOLDER
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), required=True, help="The PDF file to write."
)
@EVENT
@PART
def sheet_season(folder: Path, output: Path, event: str, part: str) -> None:
    """The season report: everything that Patterns says, with its counts."""
    from pitcrew.domain.patterns.record import Scope
    from pitcrew.sheets.pdf import write_pdf
    from pitcrew.sheets.season import season_from_folder

    write_pdf(season_from_folder(folder, Scope(event=event, part=part)), output)
    click.echo(f"Wrote {output}.")
