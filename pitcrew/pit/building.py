"""Building a robot in a pit folder: the blocks that there are, and an answer file made into
`robots/NAME.toml`."""

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from pitcrew.base.errors import Conflict
from pitcrew.base.paths import CHECKLISTS
from pitcrew.builder.blocks import Block, BlockQuestion, parse_block, parse_fields
from pitcrew.builder.building import Built, Gap, build
from pitcrew.builder.writing import answers_text, sheet_text
from pitcrew.domain.checks.checklists import Check
from pitcrew.domain.checks.lacking import used_fields
from pitcrew.domain.robot.mistakes import Mistake
from pitcrew.pit.folder import pit_keys, read_definitions, toml_of
from pitcrew.storage.durable import replace_whole

BLOCKS = "blocks"
DRAFT = "builder.toml"


def read_blocks(folder: Path | None = None) -> tuple[dict[str, Block], list[Mistake]]:
    """This program's blocks, and those of a pit folder's `checklists/blocks/`, by name in the order
    in which they are asked; one of the folder goes before ours of the same name."""
    paths = sorted((CHECKLISTS / BLOCKS).glob("*.toml"))
    paths += sorted((folder / "checklists" / BLOCKS).glob("*.toml")) if folder else []
    blocks, mistakes = {}, []
    for path in paths:
        name = f"checklists/{BLOCKS}/{path.name}"
        blocks[path.stem], found = parse_block(toml_of(path), path.stem, name)
        mistakes += found
    ordered = sorted(blocks.items(), key=lambda item: (item[1].order, item[0]))
    return dict(ordered), mistakes


def read_draft(folder: Path) -> dict[str, Any]:
    """The answers that are typed so far on the builder's page, as `pitcrew build` reads them."""
    path = folder / DRAFT
    return toml_of(path) if path.exists() else {"block": []}


def write_draft(folder: Path, draft: dict[str, Any]) -> None:
    """Keep the answers at once: a restart loses none."""
    replace_whole(folder / DRAFT, answers_text(draft).encode())


def read_fields() -> tuple[dict[str, dict[str, BlockQuestion]], list[Mistake]]:
    """How to ask for each field of each kind of part."""
    path = CHECKLISTS / "questions" / "fields.toml"
    return parse_fields(toml_of(path), "checklists/questions/fields.toml")


@dataclass(frozen=True)
class BuildReport:
    """What a build made: the file (none where the answers have mistakes), and what is open."""

    file: Path | None
    built: Built
    mistakes: list[Mistake]
    plays: bool = False
    parts: int = 0
    checks: tuple[Check, ...] = ()

    def unjudged(self, gap: Gap) -> list[str]:
        """The checks that cannot be judged without a field, by their labels."""
        return [
            check.label
            for check in self.checks
            if check.kind == gap.kind and gap.field in used_fields(check)
        ]


def build_robot(folder: Path, answers: Path, replace: bool = False) -> BuildReport:
    """Write the build sheet of an answer file. Raises Conflict where one of its name stands,
    Missing and BadInput for a file that cannot be read.

    Answers that cannot be read write nothing: they are all named, in the words of the answer file.
    Answers that do not go together are written, and named as the mistakes of the sheet.
    """
    pit_keys(folder)
    blocks, wrong = read_blocks(folder)
    built = build(toml_of(answers), blocks, answers.name, answers.stem, read_fields()[0])
    refused = [*wrong, *built.refused]
    path = folder / "robots" / f"{built.name}.toml"
    if path.exists() and not replace:
        raise Conflict(
            f"{path} is there already, and it may have been edited since. To write over it add"
            " --replace; or give the robot another name in the answers."
        )
    if refused:
        return BuildReport(None, built, refused)
    path.parent.mkdir(exist_ok=True)
    replace_whole(path, sheet_text(built).encode())
    definitions = read_definitions(folder)
    file = f"robots/{path.name}"
    playing = definitions.robot is not None and definitions.robot.file == file
    parts = definitions.robots[built.name].parts
    return BuildReport(path, built, built.mistakes, playing, len(parts))


def report_data(report: BuildReport) -> dict[str, Any]:
    """A build as plain data."""
    return {
        "file": str(report.file) if report.file else None,
        "robot": report.built.name,
        "parts": report.parts,
        "unknown": [
            asdict(gap) | {"unjudged": report.unjudged(gap)} for gap in report.built.unknown
        ],
        "assumed": [asdict(gap) for gap in report.built.assumed],
        "mistakes": [mistake.row() for mistake in report.mistakes],
    }


def report_lines(report: BuildReport) -> list[str]:
    """The same for a terminal."""
    if report.file is None:
        return [
            *(mistake.sentence for mistake in report.mistakes),
            "Nothing was written. Correct the answers and try again.",
        ]
    built = report.built
    lines = [f"Wrote {report.file}: {report.parts} parts."]
    lines += [mistake.sentence for mistake in report.mistakes]
    if built.unknown:
        lines += [f"Still to find out ({len(built.unknown)}):", *map(_gap, built.unknown)]
    if built.assumed:
        lines += [f"Assumed until confirmed ({len(built.assumed)}):", *map(_gap, built.assumed)]
    if not report.plays:
        lines.append(
            f'Another robot plays. To let this one play: robot = "{built.name}" in pitcrew.toml'
        )
    return lines


def _gap(gap: Gap) -> str:
    value = f" = {gap.value}" if gap.value else ""
    return f"    {gap.part}, {gap.field}{value}: {gap.ask} ({gap.who})"
