"""The commands that make a robot from blocks, without a browser."""

from pathlib import Path

import click

from pitcrew.cli.parts import FINDING, FOLDER, JSON, example, json_text


@example("pitcrew blocks --json")
@click.command()
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@JSON
def blocks(folder: Path | None, as_json: bool) -> None:
    """The blocks to build a robot from, with their questions.

    With FOLDER also its own, from checklists/blocks/ in it.
    """
    from pitcrew.builder.blocks import block_data, block_lines
    from pitcrew.pit.building import read_blocks

    found, mistakes = read_blocks(folder)
    if as_json:
        click.echo(json_text([block_data(block) for block in found.values()]))
    else:
        click.echo("\n".join(line for block in found.values() for line in block_lines(block)))
    for mistake in mistakes:
        click.echo(mistake.row(), err=True)
    if mistakes:
        raise SystemExit(FINDING)


@example("pitcrew build our-season --answers heron.toml")
@click.command()
@FOLDER
@click.option(
    "--answers",
    type=click.Path(path_type=Path),
    required=True,
    help="The answers: [[block]] with name, count, label and [block.answers].",
)
@click.option("--replace", is_flag=True, help="Write over a build sheet of the same name.")
@JSON
def build(folder: Path, answers: Path, replace: bool, as_json: bool) -> None:
    """Write robots/NAME.toml from answers, and say what is open.

    Asks nothing. "unknown" is an answer, { assumed = "4 mm" } too; what is not answered is unknown.
    """
    from pitcrew.pit.building import build_robot, report_data, report_lines

    report = build_robot(folder, answers, replace)
    click.echo(json_text(report_data(report)) if as_json else "\n".join(report_lines(report)))
    if report.mistakes:
        raise SystemExit(FINDING)
