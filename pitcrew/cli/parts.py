"""What the commands of the command line share: the folder argument, answers as JSON, examples in
their help, errors as one sentence."""

import json
import sys
from collections.abc import Callable
from inspect import cleandoc
from pathlib import Path
from typing import Any

import click

from pitcrew.base.errors import BadInput, PitcrewError

FINDING, USAGE = 1, 2
FOLDER = click.argument("folder", type=click.Path(path_type=Path))
JSON = click.option("--json", "as_json", is_flag=True, help="Answer as JSON, numbers in SI units.")


class Spoken(click.ClickException):
    """An error as one sentence on stderr, with its exit code."""

    exit_code: int  # type: ignore[misc]

    def __init__(self, sentence: str, code: int) -> None:
        super().__init__(sentence)
        self.exit_code = code

    def show(self, file: Any = None) -> None:
        click.echo(self.message, err=True)


class Commands(click.Group):
    """Turns every PitcrewError into one sentence and an exit code: 2 for wrong usage, 1 for a
    finding."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BadInput as error:
            raise Spoken(error.sentence, USAGE) from None
        except PitcrewError as error:
            raise Spoken(error.sentence, FINDING) from None
        except BrokenPipeError:
            sys.stderr.close()
            raise SystemExit(0) from None


class FigureCommand(click.Command):
    """Shows all about a figure when `--help` follows its name."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        named = [word for word in args[:1] if not word.startswith("-")]
        if named and {"-h", "--help"} & set(args):
            from pitcrew.engineering import catalogue, printing

            click.echo(printing.help_text(catalogue.find(named[0])))
            ctx.exit()
        return super().parse_args(ctx, args)


def example(text: str) -> Callable[[Any], Any]:
    """Put an example first in a command's help."""

    def add(command: click.Command) -> click.Command:
        command.short_help = command.get_short_help_str(limit=100)
        command.help = f"\b\nExample:\n  {text}\n\n{cleandoc(command.help or '')}"
        return command

    return add


def json_text(value: Any) -> str:
    """A value as JSON on the terminal; numbers that are not finite are refused."""
    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)
